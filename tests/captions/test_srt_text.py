"""SRT: plain words that no player takes for anything else."""

from __future__ import annotations

import io
import subprocess
import unicodedata
from typing import TYPE_CHECKING, Any

import imageio_ffmpeg
import pytest
import webvtt as other_reader
from pausewright.captions.cues import cues
from pausewright.captions.srt import srt
from support.tracks.sound_samples import at_samples, laid_out, say, small_test

if TYPE_CHECKING:
    from pathlib import Path


def test_a_small_file_by_hand() -> None:
    """The whole text of a file with a speaker whose words take two cues."""
    text = " ".join(["seven77"] * 12)
    timeline = at_samples(
        1_000, (say("3 < 5 & 6?"), 500, 1_500), (say(text, speaker="Jo"), 59_999, 3_660_001)
    )

    assert srt(cues(timeline)) == (
        "1\n00:00:00,500 --> 00:00:01,500\n3 < 5 & 6?\n\n"
        "2\n00:00:59,999 --> 00:31:00,000\n"
        "Jo: seven77 seven77 seven77\nseven77 seven77 seven77\n\n"
        "3\n00:31:00,000 --> 01:01:00,001\n"
        "seven77 seven77 seven77\nseven77 seven77 seven77\n"
    )


HOSTILE = (
    "an arrow --> here", "<b>bold</b>", "{\\an8}up", "1\n2\n3", "00:00:01,000 --> 00:00:02,000",
    "a<b and c>d", "<font color=red>x", "{y:i}slanted", "x<y", "<!-- no -->", "{a} and {b}",
)  # fmt: skip


def without_blanks(text: str) -> str:
    """Return a text without blanks and line ends."""
    return "".join(text.split())


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_words_stay_words(text: str) -> None:
    """webvtt-py reads one cue with the same characters, blanks apart, all of which can be seen."""
    written = srt(cues(at_samples(1_000, (say(text), 0, 4_000))))

    captions: Any = other_reader.from_buffer(io.StringIO(written), format="srt")
    (caption,) = captions
    assert without_blanks(caption.raw_text) == without_blanks(text)
    assert written.count("-->") == 1
    assert not any(unicodedata.category(sign) == "Cf" for sign in written)


@pytest.mark.parametrize("text", HOSTILE)
def test_ffmpeg_takes_no_word_for_a_tag(text: str, tmp_path: Path) -> None:
    """The ffmpeg program shows every character of the words."""
    path = tmp_path / "t.srt"
    path.write_text(srt(cues(at_samples(1_000, (say(text), 0, 4_000)))), encoding="utf-8")

    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(path)]
    back = subprocess.run([*command, "-f", "srt", "-"], capture_output=True, check=True)

    shown = back.stdout.decode().split("\n", 2)[2]
    assert without_blanks(shown) == without_blanks(text)


def test_a_sign_that_closes_nothing_stays_as_it_is() -> None:
    """What no player takes for a tag is written as it is shown elsewhere."""
    written = srt(cues(at_samples(1_000, (say("x<y, a < b and {1, 2}"), 0, 4_000))))

    assert "x<y, a < b and {1, 2}" in written.replace("\n", " ")


def test_ffmpeg_reads_the_same_cues(tmp_path: Path) -> None:
    """The ffmpeg program turns the file into as many cues with the same words."""
    found = cues(laid_out(small_test()))
    path = tmp_path / "t.srt"
    path.write_text(srt(found), encoding="utf-8", newline="\n")

    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(path)]
    back = subprocess.run([*command, "-f", "webvtt", "-"], capture_output=True, check=True)

    words = [" ".join(block.split("\n")[1:]) for block in back.stdout.decode().split("\n\n")[1:]]
    assert [text.strip() for text in words if text] == [" ".join(cue.lines) for cue in found]
