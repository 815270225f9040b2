"""Whether two tests have one shape: a reserve test asks as much as the test that it stands in for.

The same readings and the same silences, about as many words a question, about the same pace and
length. What is asked is not compared.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

from pausewright.deliver.known_lengths import kept_lengths
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.deliver.version_outline import outline
from pausewright.frozen import frozen
from pausewright.plan.clock import shown_seconds
from pausewright.plan.timeline import Say, Wait
from pausewright.script.model import Note, Question
from pausewright.script.silences import silence_name
from pausewright.script.times_heard import heard
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Step
    from pausewright.script.model import Block

MOST_WORDS: Final = Fraction(10, 100)
"""Share by which the words of a question may differ (common practice, no source)."""
MOST_PACE: Final = Fraction(3, 100)
"""Share by which the pace of all speech may differ (common practice, no source)."""
MOST_LENGTH: Final = Fraction(2, 100)
"""Share by which the length of the track may differ (common practice, no source)."""
_PAUSES: Final = {
    "paragraph_pause_s": "the pause after a paragraph",
    "sentence_pause_s": "the pause between sentences",
    "announcement_pause_s": "the pause after an announcement",
}
_OF_QUESTION: Final = {
    "between_paragraphs_s": "the pause between paragraphs",
    "between_options_s": "the pause before answers to choose",
    "turn_pause_s": "the pause between turns",
}


@frozen
class OtherShape:
    """One thing in which two tests are not alike."""

    label: str
    """Of the version."""
    where: str
    """"question 7", "stop 2", "the whole track"."""
    what: str
    first: str
    second: str
    first_line: int
    second_line: int
    """0 if it is nowhere."""


@frozen
class Shape:
    """Two tests compared by their shape."""

    labels: tuple[str, ...]
    """Of the versions that both have."""
    others: tuple[OtherShape, ...]
    is_exact: bool
    """Whether all words of both are voiced; else lengths and pace are estimates by their number."""

    @property
    def is_alike(self) -> bool:
        """Whether the one can stand in for the other."""
        return not self.others


def shapes(first: Path, second: Path, options: Options) -> Shape:
    """Compare the shapes of two scripts, version by version.

    Raises
    ------
    ScriptError
        With all problems, if one of them has errors.
    """
    projects = [open_project(script, options.profiles) for script in (first, second)]
    for project in projects:
        project.raise_errors()
    one, other = ({v.arrangement.name: v for v in made_versions(p)} for p in projects)
    found: list[OtherShape] = []
    for name in dict.fromkeys((*one, *other)):
        if name not in one or name not in other:
            label = (one.get(name) or other[name]).label
            held = ("yes", "no") if name in one else ("no", "yes")
            found.append(
                OtherShape(label, "the whole test", "the version is declared", *held, 0, 0)
            )
    both = [name for name in one if name in other]
    is_exact = True
    for name in both:
        sides = [_Side(p, v) for p, v in zip(projects, (one[name], other[name]), strict=True)]
        found += _compared(*sides)
        is_exact = is_exact and all(side.is_exact for side in sides)
    return Shape(tuple(one[name].label for name in both), tuple(found), is_exact)


@frozen
class _Row:
    """A block that is heard."""

    name: str
    line: int
    block: Block
    steps: tuple[Step, ...]

    @property
    def readings(self) -> str:
        return ", ".join(str(one.count) for one in heard(self.block)) or "none"

    @property
    def silences(self) -> list[str]:
        """Those that the script declares; how many default pauses there are, its words decide."""
        return [
            f"{silence_name(step.kind)} {shown_seconds(step.wait_s)} s"
            for step in self.steps
            if isinstance(step, Wait) and step.kind != "default-pause"
        ]

    @property
    def n_words(self) -> int:
        said = (step.element for step in self.steps if isinstance(step, Say))
        return sum(len(one.words.split()) for one in said if isinstance(one, Utterance))


class _Side:
    """One version of one test."""

    def __init__(self, project: Project, version: Version) -> None:
        self.version = version
        self.settings = version.script.settings
        self.rows = tuple(_rows(version))
        found = outline(project, kept_lengths(project, version), version)
        self.length_s, self.is_exact = found.length_s, found.is_exact
        said = [row for row in found.rows if row.kind == "say"]
        self.n_words = sum(len(row.text.split()) for row in said)
        self.speech_s = sum((row.length_s for row in said), Fraction(0))

    @property
    def pace_wpm(self) -> Fraction:
        return self.n_words * 60 / self.speech_s if self.speech_s else Fraction(0)


def _rows(version: Version) -> Iterator[_Row]:
    steps: defaultdict[int, list[Step]] = defaultdict(list)
    for step in version.steps:
        steps[step.block].append(step)
    counts: defaultdict[str, int] = defaultdict(int)
    index = -1
    for part in version.script.parts:
        for group in part.groups:
            for block in group.blocks:
                index += 1
                if isinstance(block, Note):
                    continue
                kind = "practice question" if _is_practice(block) else _kind(block)
                counts[kind] += 1
                number = block.number if isinstance(block, Question) else counts[kind]
                yield _Row(f"{kind} {number}", block.place.line, block, tuple(steps[index]))
        index += part.answers


def _is_practice(block: Block) -> bool:
    return isinstance(block, Question) and block.practice


def _kind(block: Block) -> str:
    name = type(block).__name__
    return {"Prose": "instruction", "PageTurn": "page turn"}.get(name, name.lower())


def _compared(one: _Side, other: _Side) -> Iterator[OtherShape]:
    label = one.version.label
    for name, what in _PAUSES.items():
        held = getattr(one.settings, name), getattr(other.settings, name)
        if held[0] != held[1]:
            shown = [f"{shown_seconds(pause_s)} s" for pause_s in held]
            yield OtherShape(label, "the settings", what, shown[0], shown[1], 0, 0)
    kinds = [[(r.name, r) for r in side.rows] for side in (one, other)]
    named = [dict(rows) for rows in kinds]
    for name in dict.fromkeys((*named[0], *named[1])):
        pair = named[0].get(name), named[1].get(name)
        if pair[0] is None or pair[1] is None:
            held = ("there", "missing") if pair[1] is None else ("missing", "there")
            lines = [row.line if row else 0 for row in pair]
            yield OtherShape(label, name, "is in both", *held, lines[0], lines[1])
        else:
            yield from _rows_compared(label, pair[0], pair[1])
    order = [[name.rstrip("0123456789") for name in rows] for rows in named]
    if order[0] != order[1] and named[0].keys() == named[1].keys():
        yield OtherShape(
            label, "the whole test", "order of questions and other blocks", "", "", 0, 0
        )
    whole = label, "the whole track"
    if not _within(one.pace_wpm, other.pace_wpm, MOST_PACE):
        paces = [f"{float(side.pace_wpm):.1f} words/min" for side in (one, other)]
        yield OtherShape(*whole, "pace of the speech", paces[0], paces[1], 0, 0)
    if not _within(one.length_s, other.length_s, MOST_LENGTH):
        lengths = [f"{float(side.length_s):.1f} s" for side in (one, other)]
        yield OtherShape(*whole, "length", lengths[0], lengths[1], 0, 0)


def _rows_compared(label: str, one: _Row, other: _Row) -> Iterator[OtherShape]:
    lines = one.line, other.line
    if one.readings != other.readings:
        yield OtherShape(label, one.name, "readings", one.readings, other.readings, *lines)
    first, second = _first_difference(one.silences, other.silences)
    if first != second:
        yield OtherShape(label, one.name, "silences", first, second, *lines)
    if isinstance(one.block, Question) and isinstance(other.block, Question):
        for name, what in _OF_QUESTION.items():
            held = [getattr(row.delivery, name).value for row in (one.block, other.block)]
            if held[0] != held[1]:
                shown = [f"{shown_seconds(s)} s" for s in held]
                yield OtherShape(label, one.name, what, shown[0], shown[1], *lines)
        if not _within(Fraction(one.n_words), Fraction(other.n_words), MOST_WORDS):
            yield OtherShape(label, one.name, "words", str(one.n_words), str(other.n_words), *lines)


def _first_difference(one: Sequence[str], other: Sequence[str]) -> tuple[str, str]:
    for first, second in zip_longest(one, other, fillvalue="none"):
        if first != second:
            return first, second
    return "", ""


def _within(first: Fraction, second: Fraction, share: Fraction) -> bool:
    return abs(second - first) <= share * first
