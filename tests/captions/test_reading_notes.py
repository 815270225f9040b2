"""What is said of captions that go too fast."""

from __future__ import annotations

from pausewright.captions.caption_profiles import ADULT, YOUNGER_READERS
from pausewright.captions.cues import Cue
from pausewright.captions.reading_speed import reading_notes
from pausewright.script.references import QuestionRef
from support.tracks.sound_samples import HERE


def cue(start_ms: int, end_ms: int, words: str, question: QuestionRef | None = None) -> Cue:
    """Return a cue at line 1 of the script."""
    return Cue("1", start_ms, end_ms, (words,), question=question, place=HERE)


def test_a_fast_caption_is_named_with_what_helps() -> None:
    """Six words in 1.5 s are 240 a minute; 180 want 2 s: 75 % of the pace, or half a second."""
    (note,) = reading_notes([cue(0, 1_500, "one two three four five six", QuestionRef(4))], ADULT)

    assert note == (
        "line 1: a caption of question 4 is too fast to read (240 words a minute, limit 180 "
        "of the profile ‘adult’): slow the speech to 75 %, or pause 0.5 s after it"
    )


def test_what_can_be_read_is_not_named() -> None:
    """Six words in 2 s are 180 a minute: enough for one reader, too fast for the other."""
    fine = [cue(0, 2_000, "one two three four five six")]

    assert reading_notes(fine, ADULT) == ()
    assert len(reading_notes(fine, YOUNGER_READERS)) == 1


def test_many_are_counted_and_the_worst_named() -> None:
    """Five are named, worst first, each place once; the others are a number."""
    fast = [
        cue(1000 * i, 1000 * i + 900 - 50 * i, "one two three four five", QuestionRef(i))
        for i in range(8)
    ]

    notes = reading_notes([*fast, *fast], ADULT)

    assert len(notes) == 6
    assert "question 7" in notes[0]
    assert "3 further places" in notes[-1]
