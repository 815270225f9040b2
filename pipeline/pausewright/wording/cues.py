"""Cues: the words beside a piece of text that tell which of its readings is meant.

Each language has one readable table of them (`languages/TAG.cues.toml`): a row names a topic, the
reading, the words beside it and the reason. The first row that fits decides, and the table of
`pausewright wording` says so; where none fits, or the row is not sure, the author is asked.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.package_data import package_folder
from pausewright.wording.patterns import Late

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

_WORD: Final = Late(r"[^\W_]+(?:['’.-][^\W_]+)*\.?|[&#№§§@/+]")
_STOP: Final = Late(r"[?!;:](?=\s|$)|[.](?=\s+[A-Z“]|$)|[,()\u2014]")
_BEFORE_STOP: Final = Late(r"[?!;:](?=\s|$)|[,()\u2014]")
_SPAN: Final = 60
"""How many characters beside a piece are looked at."""
_LONGEST: Final = 3
"""Words of a phrase at most."""


@frozen
class Row:
    """One line of the table; what it leaves empty is not asked for."""

    reads: str
    reason: str
    sure: bool
    """Whether no warning is needed."""
    before: frozenset[str]
    """Words or phrases right before the piece, in small letters."""
    after: frozenset[str]
    """The same right after it."""
    near: frozenset[str]
    """Anywhere in the sentence."""
    never_after: frozenset[str]
    """Right after it none of these."""
    never_near: frozenset[str]
    shape: Late | None
    """The whole piece looks like this."""
    follows: Late | None
    """What stands right after the piece begins like this, blanks too."""
    leads: Late | None
    """What stands right before the piece ends like this, blanks too."""


@frozen
class Decision:
    """Which reading a cue tells, and by which words."""

    reads: str
    sure: bool
    cue: str
    """The words that decided; "" where the shape of the piece did."""
    reason: str

    def told(self, piece: str) -> str:
        """Return the sentence that `pausewright wording` shows."""
        by = f"“{self.cue}”: " if self.cue else ""
        return f"‘{piece}’ read as {self.reads}: {by}{self.reason}"


@cache
def cue_table(tag: str) -> Mapping[str, tuple[Row, ...]]:
    """Return the rows of a language by topic; empty if it has no table."""
    file = package_folder("pausewright.wording.languages") / f"{tag}.cues.toml"
    if not file.is_file():
        return {}
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    return {topic: tuple(map(_row, rows)) for topic, rows in data.items()}


def _row(row: Mapping[str, object]) -> Row:
    def words(name: str) -> frozenset[str]:
        found = str(row.get(name, ""))
        return frozenset(" ".join(one.split()) for one in found.split("|") if one.strip())

    def pattern(name: str, end: str = "") -> Late | None:
        return Late(f"(?:{row[name]}){end}") if name in row else None

    return Row(
        str(row["reads"]),
        str(row["reason"]),
        bool(row.get("sure", True)),
        words("before"),
        words("after"),
        words("near"),
        words("never_after"),
        words("never_near"),
        pattern("shape"),
        pattern("follows"),
        pattern("leads", "$"),
    )


class Sentence:
    """A text whose words are looked up beside its pieces; each side is cut out once."""

    __slots__ = ("_low", "_sides", "text")

    def __init__(self, text: str) -> None:
        """Take the text."""
        self.text = text
        self._low = ""
        self._sides: dict[tuple[int, int], tuple[tuple[str, ...], tuple[str, ...]]] = {}

    def decide(self, rows: Sequence[Row], start: int, end: int) -> Decision | None:
        """Return what the first row that fits says of `text[start:end]`."""
        for row in rows:
            cue = self._fit(row, start, end)
            if cue is not None:
                return Decision(row.reads, row.sure, cue, row.reason)
        return None

    def _fit(self, row: Row, start: int, end: int) -> str | None:
        """Return the words that make a row fit, "" if its shape alone does; None if it does not."""
        if row.shape is not None and not row.shape.fullmatch(self.text, start, end):
            return None
        if row.follows is not None and not row.follows.match(self.text, end):
            return None
        if row.leads is not None and not row.leads.search(self.text[max(0, start - _SPAN) : start]):
            return None
        found = ""
        if row.before or row.after or row.never_after:
            before, after = self.sides(start, end)
            if row.before:
                found = next((one for one in before if one in row.before), "")
                if not found:
                    return None
            if row.after:
                told = next((one for one in after if one in row.after), "")
                if not told:
                    return None
                found = f"{found} … {told}" if found else told
            if any(one in row.never_after for one in after):
                return None
        if row.never_near and self._near(row.never_near):
            return None
        if row.near:
            told = self._near(row.near)
            if not told:
                return None
            found = found or told
        return found

    def sides(self, start: int, end: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the phrases that end right before a piece and those that begin after it."""
        key = (start, end)
        if key not in self._sides:
            head = self.text[max(0, start - _SPAN) : start]
            cut = max((found.end() for found in _BEFORE_STOP.finditer(head)), default=0)
            words = _WORD.findall(head[cut:].lower())[-_LONGEST:]
            if not words and head[:cut].rstrip()[-1:] == ":":
                words = _WORD.findall(head.lower())[-_LONGEST:]
            before = tuple(" ".join(words[-n:]) for n in range(len(words), 0, -1))
            tail = self.text[end : end + _SPAN]
            stop = _STOP.search(tail)
            words = _WORD.findall((tail[: stop.start()] if stop else tail).lower())[:_LONGEST]
            after = tuple(" ".join(words[:n]) for n in range(len(words), 0, -1))
            self._sides[key] = (before, after)
        return self._sides[key]

    def _near(self, phrases: frozenset[str]) -> str:
        """Return a phrase of the text that is among these; "" if none is."""
        if not self._low:
            self._low = " " + " ".join(re.findall(r"[\w’'.-]*\w|[&#%]", self.text.lower())) + " "
        low = self._low
        words = low.split()
        for word in words:
            if word in phrases:
                return word
        return next((p for p in phrases if " " in p and f" {p} " in low), "")
