"""Chapters against the sound: each leads to where something begins, and to what it is called.

A chapter belongs at the start of the track or of a sound, or at the end of a sound where a silence
is jumped to. Titles are compared for questions only: a chapter called "Question 5" must lead to
question 5.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.limits.shown import CHAPTER_LONGEST_BYTES, CHAPTER_SLACK_S
from pausewright.checker.result.findings import BUILD, Finding
from pausewright.checker.result.items import Asked
from pausewright.checker.result.naming import seconds

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from pausewright.checker.expect.expected import Expectation, Row, Unit
    from pausewright.checker.files.tags import Chapter
    from pausewright.checker.match.match import Matching
    from pausewright.checker.result.items import Item

_NUMBERED = re.compile(
    r"(?:Questions? (?:Practice )?|Practice )\d{1,4}[a-z]?(?:–\d{1,4})?(?: again)?|Stop \d{1,4}",
    re.ASCII,
)
"""What chapters are called beside the names of parts."""


def judge_chapters(
    chapters: Sequence[Chapter],
    part_titles: frozenset[str],
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
) -> list[Finding]:
    """Return the findings about where a track's chapters lead.

    `part_titles` are the script's own names of parts: a chapter of such a name is no question's.
    """
    spans = [
        None if span is None else (Fraction(span[0], rate_hz), Fraction(span[1], rate_hz))
        for span in matching.heard
    ]
    leads_s = [s.wait_s - s.expected.wait_s for s in matching.silences]
    edges = [(Fraction(0), CHAPTER_SLACK_S)]
    first: dict[Unit, tuple[Fraction, Fraction]] = {}
    for i, (sound, span) in enumerate(zip(expectation.sounds, spans, strict=True)):
        if span is None:
            continue
        # the silent edges of a recorded sound count as the sound; a list without a hole has its
        # first chapter at the start of the track
        begin = (
            span[0] - leads_s[i] - CHAPTER_SLACK_S if i else Fraction(0),
            span[0] + CHAPTER_SLACK_S,
        )
        edges += [begin, (span[1] - CHAPTER_SLACK_S, span[1] + leads_s[i + 1] + CHAPTER_SLACK_S)]
        first.setdefault(sound.unit, begin)
    places: dict[Item, list[tuple[Fraction, Fraction]]] = {}
    for row in expectation.rows:
        if row.unit in first:
            places.setdefault(row.item, []).append(first[row.unit])
    called = {title: item for item in places for title in _titles(item)}
    named: set[Item] = set()
    findings = []
    for chapter in chapters:
        item = _named(chapter.title, called, part_titles)
        if item is not None:
            named.add(item)
            if not _within(chapter.start_s, places[item]):
                findings.append(_elsewhere(chapter, item, places[item][0][1] - CHAPTER_SLACK_S))
        elif not _within(chapter.start_s, edges):
            findings.append(_nowhere(chapter, spans))
    return [*findings, *_without(expectation.rows, first, named)]


def judge_titles(chapters: Sequence[Chapter], part_titles: frozenset[str]) -> list[Finding]:
    """Return an error for each chapter of a built track that has another name than a script gives.

    Candidates can read these names: parts, numbers of questions and of stops; nothing else.
    """
    return [
        Finding(
            "chapter-words",
            "error",
            "a chapter has a name that the script does not give it",
            BUILD,
            at_s=chapter.start_s,
        )
        for chapter in chapters
        if chapter.title and not _is_given(chapter.title, part_titles)
    ]


def _is_given(title: str, part_titles: frozenset[str]) -> bool:
    """Return whether a title is made of names of parts and numbers, joined by colons."""
    if title in part_titles or _NUMBERED.fullmatch(title):
        return True
    if len(title.encode()) > CHAPTER_LONGEST_BYTES - 4:
        return any(p and (p.startswith(title) or title.startswith(p)) for p in part_titles)
    return any(
        title.startswith(f"{part}: ") and _is_given(title.removeprefix(f"{part}: "), part_titles)
        for part in part_titles
    )


def _within(at_s: Fraction, ranges: Sequence[tuple[Fraction, Fraction]]) -> bool:
    return any(start_s <= at_s <= end_s for start_s, end_s in ranges)


def _titles(item: Item) -> Iterator[str]:
    """Give the titles by which a chapter names a question."""
    if isinstance(item, Asked) and item.manner != "answer":
        yield f"Question {item}"
        if item.question.practice:
            yield str(item)


def _named(title: str, called: Mapping[str, Item], part_titles: frozenset[str]) -> Item | None:
    """Return the question that a chapter names; None if it names none."""
    last = title.rsplit(": ", 1)[-1]
    return None if title in part_titles or last in part_titles else called.get(last)


def _elsewhere(chapter: Chapter, item: Item, begins_s: Fraction) -> Finding:
    off_s = chapter.start_s - begins_s
    return Finding(
        "chapter-off",
        "error",
        f"the marker for {item.name} is {seconds(abs(off_s))} s {'late' if off_s > 0 else 'early'}",
        BUILD,
        at_s=chapter.start_s,
        question=item,
        expected=begins_s,
        measured=chapter.start_s,
        difference=off_s,
        allowed=CHAPTER_SLACK_S,
        unit="s",
    )


def _nowhere(chapter: Chapter, spans: Sequence[tuple[Fraction, Fraction] | None]) -> Finding:
    is_inside = any(span and span[0] < chapter.start_s < span[1] for span in spans)
    return Finding(
        "chapter-off",
        "error" if is_inside else "warning",
        "a chapter leads into the middle of a sound"
        if is_inside
        else "a chapter leads into the middle of a silence",
        BUILD,
        at_s=chapter.start_s,
        measured=chapter.start_s,
        unit="s",
    )


def _without(
    rows: Sequence[Row],
    first: dict[Unit, tuple[Fraction, Fraction]],
    named: set[Item],
) -> Iterator[Finding]:
    """Yield a warning for each question without a chapter, where others have one."""
    if not named:
        return
    for row in rows:
        is_question = isinstance(row.item, Asked) and row.item.manner != "answer"
        if is_question and row.item not in named and row.unit in first:
            yield Finding(
                "chapter-missing",
                "warning",
                f"{row.item.name} has no chapter",
                BUILD,
                at_s=first[row.unit][1] - CHAPTER_SLACK_S,
                question=row.item,
                place=row.place,
            )
