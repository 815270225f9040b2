"""A version declared by answers: the lines that go below `arrangements:` in a script's settings."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.model import CardError
from pausewright.frozen import frozen
from pausewright.problems import Problems
from pausewright.script.source.preparing import prepare

if TYPE_CHECKING:
    from collections.abc import Sequence

_FILE: Final = Path("cards.md")
_HEAD: Final = "arrangements"
_BLOCK: Final = re.compile(rf"{_HEAD}\s*:\s*(?:#.*)?")
_ANY_FORM: Final = re.compile(rf"[\"']?{_HEAD}[\"']?\s*:.*")
_PLAIN_NAME: Final = re.compile(r"(?!false$)[a-z][a-z0-9-]{4,}")
"""What needs no quotation marks as a name."""
_STEP: Final = "  "


@frozen
class NewVersion:
    """What is declared of it."""

    name: str
    label: str
    basis: str
    fields: tuple[tuple[str, str], ...]
    """Fields of an arrangement, each with its value as settings write it."""


def quoted(words: str) -> str:
    """Return words as settings write them, whatever they hold."""
    return json.dumps(words, ensure_ascii=False)


def with_version(text: str, new: NewVersion) -> str:
    """Return a script's text with one more version after those that are declared.

    Raises
    ------
    CardError
        If the settings cannot be read, or declare versions in a form of their author's own.
    """
    rows = text.split("\n")
    source = prepare(_FILE, text, Problems(), settings=True)
    if not source.settings_line:
        raise CardError("this text has no settings at its head", "write them in the text")
    first = source.settings_line
    closing = first + source.settings_text.count("\n") + 1
    if closing >= len(rows) or rows[closing].rstrip() != "---":
        raise CardError("the settings at the head are not closed", "look at the text")
    head = next((n for n in range(first, closing) if _ANY_FORM.fullmatch(rows[n])), None)
    if head is None:
        added = [f"{_HEAD}:", *_lines(new, _STEP)]
        return "\n".join([*rows[:closing], *added, *rows[closing:]])
    if not _BLOCK.fullmatch(rows[head].rstrip()):
        raise CardError(
            "the versions of this test stand in a form of their own",
            f"write each on lines of its own below ‘{_HEAD}:’ in the text, or the new one there",
        )
    last, step = _block(rows, head, closing)
    return "\n".join([*rows[: last + 1], *_lines(new, step), *rows[last + 1 :]])


def _block(rows: Sequence[str], head: int, closing: int) -> tuple[int, str]:
    """Return the last row of what is declared below a row, and how far its names stand in."""
    last, step = head, ""
    for n in range(head + 1, closing):
        row = rows[n]
        if not row.strip() or row.lstrip().startswith("#"):
            continue
        if row[0] != " ":
            break
        step = step or row[: len(row) - len(row.lstrip(" "))]
        last = n
    return last, step or _STEP


def _lines(new: NewVersion, step: str) -> list[str]:
    name = new.name if _PLAIN_NAME.fullmatch(new.name) else quoted(new.name)
    fields = [("label", quoted(new.label)), ("basis", quoted(new.basis)), *new.fields]
    return [f"{step}{name}:", *(f"{step}{_STEP}{key}: {value}" for key, value in fields)]
