"""Cues: which words, when, in how many lines."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.captions.caption_profiles import ADULT, YOUNGER_READERS
from pausewright.captions.cues import cues, too_fast
from pausewright.captions.word_times import WordTime, shown_times
from pausewright.plan.timeline import Mark, Say
from pausewright.script.model import Sound
from pausewright.script.references import QuestionRef
from pausewright.wording.line_elements import Excerpt
from support.amounts import cases
from support.tracks.sound_samples import HERE, at_samples, chime, laid_out, say, small_test, wait

if TYPE_CHECKING:
    from pausewright.captions.cues import Cue
    from pausewright.plan.timeline import Step, Timeline
    from pausewright.script.silences import SilenceKind


def one(
    step: Step, start_sample: int = 0, end_sample: int = 44_100, rate_hz: int = 44_100
) -> tuple[Cue, ...]:
    """Return the cues of one sound at given samples."""
    return cues(at_samples(rate_hz, (step, start_sample, end_sample)))


def test_only_what_may_be_shown_is_shown() -> None:
    """Questions that are withheld, tones, marks and silences have no cue."""
    shown = [" ".join(cue.lines) for cue in cues(laid_out(small_test()))]

    assert shown == [
        "Listen to the following questions.",
        "Question 1.",
        "Question 2.",
        "Question 3.",
        "Stop here.",
        "The recording continues.",
    ]


def test_a_cue_lasts_as_long_as_its_words() -> None:
    """By hand: samples 22,050 to 66,150 at 44.1 kHz are 0.5 s to 1.5 s."""
    (cue,) = one(say("Listen.", question=QuestionRef(3), reading=2), 22_050, 66_150)

    assert (cue.start_ms, cue.end_ms, cue.lines) == (500, 1_500, ("Listen.",))
    assert (cue.question, cue.reading, cue.identifier) == (QuestionRef(3), 2, "1")


def test_times_are_rounded_half_up_once() -> None:
    """59.9996 s is one minute; half a millisecond goes up."""
    (late,) = one(say("A"), 599_996, 610_000, rate_hz=10_000)
    (half,) = one(say("A"), 1, 101, rate_hz=2_000)

    assert (late.start_ms, late.end_ms) == (60_000, 61_000)
    assert (half.start_ms, half.end_ms) == (1, 51)


def test_a_cue_is_never_empty() -> None:
    """A sound shorter than a millisecond still has a cue with an end after its start."""
    (cue,) = one(say("A"), 44_100, 44_105)

    assert cue.end_ms == cue.start_ms + 1


def test_what_is_shown_may_differ_from_what_is_said() -> None:
    """A cue shows `shown`, not the spoken words."""
    (cue,) = one(say("one eighth of fifty-six", shown="⅛ of 56"))

    assert cue.lines == ("⅛ of 56",)


def test_words_that_show_nothing_have_no_cue() -> None:
    """A text of blanks has no cue, and identifiers have no holes."""
    timeline = laid_out([say("Hm.", shown=" \n "), wait("1"), say("Listen.")])

    assert [(cue.identifier, cue.lines) for cue in cues(timeline)] == [("1", ("Listen.",))]


def test_lines_are_at_most_37_characters_and_even() -> None:
    """A sentence over one line becomes two lines, broken at its comma.

    37 characters: BBC Subtitle Guidelines, section 3.1 (check value BBC-06).
    """
    (cue,) = one(say("You will hear each question twice, then four seconds."))

    assert cue.lines == ("You will hear each question twice,", "then four seconds.")


def test_long_words_share_the_time_by_their_characters() -> None:
    """More than two lines become cues that follow each other without a hole."""
    text = " ".join(["seven77"] * 24)  # 24 words of 7 characters: 6 lines of 4 words

    found = one(say(text), 0, 441_000)

    assert [cue.lines for cue in found] == [(" ".join(["seven77"] * 4),) * 2] * 3
    assert [(cue.start_ms, cue.end_ms) for cue in found] == [
        (0, 3_333),
        (3_333, 6_667),
        (6_667, 10_000),
    ]


def test_the_last_cue_is_no_leftover() -> None:
    """A text of a little over two lines is shared evenly, not two full lines and a word."""
    text = "The shop in the harbour road sells nine boxes of yellow candles on Monday morning."

    first, second = one(say(text))

    assert min(len(" ".join(cue.lines)) for cue in (first, second)) > 30


def test_a_word_longer_than_a_line_is_not_broken() -> None:
    """Nothing is lost or cut of a word of 50 characters."""
    found = one(say("a " + "x" * 50 + " b"))

    assert [line for cue in found for line in cue.lines] == ["a", "x" * 50, "b"]


def test_no_break_spaces_hold() -> None:
    """A number and its unit with a no-break space between stay on one line."""
    found = one(say("The plank on the wall in the yard is 12\u00a0metres long today."))

    assert any("12\u00a0metres" in line for cue in found for line in cue.lines)


def test_speakers_are_named_on_the_first_cue_of_their_words() -> None:
    """All cues know their speaker; only the first of an utterance is to be labelled."""
    found = one(say("word " * 40, speaker="Marta"), 0, 441_000)

    assert {cue.speaker for cue in found} == {"Marta"}
    assert [cue.named for cue in found] == [True] + [False] * (len(found) - 1)
    assert len("Marta: " + found[0].lines[0]) <= 37


def test_a_recording_is_shown_by_its_declared_words() -> None:
    """A sound file shows its declared words and speaker, and nothing without words."""
    dance = Sound("A dance", "d.flac", HERE)
    speech = Sound("A call", "c.flac", HERE, words="¿Diga?", speaker="Marta")
    timeline = at_samples(
        1_000,
        (Say(Excerpt(dance), "passage", captioned=True), 0, 500),
        (Say(Excerpt(speech), "passage", captioned=True), 500, 900),
        (Say(chime(), "cue", captioned=True), 900, 950),
        (Mark("part", "End"), 950, 950),
    )

    (cue,) = cues(timeline)

    assert (cue.lines, cue.speaker, cue.start_ms, cue.end_ms) == (("¿Diga?",), "Marta", 500, 900)


@pytest.mark.parametrize(
    ("wait_s", "kind", "gap_ms"),
    [
        ("0.3", "pause", 0),  # closed: under 1 s (BBC Subtitle Guidelines, section 4.5)
        ("0.999", "default-pause", 0),
        ("1.2", "pause", 0),  # held for its reader to 1.334 s; what is left is under 1 s
        ("2.4", "pause", 2_110),
        ("0.3", "between-readings", 300),  # a silence of the candidates stays empty
        ("0.9", "answer-time", 900),
    ],
)
def test_short_gaps_between_sentences(wait_s: str, kind: SilenceKind, gap_ms: int) -> None:
    """The author's short pauses are closed on the screen; the candidates' silences never."""
    timeline = laid_out([say("Listen to this now."), wait(wait_s, kind), say("And to this.")])

    first, second = cues(timeline)

    assert second.start_ms - first.end_ms == gap_ms
    assert first.spoken_until_ms == clock_ms(timeline, 0)


def clock_ms(timeline: Timeline, index: int) -> int:
    """Return where a sound ends, to the nearest millisecond."""
    end_ms = Fraction(1000 * timeline.placed[index].end_sample, timeline.rate_hz)
    return int(end_ms + Fraction(1, 2))


@pytest.mark.parametrize(
    ("kind", "end_ms"),
    [("pause", 2_450), ("run-out", 2_450), ("answer-time", 1_000), ("look-time", 1_000)],
)
def test_a_slower_reader_keeps_the_words_longer(kind: SilenceKind, end_ms: int) -> None:
    """Six words at 130 a minute need 2.77 s; 1.5 s after the speech is the most (BBC-05).

    Less 50 ms for where a listener hears the speech end.
    """
    timeline = at_samples(
        1_000, (say("one two three four five six"), 0, 1_000), (wait("4", kind), 1_000, 5_000)
    )

    (cue,) = cues(timeline, profile=YOUNGER_READERS)

    assert (cue.start_ms, cue.end_ms, cue.spoken_until_ms) == (0, end_ms, 1_000)
    assert too_fast(cue, YOUNGER_READERS) == Fraction(end_ms, 1000) / Fraction(36, 13)


def test_a_cue_that_can_be_read_is_not_too_fast() -> None:
    """Four words in 1.2 s are the fastest that may be (BBC-02); in 1.19 s they are too fast."""
    (slow,) = one(say("one two three four"), 0, 1_334, 1_000)
    (fast,) = one(say("one two three four"), 0, 1_190, 1_000)

    assert too_fast(slow, ADULT) is None
    assert too_fast(fast, ADULT) is not None


def test_cues_begin_with_their_words() -> None:
    """With word times a cue begins when its first word is heard, to the millisecond."""
    text = "If anything is unclear, ask now, because the recording waits for you and nobody else."
    spoken = text.split()
    heard = [WordTime(w, 100 * i * i, 100 * i * i + 90) for i, w in enumerate(spoken)]
    timeline = at_samples(1_000, (wait("1"), 0, 1_000), (say(text), 1_000, 30_000))

    found = cues(timeline, word_times=lambda _: heard)

    assert len(found) > 1
    at = 0
    for cue in found:
        assert cue.start_ms == 1_000 + 100 * at * at
        at += len(" ".join(cue.lines).split())


def test_figures_are_shown_while_their_words_are_heard() -> None:
    """Figures stand for several words: what lies between equal words is shared."""
    spoken = ["Add", "fifty", "six", "to", "three", "kilometres", "now"]
    heard = [WordTime(w, 100 * i, 100 * i + 80) for i, w in enumerate(spoken)]

    found = shown_times(["Add", "56", "to", "3", "km", "…", "now."], heard, 700)

    assert found[0] == (0, 80)
    assert found[1] == (100, 280)
    assert found[2] == (300, 380)
    assert (found[3][0], found[5][1]) == (400, 580)
    assert found[-1] == (600, 680)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("For questions 1 to 6 there are six seconds after the second reading.", "six"),
        ("I will be there at half past nine in the evening, I think.", "at"),
        ("The shop in the harbour road sells nine boxes of yellow candles here.", "the"),
        ("You should have written down what the keeper of the light was saying.", "was"),
        ("Stay in your seat until your sheet has been taken in by somebody.", "your"),
    ],
)
def test_lines_are_broken_at_sense(text: str, wrong: str) -> None:
    """No line ends with an article, a preposition, a pronoun, a part of a verb or a number.

    BBC Subtitle Guidelines, section 3.4 (check value BBC-08).
    """
    lines = [line for cue in one(say(text)) for line in cue.lines]

    assert len(lines) > 1
    assert not [line for line in lines if line.split()[-1] == wrong]


@settings(max_examples=cases(50, 1500), deadline=None)
@given(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=400),
    st.integers(1, 600_000),
    st.sampled_from(["", "Marta", "A very long name of somebody"]),
)
def test_any_text_keeps_its_words_and_its_time(text: str, n_samples: int, speaker: str) -> None:
    """Whatever the text: words in order, times inside the utterance, no empty cue, no overlap."""
    timeline = laid_out([wait("0.37"), say("x")])
    start = timeline.placed[1].start_sample
    found = one(say(text, speaker=speaker), start, start + n_samples)

    words = " ".join(line for cue in found for line in cue.lines)
    blanks = "\t\n\r\f\v\x1c\x1d\x1e\x1f\x85\u2028\u2029"
    plain = text.replace("\0", "\ufffd").translate({ord(blank): " " for blank in blanks})
    assert words == " ".join(word for word in plain.split(" ") if word)
    for cue in found:
        assert cue.start_ms < cue.end_ms
        assert all(line.strip(" ") == line != "" for line in cue.lines)
        assert all(len(line) <= 37 or " " not in line for line in cue.lines)
    for first, second in itertools.pairwise(found):
        assert first.end_ms == second.start_ms
    if found:
        end_ms = Fraction(1000 * (start + n_samples), 44_100)
        assert found[0].start_ms == 370
        assert found[-1].end_ms <= 371 or found[-1].end_ms <= end_ms + Fraction(1, 2)


@pytest.mark.parametrize("n_words", [1, 9, 10, 11, 60, 2_000])
def test_two_lines_at_most_while_there_is_time(n_words: int) -> None:
    """No cue has more than two lines as long as each can have a millisecond."""
    found = one(say("melons " * n_words), 0, 441_000)

    assert max(len(cue.lines) for cue in found) <= 2
