"""From a phone's recording and a text file to a captioned, checked track: no time typed by hand.

The recording is put together from labelled clips of a person (support/recordings/given.py), in a
room at -48 dBFS, as MP3 at 22 kHz. The ear takes no part: nothing depends on what is installed.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.ear.recogniser import EarMissingError
from pausewright.checker.shown.caption_readers import read_captions
from pausewright.tasks import drafts
from support.recordings.given import END, FIRST, HELLO, SECOND, WORDS, coded, recording

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run

CUE_MS = 250
WORDS_OF_PAPER = f"""{WORDS[HELLO]}

1. {WORDS[FIRST]}
2. {WORDS[SECOND]}

{WORDS[END]}
"""


def missing() -> object:
    """Have no ear."""
    raise EarMissingError("missing", "install it")


def test_three_commands_from_a_phone_to_a_checked_track(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`draft`, `build` and `check`: each ends well, both captions begin with their words.

    The clips begin 40 dB below their peaks; an MP3 adds its coder's delay where a player does not
    take it off. Captions show what is not a question.
    """
    monkeypatch.setattr(drafts, "BundledRecogniser", missing)
    made = recording(tmp_path / "first.wav", rate_hz=22_050, noise_db=-48.0)
    coded(made.path, tmp_path / "phone.mp3")
    made.path.unlink()
    (tmp_path / "words.txt").write_text(WORDS_OF_PAPER, encoding="utf-8")

    code, out, err = run("draft", "phone.mp3", "--text", "words.txt", "-o", "phone.md")
    assert (code, "2 questions" in out) == (0, True), out + err
    script = (tmp_path / "phone.md").read_text("utf-8")
    assert "answer-time: 8 s" in script
    assert "between-readings: 2 s" in script
    assert [words for words in WORDS.values() if f'words="{words}"' not in script] == []
    code, out, err = run("build", "phone.md", "--quiet")
    assert code == 0, out + err
    (track,) = tmp_path.glob("out/phone/version-A/*.mp3")
    code, out, err = run("check", str(track), "--script", "phone.md")
    assert (code, "NOT GOOD" in out) == (0, False), out + err

    (captions,) = tmp_path.glob("out/phone/version-A/*.vtt")
    starts = {re.sub(r"\s+", " ", one.text): one.start_ms for one in read_captions(captions).cues}
    for clip, place in ((HELLO, 0), (END, 5)):
        true_ms = 1000 * made.spans[place][0] / made.rate_hz
        assert starts[WORDS[clip]] == pytest.approx(true_ms, abs=CUE_MS)
