"""Where we are in a track: sentences, lists and stops, against plans written out by hand."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.screen.screen_places import Places, Stretch, places, question_name, reading_name
from pausewright.script.references import QuestionRef, QuestionSpan
from pausewright.script.silences import SILENCES, room_name
from support.scripts.short_scripts import HEAD, SMALL, worded

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.plan.timeline import Questions

RATE_HZ = 1000
"""Samples are milliseconds here."""


def is_end_to_end(stretches: Sequence[Stretch], length_ms: int) -> bool:
    """Say whether stretches cover a track without holes or overlaps."""
    return (
        stretches[0].start_ms == 0
        and stretches[-1].end_ms == length_ms
        and all(a.end_ms == b.start_ms for a, b in pairwise(stretches))
    )


def _places(folder: Path, text: str) -> Places:
    """Return the places of a script in which every sound lasts one second."""
    found = worded(folder, text)
    return places(found.script, timeline(steps(found), lambda _: 1000, RATE_HZ))


def test_sentences_lists_and_stops_of_a_small_test(tmp_path: Path) -> None:
    """Every stretch, entry and stop, added up by hand: sounds last 1 s each."""
    found = _places(tmp_path, SMALL)

    rows = [(s.start_ms, s.sentence, s.back_ms) for s in found.stretches]
    assert rows[:5] == [
        (0, "Beginning", 0),
        (500, "Opening: Instructions", 200),
        (2300, "Opening: Stop 1", 2000),
        (23_300, "Opening: The recording continues", 23_000),
        (26_900, "Test: Instructions", 26_600),
    ]
    assert [row[1] for row in rows[5:]] == [
        "Test: Question 1 of 2, first reading",
        "Test: Question 1 of 2, before the second reading",
        "Test: Question 1 of 2, second reading",
        "Test: Question 1 of 2, answer time",
        "Test: Question 2 of 2, first reading",
        "Test: Question 2 of 2, before the second reading",
        "Test: Question 2 of 2, second reading",
        "Test: Question 2 of 2, answer time",
        "Test: Instructions",
        "Test: Page-turn time",
        "End: Instructions",
    ]
    assert [(e.kind, e.title) for e in found.entries] == [
        ("part", "Opening"), ("stop", "Stop 1"), ("part", "Test"), ("question", "Question 1"),
        ("question", "Question 2"), ("part", "End"),
    ]  # fmt: skip
    assert [(h.title, h.start_ms, h.end_ms) for h in found.halts] == [("Stop 1", 3300, 23_300)]
    assert [t.start_ms for t in found.turns] == [
        t.start_ms for t in found.silences if t.name == "Page-turn time"
    ]


def test_a_rest_of_a_stated_length_is_counted_and_nothing_else(tmp_path: Path) -> None:
    """docs/staff-papers.md: it ends by itself; a stop, and a rest without a length, wait."""
    stops = ('.rest for="9 s"', 'for="9 s"', ".rest", 'for="9 s" .rest')
    text = HEAD + "\n# Only\n\nHello.\n\n"
    text += "".join(f"::: stop {{{one}}}\nWait.\n:::\n\n" for one in stops) + "End.\n"
    found = _places(tmp_path, text)

    assert [one.is_counted for one in found.halts] == [True, False, False, True]


def test_every_moment_has_one_sentence(tmp_path: Path) -> None:
    """Stretches lie end to end, and nobody is sent forward to begin again."""
    found = _places(tmp_path, SMALL)

    assert is_end_to_end(found.stretches, found.length_ms)
    assert all(s.back_ms <= s.start_ms for s in found.stretches)
    assert not is_end_to_end(found.stretches[1:], found.length_ms)
    assert not is_end_to_end(found.stretches, found.length_ms + 1)


def test_a_question_begins_again_in_the_silence_before_it(tmp_path: Path) -> None:
    """All stretches of a question lead back to one place: silent, just before its first sound."""
    found = _places(tmp_path, SMALL)
    backs = {s.back_ms for s in found.stretches if "Question 2" in s.sentence}
    first_ms = next(s.start_ms for s in found.stretches if "Question 2" in s.sentence)

    assert backs == {first_ms - 300}


def test_only_candidates_silences_are_shown(tmp_path: Path) -> None:
    """The author's pauses, the hold and the ends of the file are not among them."""
    found = _places(tmp_path, SMALL)

    assert [(s.name, s.end_ms - s.start_ms) for s in found.silences] == [
        ("Silence between readings", 1500),
        ("Answer time", 6000),
        ("Silence between readings", 1500),
        ("Answer time", 2500),
        ("Page-turn time", 4000),
    ]


def test_numbers_begin_again_in_each_part(tmp_path: Path) -> None:
    """With `numbering: by-part` "of …" counts the part's own questions, practice left out."""
    head = HEAD.replace("---\ntitle", "---\nnumbering: by-part\ntitle").replace(
        "readings: 2", "readings: 1"
    ).replace("between-readings: 1.5 s\n", "")  # fmt: skip
    found = _places(
        tmp_path,
        f'{head}\n# Warm {{.practice answer-time="2 s"}}\n\n1. Yes?\n\n# One {{answer-time="2 s"}}'
        '\n\n1. A?\n2. B?\n\n# Two {answer-time="2 s"}\n\n1. C?\n\n# End\n\nStop.\n',
    )
    said = [s.sentence for s in found.stretches if "uestion" in s.sentence]

    assert said[::2] == [
        "Warm: Practice question 1, reading",
        "One: Question 1 of 2, reading",
        "One: Question 2 of 2, reading",
        "Two: Question 1 of 1, reading",
    ]


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        (QuestionRef(7), "Question 7 of 24"),
        (QuestionRef(7, "b"), "Question 7b of 24"),
        (QuestionSpan(1, 4), "Questions 1–4 of 24"),
        (QuestionRef(2, practice=True), "Practice question 2"),
    ],
)
def test_questions_are_called_as_on_the_sheet(asked: Questions, name: str) -> None:
    """Single, lettered, several, practice."""
    assert question_name(asked, 24) == name


def test_names_for_the_room_tell_no_need() -> None:
    """Readings by ordinals; extra time has a name that says nothing of it."""
    assert reading_name(2) == "second reading"
    assert reading_name(11) == "reading 11"
    assert room_name("extra-time") == "time to work"
    assert "extra" not in {word for kind in SILENCES for word in room_name(kind).split()}
