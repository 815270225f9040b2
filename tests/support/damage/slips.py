"""Random damage to scripts, as a slip of the hand makes it, and what must never come of it.

A damaged script is refused or still means something; either way nothing crashes, no markup is
spoken or shown, and no word of a key or staff note reaches a candidate's ear, screen or paper.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pausewright.problems import PausewrightError
from pausewright.script.inlines import plain
from pausewright.script.model import Note, Sound, SubQuestion
from pausewright.script.reader import read
from pausewright.script.walk import all_inlines, proses
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pausewright.script.model import Script

KINDS = ("delete", "double", "insert", "replace", "delete-line", "double-line", "join-lines")
SIGNS = "{}[]()\"'“”=.:,;-*_#`\\!<>|&~+ \t0123456789abkxyzAB"
"""What a slip of the hand puts in: mostly signs that mean something."""

PLANTED = "quokkawombat"
"""Stands in keys and staff notes; long, so that half of it survives three characters of damage."""
HALVES = ("quokka", "wombat")

_KEY = re.compile(r'(?<=key=")[^"]*(?=")')
_BLOCK = re.compile(r"^( *)::: (key|staff-note)( \{[^}]*\})?\n(?:.*\n)*?\1:::$", re.MULTILINE)
_MARKUP_BUT_SIGNS = re.compile(
    r":::|[A-Za-z]=[\"“]|\b(?:answer-time|between-readings|look-time|pause-after|staff-note|"
    r"page-turn|for-questions|turn-pause)\b"
)
_MARKUP = re.compile("[{}`]|" + _MARKUP_BUT_SIGNS.pattern)
_ESCAPED = re.compile(r"\\[{}`]")


@dataclass
class Report:
    """What happened to the damaged scripts."""

    n: int = 0
    n_refused: int = 0
    n_crashes: int = 0
    n_markup: int = 0
    n_leaks: int = 0
    examples: list[str] = field(default_factory=list)
    """File, kind of damage and what came of it, for the first few."""

    def note(self, kind: str, file: Path, what: str) -> None:
        """Keep an example."""
        if len(self.examples) < 20:
            self.examples.append(f"{file.name}: {kind}: {what}")


def damages(text: str, seed: int, n: int) -> Iterator[tuple[str, str]]:
    """Yield `n` times a kind of damage and the damaged text; the same for the same seed."""
    dice = random.Random(seed)  # noqa: S311  no secret
    rows = text.split("\n")
    for _ in range(n):
        kind = dice.choice(KINDS)
        yield kind, "\n".join(_damaged(list(rows), kind, dice))


def _damaged(rows: list[str], kind: str, dice: random.Random) -> list[str]:
    line = dice.choice([i for i, row in enumerate(rows) if row.strip()])
    if kind == "delete-line":
        del rows[line]
    elif kind == "double-line":
        rows.insert(line, rows[line])
    elif kind == "join-lines":
        following = rows.pop(line + 1) if line + 1 < len(rows) else ""
        rows[line] += following
    else:
        row, length = rows[line], dice.randint(1, 3)
        at = dice.randrange(len(row))
        signs = "".join(dice.choice(SIGNS) for _ in range(length))
        elements = {
            "delete": row[:at] + row[at + length :],
            "double": row[: at + length] + row[at : at + length] + row[at + length :],
            "insert": row[:at] + signs + row[at:],
            "replace": row[:at] + signs + row[at + length :],
        }
        rows[line] = elements[kind]
    return rows


def planted(text: str) -> str:
    """Return a script whose keys and staff notes hold `PLANTED`; keys that are letters stay."""

    def key(found: re.Match[str]) -> str:
        return found[0] if re.fullmatch(r"[A-Z]", found[0]) else f"{found[0]} {PLANTED}".strip()

    def block(found: re.Match[str]) -> str:
        inside = found[0].split("\n")[1:-1]
        if len(inside) == 1 and re.fullmatch(r"[A-Z]", inside[0].strip()):
            return found[0]
        lead, head = found[1], found[0].split("\n", maxsplit=1)[0]
        return "\n".join([head, lead + PLANTED, *inside, f"{lead}:::"])

    return _BLOCK.sub(block, _KEY.sub(key, text))


def heard_and_shown(script: Script) -> str:
    """Return every word that is spoken, captioned, in a chapter's name or printed as prose.

    Answers that a script for practice reads aloud on purpose are left out.
    """
    found = [script.settings.title]
    for part in script.parts:
        found += [part.title, *(group.title for group in part.groups)]
    worded = Worded(script)
    elements = list(worded.all_elements())
    is_read_out = any(part.answers for part in script.parts)
    aloud = {p for q in script.questions() if is_read_out for p in worded.answer(q)}
    for element in elements:
        if isinstance(element, Utterance) and element not in aloud:
            found += [element.words, element.shown]
    for _, _, block in script.blocks():
        for prose in proses(block):
            found.append(plain(prose.inlines))
            found += [n.description for n in all_inlines(prose.inlines) if isinstance(n, Sound)]
    return "\n".join(found)


def sheets(script: Script) -> str:
    """Return the text of everything that stands on candidates' sheets."""
    found = [b.text for _, _, b in script.blocks() if isinstance(b, Note) and b.kind == "sheet"]
    for question in script.questions():
        found += [question.sheet.text] if question.sheet else []
        found += [c.sheet.text for c in question.content if isinstance(c, SubQuestion) and c.sheet]
    return "\n".join(found)


def judge(kind: str, text: str, file: Path, report: Report) -> None:
    """Read one damaged script and count what came of it."""
    report.n += 1
    try:
        reading = read(file, text)
        if any(p.severity == "error" for p in reading.problems):
            report.n_refused += 1
            return
        worded = Worded(reading.script)
        if worded.problems.errors:
            report.n_refused += 1
            return
        words = heard_and_shown(reading.script)
    except PausewrightError:
        report.n_refused += 1
        return
    except Exception as error:  # noqa: BLE001  a crash is what is looked for
        report.n_crashes += 1
        report.note(kind, file, f"{type(error).__name__}: {error}")
        return
    escaped = _ESCAPED.search(text) is not None  # then a brace in words is what was asked for
    found = (_MARKUP_BUT_SIGNS if escaped else _MARKUP).search(words)
    if found:
        report.n_markup += 1
        start = max(0, found.start() - 40)
        report.note(kind, file, f"markup: {words[start : found.end() + 40]!r}")
    for half in HALVES:
        at = words.lower().find(half)
        if at >= 0:
            report.n_leaks += 1
            report.note(kind, file, f"leak: {words[max(0, at - 40) : at + 40]!r}")
            return
        if half in sheets(reading.script).lower():
            report.n_leaks += 1
            report.note(kind, file, "leak on a sheet")
            return


def damage_report(files: Sequence[Path], n: int, seed: int) -> Report:
    """Damage the files `n` times in all, planted words in their keys and notes, and judge each.

    They are read as if they stood in their own folder, with the files that they include; sounds
    are not looked for.
    """
    report = Report()
    for index, file in enumerate(files):
        text = planted(file.read_text(encoding="utf-8"))
        share = n // len(files) + (index < n % len(files))
        for kind, damaged in damages(text, seed + index, share):
            judge(kind, damaged, file, report)
    return report
