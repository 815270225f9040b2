"""Transcripts: what candidates may read, and everything."""

from __future__ import annotations

from fractions import Fraction

from pausewright.captions.transcript import transcript
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.model import Sound
from pausewright.wording.line_elements import Excerpt
from support.tracks.sound_samples import HERE, at_samples, chime, laid_out, say, small_test, wait


def test_the_candidates_transcript_by_hand() -> None:
    """Instructions and question numbers under part titles; no withheld word, no silence."""
    text = transcript(laid_out(small_test()), heading=["Road", "Edition K7M2"], words="shown")

    assert text == (
        "Road\nEdition K7M2\n\n\nRoad\n\n"
        "Listen to the following questions.\n"
        "Question 1.\nQuestion 2.\nQuestion 3.\n"
        "Stop here.\nThe recording continues.\n"
    )


def test_the_full_transcript_by_hand() -> None:
    """Every word as spoken and every silence with kind and exact seconds, at its time."""
    recording = Sound("A dance", "d.flac", HERE, words="¿Diga?", speaker="Marta")
    timeline = at_samples(
        1_000,
        (wait("0.5", "lead-in"), 0, 500),
        (Mark("question", "Question 1"), 500, 500),
        (say("one eighth", shown="⅛", captioned=False, speaker="Jo"), 500, 1_500),
        (Wait("answer-time", Fraction(20, 3)), 1_500, 8_167),
        (Say(chime(), "cue", captioned=True), 8_167, 8_567),
        (Say(Excerpt(recording), "passage", captioned=False), 8_567, 9_000),
        (Say(Excerpt(Sound("", "x.wav", HERE)), "passage", captioned=False), 9_000, 9_500),
    )

    assert transcript(timeline, heading=["Road"], words="all") == (
        "Road\n\n"
        "00:00:00.000  [silence at the start: 0.5 s]\n"
        "\n"
        "00:00:00.500  Question 1\n"
        "00:00:00.500  Jo: one eighth\n"
        "00:00:01.500  [answer time: 6.667 s]\n"
        "00:00:08.167  [tone ‘chime’: 0.4 s]\n"
        "00:00:08.567  Marta: [recording: A dance] ¿Diga?\n"
        "00:00:09.000  [recording: x.wav]\n"
    )


def test_speakers_begin_lines_of_their_own() -> None:
    """A change of speaker begins a line with the new name; short pauses do not."""
    timeline = laid_out(
        [
            say("Hello?", speaker="Marta"),
            wait("0.4", "default-pause"),
            say("Who is it?", speaker="Marta"),
            wait("0.6", "default-pause"),
            say("It is me.", speaker="Jo"),
            wait("0.7"),
            say("Stop."),
        ]
    )

    assert transcript(timeline, heading=[], words="shown") == (
        "\nMarta: Hello? Who is it?\nJo: It is me.\nStop.\n"
    )


def test_withheld_words_never_reach_the_candidates() -> None:
    """Not one word of a withheld question stands in their transcript."""
    text = transcript(laid_out(small_test()), heading=[], words="shown")

    assert "melons" not in text
    assert "melons" in transcript(laid_out(small_test()), heading=[], words="all")
