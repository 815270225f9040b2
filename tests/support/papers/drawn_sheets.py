"""Scripts drawn at random whose sheets are known: numbers, page turns, words kept away."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from random import Random

HEARD: Final = "QUOKKA"
"""Begins every word that is only heard."""
KEYS: Final = "ZEBRAFISH"
"""Begins every word of a key."""
NOTES: Final = "AARDVARK"
"""Begins every word of a staff note."""
SHOWN: Final = "lantern"
"""Begins every word that the sheet must show."""
HEAD: Final = """---
title: Drawn sheet
language: en-GB
answer-time: 5 s
---

# Opening

Listen QUOKKA1.

"""


@dataclass
class DrawnSheet:
    """A script and what its answer sheet must hold."""

    text: str = ""
    numbers: list[tuple[str, int]] = field(default_factory=list)
    """Label and stretch between page turns of each question, in order."""
    shown: list[str] = field(default_factory=list)
    """Words that the sheet must show, in order."""
    total: int = 0
    """Marks."""
    for_markers: set[str] = field(default_factory=set)
    """Words of keys and notes, those of withdrawn questions left out."""


class _Drawing:
    def __init__(self, dice: Random) -> None:
        self._dice = dice
        self._made = DrawnSheet(HEAD)
        self._n_words = 1
        self._section = 0
        self._has_printed = False

    def _word(self, kind: str) -> str:
        self._n_words += 1
        return f"{kind}{self._n_words}"

    def _shown(self) -> str:
        word = self._word(SHOWN)
        self._made.shown.append(word)
        return word

    def _chance(self, percent: int) -> bool:
        return self._dice.randrange(100) < percent

    def _write(self, text: str) -> None:
        self._made.text += text

    def made(self) -> DrawnSheet:
        number = 1
        for part in range(self._dice.randint(1, 3)):
            is_practice = part == 0 and self._chance(40)
            is_printed = not is_practice and self._chance(20)
            classes = ".practice" if is_practice else ".printed" if is_printed else ""
            self._write(f"# Part {part}{' {' + classes + '}' if classes else ''}\n\n")
            count = 1 if is_practice else number
            for group in range(self._dice.randint(1, 2)):
                if self._chance(70):
                    self._write(f"## Group {part}{group}\n\n")
                for _ in range(self._dice.randint(1, 9)):
                    self._question(count, is_practice=is_practice, is_printed=is_printed)
                    count += 1
                    self._between()
            number = number if is_practice else count
            self._write(f"Now listen {self._word(HEARD)}.\n\n")
        self._write(f"# Close\n\nStop {self._word(HEARD)}.\n")
        return self._made

    def _between(self) -> None:
        if self._chance(8):
            self._write(f"::: page-turn\nTurn {self._word(HEARD)}.\n:::\n\n")
            self._section += self._has_printed
            self._has_printed = False
        elif self._chance(8):
            self._write(f"::: stop\nAsk {self._word(HEARD)}.\n:::\n\n")

    def _question(self, number: int, *, is_practice: bool, is_printed: bool) -> None:
        label = f"Practice {number}" if is_practice else str(number)
        self._made.numbers.append((label, self._section))
        self._has_printed = True
        marks = self._dice.choice([1, 1, 1, 2, 3])
        is_withdrawn = self._chance(4)
        classes = " .withdrawn" if is_withdrawn else ""
        stem = self._word(SHOWN if is_printed else HEARD)
        if is_printed and not is_withdrawn:
            self._made.shown.append(stem)
        if not is_practice and not is_withdrawn:
            self._made.total += marks
        lines = self._dice.choice(["", "", ' lines="2"', ' lines="3"'])
        self._write(f'{number}. What is {stem}? {{marks="{marks}"{lines}{classes}}}\n\n')
        shown_before = len(self._made.shown)
        self._sheet()
        key = self._word(KEYS)
        if self._chance(30):
            key = "B"
            rows = "".join(f"    - {letter}. {self._shown()}\n" for letter in "ABC")
            self._write(f"{rows}\n")
        if is_withdrawn:
            del self._made.shown[shown_before:]
        self._write(f"    ::: key\n    {key}\n    :::\n\n")
        told = {key} - {"B"}
        if self._chance(30):
            note = self._word(NOTES)
            told.add(note)
            self._write(f'    ::: staff-note {{to="marker"}}\n    {note}\n    :::\n\n')
        self._made.for_markers |= set() if is_withdrawn else told

    def _sheet(self) -> None:
        kind = self._dice.choice(["none", "words", "gap", "lines", "box", "table", "sum", "choice"])
        if kind == "none":
            return
        rows = {
            "words": f"{self._shown()} **{self._shown()}**" if kind == "words" else "",
            "gap": f"{self._shown()} [____]{{.answer}} {self._shown()}" if kind == "gap" else "",
            "lines": '[____]{.answer lines="3"}',
            "box": '[__]{.box width="5 cm" lines="2"}',
            "table": (
                f"| {self._shown()} | {self._shown()} |\n    |---|---|\n    | {self._shown()} | x |"
                if kind == "table"
                else ""
            ),
            "sum": f"{self._shown()} $\\frac{{1}}{{2}}$" if kind == "sum" else "",
            "choice": f"[{self._shown()}]{{.choice}} [{self._shown()}]{{.choice}}"
            if kind == "choice"
            else "",
        }[kind]
        self._write(f"    ::: sheet\n    {rows}\n    :::\n\n")


def drawn_sheet(dice: Random) -> DrawnSheet:
    """Return a script with a sheet that is known."""
    return _Drawing(dice).made()
