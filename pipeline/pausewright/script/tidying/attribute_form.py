"""Attributes in their one form: yes words first, a fixed order, straight quotation marks.

A value that is words (`key`, `say`, `announce` …) comes out letter for letter as it was read; a
value that is times, a share, numbers or a list of known words has its blanks put right.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.attributes.braces import escaped
from pausewright.script.attributes.values import ValueProblem, spaced_duration, tidy_blanks, width

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from pausewright.script.attributes.braces import Item

_WRITTEN: Final = """
say shown ipa as states sheet key marks lines
from to fade-out words speaker edges level width
questions order readings between-readings announce again pattern
for phrase-time phrase-readings between-phrase-readings look-time answer-time time-cue
between-paragraphs between-options turn-pause pause-after for-questions
pace voice lang take captions captions-reason
"""
"""What a sheet or key holds; which part of a recording; how it is read; silences; how it sounds."""
ORDER: Final = (*YES_WORDS, *_WRITTEN.split())
"""Attributes in the order in which they are written; any other follows in its table's order."""

_TIMES: Final = """
answer-time look-time between-readings phrase-time between-phrase-readings between-paragraphs
between-options turn-pause pause-after for from fade-out
"""
TIMES: Final = frozenset(_TIMES.split())
"""Attributes whose value is times, or a word in place of one."""


def braces(items: Iterable[Item], kind: str) -> str:
    """Return attributes in braces, in their one order; `kind` is what they stand on."""
    return "{" + " ".join(_item(item, kind) for item in sorted(items, key=_rank)) + "}"


def times(text: str) -> str:
    """Return `20s,30s` as `20 s, 30 s` and `4s to 9s` as `4 s to 9 s`; units and figures stay."""
    return ", ".join(
        " to ".join(spaced_duration(one) for one in re.split(r"\s+to\s+", tidy_blanks(part)))
        for part in text.split(",")
    )


def _rank(item: Item) -> tuple[int, int]:
    table = list(VALUES)
    place = ORDER.index(item.name) if item.name in ORDER else len(ORDER)
    return place, table.index(item.name) if item.name in table else len(table)


def _item(item: Item, kind: str) -> str:
    if item.value is None:
        return f".{item.name}"
    return f'{item.name}="{escaped(_reader(item.name, kind)(item.value))}"'


def _reader(name: str, kind: str) -> Callable[[str], str]:
    if name == "to":
        return _listed if kind == "staff-note" else times
    return _FORMS.get(name, str)


def _listed(text: str) -> str:
    return ", ".join(part.strip() for part in text.split(","))


def _numbers(text: str) -> str:
    parts = (tidy_blanks(part) for part in text.split(","))
    return ", ".join(re.sub(r"\s*[-–]\s*", "-", part) for part in parts)


def _share(text: str) -> str:
    return re.sub(r"\s*%$", " %", tidy_blanks(text))


def _width(text: str) -> str:
    try:
        return width(text)
    except ValueProblem:
        return text


_FORMS: Final[dict[str, Callable[[str], str]]] = {
    **dict.fromkeys(TIMES, times),
    **dict.fromkeys(("readings", "phrase-readings", "marks", "lines", "take"), str.strip),
    **dict.fromkeys(("questions", "for-questions"), _numbers),
    "order": _listed,
    "pace": _share,
    "width": _width,
}
"""How the values are written that are not just words."""
