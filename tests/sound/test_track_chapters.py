"""Chapters: marks of the timeline in whole milliseconds."""

from __future__ import annotations

import pytest
from pausewright.plan.timeline import Mark
from pausewright.sound.chapter_marks import Chapter, chapters
from support.tracks.sound_samples import at_samples, say, wait


def test_chapters_last_to_the_next_mark() -> None:
    """Each chapter ends where the next begins, the last one with the track."""
    timeline = at_samples(
        1000,
        (Mark("part", "Road"), 0, 0),
        (say("Listen."), 0, 700),
        (Mark("question", "Question 1"), 700, 700),
        (say("One."), 700, 1_900),
        (Mark("stop", "Stop"), 1_900, 1_900),
        (wait("0.1", "run-out"), 1_900, 2_000),
    )

    assert chapters(timeline) == (
        Chapter(0, 700, "Road"),
        Chapter(700, 1_900, "Question 1"),
        Chapter(1_900, 2_000, "Stop"),
    )


@pytest.mark.parametrize(
    ("sample", "start_ms"), [(44, 1), (22, 0), (23, 1), (66, 1), (67, 2), (2_645_982, 60_000)]
)
def test_starts_are_rounded_half_up(sample: int, start_ms: int) -> None:
    """By hand at 44.1 kHz: 22 samples are 0.4989 ms, 23 are 0.5215 ms, 66 are 1.4966 ms."""
    timeline = at_samples(
        44_100,
        (wait("60"), 0, sample),
        (Mark("part", "P"), sample, sample),
        (say("One."), sample, sample + 4_410),
    )

    assert chapters(timeline)[0].start_ms == start_ms


def test_exactly_half_a_millisecond_goes_up() -> None:
    """At 2,000 Hz one sample is 0.5 ms and becomes 1."""
    timeline = at_samples(2_000, (wait("0"), 0, 1), (Mark("part", "P"), 1, 1), (say("A"), 1, 90))

    assert chapters(timeline)[0].start_ms == 1


def test_marks_on_one_millisecond_become_one_chapter() -> None:
    """A part and its first question at the same place share a chapter; none has no length."""
    timeline = at_samples(
        1000,
        (Mark("part", "Road"), 0, 0),
        (Mark("question", "Question 1"), 0, 0),
        (say("One."), 0, 700),
        (Mark("part", "End"), 700, 700),
    )

    assert chapters(timeline) == (Chapter(0, 700, "Road: Question 1"),)


def test_shown_times() -> None:
    """Hours, minutes and seconds are split from whole milliseconds."""
    assert Chapter(3_723_045, 4_000_000, "").shown_start == "01:02:03.045"
    assert Chapter(59_999, 60_000, "").shown_start == "00:00:59.999"


def test_a_track_without_marks_has_no_chapters() -> None:
    """A script may be a few paragraphs and nothing else."""
    assert chapters(at_samples(1000, (say("One."), 0, 700))) == ()
