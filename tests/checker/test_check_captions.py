"""The strict caption readers, and captions against the sound."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.checker.shown.caption_readers import read_captions, read_srt, read_webvtt
from pausewright.checker.shown.caption_reading import (
    READERS,
    ReadCue,
    judge_reading,
    words_a_minute,
)
from pausewright.checker.shown.captions_alike import judge_alike
from pausewright.checker.shown.captions_shown import NOT_AUTHORS
from pausewright.problems import TrackError
from support.amounts import cases
from support.tracks.caption_tracks import SHOWN, Shown, Track, allowed, judged, made_track
from support.tracks.checker_tracks import SCRIPT, worded
from support.tracks.webvtt_texts import ALLOWED, GOOD, timed

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def faults(text: str) -> list[tuple[int, str]]:
    """Return the faults of a WebVTT text."""
    return [(fault.line, fault.sentence) for fault in read_webvtt(text.encode()).faults]


@pytest.mark.parametrize(
    "text",
    [
        *(pytest.param(text, id=name) for name, text in ALLOWED.items()),
        pytest.param(
            "WEBVTT\n\n00:01.000 --> 00:02.000\nA\n\n00:01.000 --> 00:03.000\nB\n", id="overlap"
        ),
        pytest.param("WEBVTT", id="no-cues"),
    ],
)
def test_good_webvtt(text: str) -> None:
    """What the W3C's draft allows is no fault (VTT-01 to VTT-09)."""
    assert faults(text) == []


@pytest.mark.parametrize(
    ("text", "line"),
    [
        pytest.param(GOOD.replace("WEBVTT", "WEBVTTX"), 1, id="VTT-01-signature"),
        pytest.param("WEBVTT\n00:01.000 --> 00:02.000\nA\n", 2, id="VTT-01-blank"),
        pytest.param(timed("00:01,000 --> 00:02.000"), 3, id="VTT-02-comma"),
        pytest.param(timed("00:01.00 --> 00:02.000"), 3, id="VTT-02-two-digits"),
        pytest.param(timed("00:00:60.000 --> 00:01:01.000"), 3, id="VTT-02-sixty"),
        pytest.param(timed("1:00:00.000 --> 01:00:01.000"), 3, id="VTT-02-one-digit-hour"),
        pytest.param(timed("00:01.000-->00:02.000"), 3, id="VTT-03-no-blank"),
        pytest.param(
            "WEBVTT\n\n00:05.000 --> 00:06.000\nA\n\n00:04.000 --> 00:09.000\nB\n",
            6,
            id="VTT-04-order",
        ),
        pytest.param(timed("00:01.000 --> 00:01.000"), 3, id="VTT-05-no-length"),
        pytest.param(timed("00:02.000 --> 00:01.000"), 3, id="VTT-05-backwards"),
        pytest.param(
            "WEBVTT\n\na\n00:01.000 --> 00:02.000\nA\n\na\n00:03.000 --> 00:04.000\nB\n",
            7,
            id="VTT-06-twice",
        ),
        pytest.param(timed("00:01.000 --> 00:02.000", "A --> B"), 4, id="VTT-07-arrow"),
        pytest.param("WEBVTT\n\nNOTE a --> b\n", 3, id="VTT-07-arrow-in-note"),
        pytest.param(timed("00:01.000 --> 00:02.000", "3 < 5"), 4, id="VTT-08-less"),
        pytest.param(
            timed("00:01.000 --> 00:02.000", "one\nBed & board"), 5, id="VTT-08-ampersand"
        ),
        pytest.param(
            timed("00:01.000 --> 00:02.000", "&nosuch;"), 4, id="VTT-08-unknown-reference"
        ),
        pytest.param(timed("00:01.000 --> 00:02.000", "A <00:03.000>B"), 4, id="VTT-09-inner-time"),
        pytest.param(timed("00:01.000 --> 00:02.000", "<x>A</x>"), 4, id="unknown-tag"),
        pytest.param(timed("00:01.000 --> 00:02.000", "<b>A"), 4, id="open-tag"),
        pytest.param(timed("00:01.000 --> 00:02.000 colour:red"), 3, id="unknown-setting"),
        pytest.param(timed("00:01.000 --> 00:02.000 size:120%"), 3, id="setting-over-100"),
        pytest.param("WEBVTT\n\nlost text\n", 3, id="block-without-timings"),
        pytest.param(GOOD + "\nSTYLE\n::cue { color: red }\n", 7, id="style-after-cues"),
    ],
)
def test_bad_webvtt(text: str, line: int) -> None:
    """Each departure from the W3C's draft is told with its line (VTT-01 to VTT-09)."""
    assert line in [at for at, _ in faults(text)]


def test_not_utf_8() -> None:
    """A file in another encoding is a fault, not a crash."""
    found = read_webvtt("WEBVTT\n\n00:01.000 --> 00:02.000\nna\u00efve\n".encode("latin-1"))

    assert [fault.line for fault in found.faults] == [4]


def test_cue_text_is_what_a_reader_sees() -> None:
    """References are resolved and tags left out (VTT-08's example)."""
    (cue,) = read_webvtt(GOOD.encode()).cues

    assert (cue.start_ms, cue.end_ms, cue.text) == (1000, 2500, "Say 3 < 5 & 6.")


def test_srt() -> None:
    """A common SubRip file is read; a wrong number, a point and an empty cue are told."""
    good = b"1\n00:00:01,000 --> 00:00:02,000\nA\n\n2\n00:00:03,000 --> 00:00:04,000\nB\n"
    bad = good.replace(b"2\n", b"3\n", 1).replace(b"03,000", b"03.000")

    assert read_srt(good).faults == []
    assert [cue.text for cue in read_srt(good).cues] == ["A", "B"]
    assert len(read_srt(bad).faults) == 2
    assert len(read_srt(b"1\n00:00:01,000 --> 00:00:02,000\n").faults) == 1


@settings(max_examples=cases(50, 1500), deadline=None)
@given(st.binary(max_size=400) | st.text(alphabet="WEBVTNO\n\r0123:.,-> <&;b/", max_size=300))
def test_any_bytes_are_read(data: bytes | str) -> None:
    """No bytes make a caption reader fail."""
    raw = data.encode() if isinstance(data, str) else data
    for bytes_ in (raw, b"WEBVTT\n\n00:01.000 --> 00:02.000\n" + raw):
        assert all(fault.line >= 1 for fault in read_webvtt(bytes_).faults)
        assert all(fault.line >= 1 for fault in read_srt(bytes_).faults)


@pytest.mark.parametrize("name", ["none.vtt", "none.srt", "c.txt"])
def test_files_that_cannot_be_captions(name: str, tmp_path: Path) -> None:
    """A missing file or another ending is an error with a hint."""
    with pytest.raises(TrackError, match=r"captions|caption file"):
        read_captions(tmp_path / name)


# ---- against the sound -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def track(tmp_path_factory: pytest.TempPathFactory) -> Track:
    """Return a good track of `SCRIPT`."""
    return made_track(tmp_path_factory.mktemp("track"))


def test_good_captions(track: Track, tmp_path: Path) -> None:
    """Captions of instructions and numbers, inside their speech, give no finding."""
    assert judged(track, tmp_path, allowed(track)) == []


def test_a_cue_may_be_split(track: Track, tmp_path: Path) -> None:
    """Two cues may share one utterance."""
    cues = allowed(track)
    words, start, end = cues[1]
    middle = (start + end) / 2
    cues[1:2] = [(words[:24].strip(), start, middle), (words[24:].strip(), middle, end)]

    assert judged(track, tmp_path, cues) == []


@pytest.mark.parametrize(
    ("change", "code"),
    [
        pytest.param(lambda w, a, b: (w, a - 0.3, b), "caption-early", id="early"),
        pytest.param(lambda w, a, b: (w, a, b + 2), "caption-hangs", id="hanging"),
        pytest.param(lambda w, a, b: (w, a + 1.6, b + 0.1), "caption-late", id="late"),
        pytest.param(lambda w, a, b: (w, a, a + (b - a) / 8), "caption-fast", id="cut-short"),
        pytest.param(lambda w, a, b: (w[:-6], a, b), "caption-missing", id="words-left-out"),
        pytest.param(lambda w, a, b: (w, a, b + 0.9), "caption-overlap", id="overlapping"),
        pytest.param(lambda _, a, b: ("Other words.", a, b), "caption-words", id="other-words"),
    ],
)
def test_bad_cues(
    track: Track, tmp_path: Path, change: Callable[[str, float, float], Shown], code: str
) -> None:
    """A cue that is early, hangs or says something else is found."""
    cues = allowed(track)
    cues[1] = change(*cues[1])

    assert code in judged(track, tmp_path, cues)


def test_a_cue_must_not_hang_through_a_silence_of_the_candidates(
    track: Track, tmp_path: Path
) -> None:
    """What may stay 1.5 s elsewhere must be gone 0.2 s after the page turn's words."""
    cues = [
        (words, start, end + (0.7 if words == "Turn your sheet over." else 0))
        for words, start, end in allowed(track)
    ]

    assert judged(track, tmp_path, cues) == ["caption-hangs"]


def test_a_withheld_question_is_found(track: Track, tmp_path: Path) -> None:
    """The words of a question in a caption are found by where they come from."""
    cues = [cue for cue in track[2] if cue[0] in SHOWN or cue[0].startswith("Double")]

    assert judged(track, tmp_path, cues) == ["caption-withheld", "caption-withheld"]


def test_one_letter_of_an_answer_is_found(track: Track, tmp_path: Path) -> None:
    """A cue "7" in an answer time is found, though "7" also stands elsewhere."""
    cues = allowed(track)
    end = next(end for words, _, end in reversed(track[2]) if words.startswith("Double"))
    cues = sorted([*cues, ("7", end + 2, end + 3)], key=lambda cue: cue[1])

    assert judged(track, tmp_path, cues) == ["caption-words"]


def test_missing_captions_are_a_warning(track: Track, tmp_path: Path) -> None:
    """An instruction without its caption is told, and does not fail the track."""
    assert judged(track, tmp_path, allowed(track)[1:]) == ["caption-missing"]


def test_words_must_not_be_shown_twice(track: Track, tmp_path: Path) -> None:
    """Two captions with the same words of one utterance are found."""
    cues = allowed(track)
    words, start, end = cues[1]
    middle = (start + end) / 2
    cues[1:2] = [(words, start, middle), (words, middle, end)]

    assert "caption-repeated" in judged(track, tmp_path, cues)


def test_the_same_words_at_two_places_are_two_captions(track: Track, tmp_path: Path) -> None:
    """A word that stands twice in one utterance may be split into two captions."""
    script = worded(tmp_path, SCRIPT.replace("There are eight sums.", "No, no, no, no."))
    words, start, end = track[2][0]
    middle = (start + end) / 2
    cues = [("No, no,", start, middle), ("no, no.", middle, end), *allowed(track)[1:]]

    assert words == "There are eight sums."
    found = judged((script, track[1], track[2]), tmp_path, cues)
    assert [code for code in found if code.startswith("caption")] == []


@pytest.mark.parametrize("kind", ["phrase-time", "between-phrase-readings"])
def test_dictation_has_silences_of_the_candidates_too(kind: str) -> None:
    """While candidates write a phrase, no caption may stay on the screen."""
    assert kind in NOT_AUTHORS


def test_words_a_minute() -> None:
    """Two words in one second are 120 words a minute (BBC Subtitle Guidelines, section 4)."""
    assert words_a_minute(2, Fraction(1)) == 120
    assert {name: one.most_wpm for name, one in READERS.items()} == {
        "adult": 180,  # BBC-01: 160 to 180
        "younger-readers": 130,  # DCMP-01: lower-level educational media
    }


@pytest.mark.parametrize(
    ("n_words", "shown_s", "readers", "codes"),
    [
        (60, 20, "adult", []),
        (61, 20, "adult", ["caption-rate"]),
        (60, 20, "younger-readers", ["caption-rate"]),
        (65, 30, "younger-readers", []),
        (29, 2, "adult", []),
    ],
)
def test_reading_speed(n_words: int, shown_s: int, readers: str, codes: list[str]) -> None:
    """The rate of a file is judged against its readers: 180 words a minute, or 130."""
    cue = ReadCue(Fraction(0), Fraction(shown_s), n_words, Fraction(shown_s), 3)
    found = judge_reading("t.vtt", [cue], READERS[readers])

    assert [finding.code for finding in found] == codes


SRT_A = b"1\n00:00:01,000 --> 00:00:02,000\nMarta: Yes\n\n2\n00:00:03,000 --> 00:00:04,000\nB\n"
VTT_A = b"WEBVTT\n\n00:01.000 --> 00:02.000\n<v Marta>Yes</v>\n\n00:03.000 --> 00:04.000\nB\n"


@pytest.mark.parametrize(
    ("srt", "n_findings"),
    [
        pytest.param(SRT_A, 0, id="same"),
        pytest.param(SRT_A.replace(b"B", b"C"), 1, id="other-word"),
        pytest.param(SRT_A.replace(b"03,000", b"03,001"), 1, id="other-time"),
        pytest.param(SRT_A.partition(b"\n\n")[0], 1, id="one-missing"),
        pytest.param(SRT_A.replace(b"Yes", b"No Yes"), 1, id="more-words"),
        pytest.param(SRT_A.replace(b"Marta: ", b""), 0, id="no-name"),
        pytest.param(SRT_A.replace(b"Yes", "Y\u200bes".encode()), 0, id="space-of-no-width"),
    ],
)
def test_srt_says_the_same(srt: bytes, n_findings: int) -> None:
    """Both files show the same words at the same times; a name may stand in one of them alone."""
    found = judge_alike(("t.vtt", "t.srt"), (read_webvtt(VTT_A), read_srt(srt)))

    assert [finding.code for finding in found] == ["captions-differ"] * n_findings
