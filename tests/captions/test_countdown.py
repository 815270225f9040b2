"""The countdown of answer times: what it says, when, and in which steps."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pausewright.captions.caption_profiles import ADULT, PROFILES, YOUNGER_READERS, CaptionProfile
from pausewright.captions.countdown_cues import time_left
from pausewright.captions.cues import Cue, cues, too_fast
from pausewright.captions.reading_speed import reading_notes
from pausewright.captions.srt import srt
from pausewright.captions.webvtt import webvtt
from pausewright.plan.step_writer import StepWriter
from pausewright.plan.timeline import Wait
from pausewright.script.references import QuestionRef
from pausewright.script.silences import SILENCE_KINDS
from support.tracks.sound_samples import HERE, at_samples, chime, laid_out, say, small_test, wait

WORDING = "{time} left"


def counted(answer_s: str, profile: CaptionProfile = ADULT) -> list[tuple[str, int, int]]:
    """Return the countdown of an answer time that begins at 0 s: text, start and end in ms."""
    found = cues(laid_out([wait(answer_s)]), profile=profile, countdown=WORDING)
    return [(cue.lines[0].removesuffix(" left"), cue.start_ms, cue.end_ms) for cue in found]


def test_each_second_of_a_short_answer_time() -> None:
    """By hand: of 3.25 s there are 3 s left after 0.25 s."""
    assert counted("3.25") == [("3 s", 250, 1_250), ("2 s", 1_250, 2_250), ("1 s", 2_250, 3_250)]


def test_every_fifth_second_of_a_long_one() -> None:
    """By hand: 1 min 17.5 s, in steps of 5 s until 10 s are left, then of 1 s."""
    found = counted("77.5")

    assert [text for text, _, _ in found] == [
        "1 min 17 s", "1 min 15 s", "1 min 10 s", "1 min 5 s", "1 min", "55 s", "50 s", "45 s",
        "40 s", "35 s", "30 s", "25 s", "20 s", "15 s", "10 s", "9 s", "8 s", "7 s", "6 s", "5 s",
        "4 s", "3 s", "2 s", "1 s",
    ]  # fmt: skip
    assert found[0][1:] == (500, 2_500)
    assert found[-1][1:] == (76_500, 77_500)


def test_younger_readers_have_two_seconds_a_cue() -> None:
    """No cue of theirs is gone before 2 s (DCMP, Captioning Guidelines, older set)."""
    assert [text for text, _, _ in counted("12.5", YOUNGER_READERS)] == [
        "12 s", "10 s", "8 s", "6 s", "4 s", "2 s",
    ]  # fmt: skip


def test_what_is_shorter_than_a_cue_is_not_counted() -> None:
    """Less than a second needs no countdown."""
    assert counted("0.9") == []


@pytest.mark.parametrize("kind", [k for k in SILENCE_KINDS if k != "answer-time"])
def test_other_silences_are_not_counted(kind: str) -> None:
    """Only answer times are."""
    step = Wait(kind, Fraction(10), HERE)  # type: ignore[arg-type]

    assert cues(laid_out([step]), countdown=WORDING) == ()


def test_nothing_is_counted_unless_asked_for() -> None:
    """Without a wording there is no countdown."""
    assert [cue for cue in cues(laid_out(small_test())) if "left" in cue.lines[0]] == []


def test_a_cue_in_the_middle_of_an_answer_time() -> None:
    """What is left in its first half is that and the second half, without the words between."""
    writer = StepWriter(Fraction(2, 5))
    writer.wait("answer-time", Fraction(4), HERE)
    writer.say(chime(), "cue", captioned=False)
    writer.wait("answer-time", Fraction(4), HERE, goes_on=True)
    writer.say(say("The end.").element, "instruction", captioned=False)
    writer.wait("answer-time", Fraction(2), HERE)
    found = cues(laid_out(writer.finished()), countdown=WORDING)

    assert [cue.lines[0] for cue in found] == [f"{n} s left" for n in (*range(8, 0, -1), 2, 1)]
    # half a second of lead-in, 4 s, then the tone of 0.4 s
    assert [cue.start_ms for cue in found[:6]] == [500, 1_500, 2_500, 3_500, 4_900, 5_900]
    assert found[3].end_ms == 4_500


def test_cues_are_numbered_through_and_in_order() -> None:
    """Captions and countdown are one list; a cue knows its question."""
    found = cues(laid_out([say("Go."), Wait("answer-time", Fraction(2), question=QuestionRef(4))]),
                 countdown=WORDING)  # fmt: skip

    assert [cue.identifier for cue in found] == ["1", "2", "3"]
    assert [cue.question for cue in found] == [None, QuestionRef(4), QuestionRef(4)]
    assert "2 s left" in webvtt(found, language="en-GB")
    assert "2 s left" in srt(found)


@given(
    st.fractions(min_value=0, max_value=400, max_denominator=44_100),
    st.sampled_from(sorted(PROFILES)),
    st.sampled_from(["{time} left", "{time}", "quedan {time}", "a b c d {time}"]),
    st.sampled_from([8_000, 22_050, 44_100, 48_000]),
)
def test_any_answer_time(answer_s: Fraction, name: str, wording: str, rate_hz: int) -> None:
    """What is said is left within a millisecond; cues touch, stay inside, and can be read."""
    n_samples = math.ceil(answer_s * rate_hz)
    start = rate_hz // 3
    line = at_samples(rate_hz, (Wait("answer-time", answer_s), start, start + n_samples))
    found = cues(line, profile=PROFILES[name], countdown=wording)
    end_s = Fraction(start + n_samples, rate_hz)

    for cue in found:
        assert abs(said_s(cue) - (end_s - Fraction(cue.start_ms, 1000))) <= Fraction(1, 1000)
        assert too_fast(cue, PROFILES[name]) is None
        assert cue.end_ms - cue.start_ms <= 10_000
    assert [a.end_ms for a in found[:-1]] == [b.start_ms for b in found[1:]]
    assert reading_notes(found, PROFILES[name]) == ()
    if found:
        assert abs(Fraction(found[-1].end_ms, 1000) - end_s) <= Fraction(1, 2000)
        assert 1000 * start // rate_hz <= found[0].start_ms <= 1000 * start // rate_hz + 1_001


def said_s(cue: Cue) -> int:
    """Return the seconds that a cue says."""
    figures = dict(zip(cue.lines[0].split()[1:], cue.lines[0].split()[:-1], strict=True))
    return 60 * int(figures.get("min", 0)) + int(figures.get("s", 0))


@pytest.mark.parametrize(
    ("left_s", "text"),
    [(1, "1 s"), (59, "59 s"), (60, "1 min"), (61, "1 min 1 s"), (600, "10 min")],
)
def test_times_as_shown(left_s: int, text: str) -> None:
    """Whole seconds with the signs of the SI (min, s), in any language."""
    assert time_left(left_s) == text
