"""The lines of a paper as what is read aloud: questions with their numbers, and other text."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.wording.sentence_ends import inner_ends

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pausewright.documents.model import Line, Paper

UnitKind: TypeAlias = Literal["question", "text", "heading"]

_NUMBER: Final = re.compile(r"(?:question|number|no\.?|q)?\s*\(?(\d{1,3})\s*[.):]?", re.IGNORECASE)
_NUMBERED: Final = re.compile(
    r"(?:(?:question|number|q)\s+(\d{1,3})\s*[.:)–—-]?|(\d{1,3})[.)])\s+(?=\S)", re.IGNORECASE
)
_INNER: Final = re.compile(r"\(?[A-Za-z][.):]|•|[ivx]{1,4}[.)]")


@frozen
class PaperUnit:
    """What a reader would say in one go."""

    kind: UnitKind
    text: str
    number: int | None = None
    """That the paper gives to a question."""


def units_of(paper: Paper) -> list[PaperUnit]:
    """Return what a paper holds to be read, in order; heads, feet and notes of pages left out.

    Options, sub-questions and lines that go on in small letters belong to their question. In a
    table, a row whose first cell is a number is a question.
    """
    found: list[PaperUnit] = []
    for line in _rows(line for line in paper.lines if line.kind not in {"margin", "note"}):
        unit = _unit(line)
        goes_on = unit.kind == "text" and (
            line.text[0].islower() or (line.number and _INNER.fullmatch(line.number))
        )
        if goes_on and found and found[-1].kind == "question":
            name = "" if line.number in {"", "•"} else f"{line.number} "
            text = f"{_ended(found[-1].text)} {name}{line.text}"
            found[-1] = replace(found[-1], text=text)
        else:
            found.append(unit)
    return found


def in_sentences(units: Iterable[PaperUnit]) -> list[PaperUnit]:
    """Return units with each sentence of a text by itself: readers pause between them.

    Questions and headings stay whole.
    """
    return [
        replace(unit, text=text)
        for unit in units
        for text in (_sentences(unit.text) if unit.kind == "text" else [unit.text])
    ]


def _sentences(text: str) -> list[str]:
    borders = [0, *inner_ends(text), len(text)]
    return [text[start:end].rstrip() for start, end in pairwise(borders)]


def _ended(text: str) -> str:
    return text if text.endswith((".", "?", "!", ",", ":", ";", "=")) else f"{text}."


def _unit(line: Line) -> PaperUnit:
    number = _NUMBER.fullmatch(line.number) if line.number else None
    if number:
        return PaperUnit("question", line.text, int(number[1]))
    stated = None if line.number else _NUMBERED.match(line.text)
    if stated:
        return PaperUnit("question", line.text[stated.end() :], int(stated[1] or stated[2]))
    return PaperUnit("heading" if line.kind == "heading" else "text", line.text)


def _rows(lines: Iterable[Line]) -> Iterator[Line]:
    """Yield lines, the cells of a row of a table as one."""
    kept: list[Line] = []
    for line in lines:
        if kept and (line.kind != "cell" or line.row != kept[-1].row):
            yield _row(kept)
            kept = []
        if line.kind == "cell":
            kept.append(line)
        else:
            yield line
    if kept:
        yield _row(kept)


def _row(cells: list[Line]) -> Line:
    first, *others = cells
    if others and _NUMBER.fullmatch(first.text):
        return replace(others[0], text=" ".join(one.whole for one in others), number=first.text)
    return replace(first, text=" ".join(one.text for one in cells))
