"""Recordings of people with published transcripts: does the machine's ear hear their words?

The clips are in Debian's package `pocketsphinx-testdata` (BSD): five sentences of a novel, read for
LibriVox, and names of playing cards, full of numbers. They are fetched by the test and not shipped.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import soundfile
import soxr
from pausewright.checker.ear.recogniser import MANNERS, BundledRecogniser
from support.spoiling.spoil import db
from support.tracks.checker_tracks import written
from support.voices.heard_words import needs_the_ear
from support.voices.outside_recordings import debian_package

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run
    from support.tracks.checker_tracks import Wave

RATE_HZ = 16_000
SPEECH_DB = -23.0
ANSWER_S, LEAD_S, TAIL_S = 2.0, 0.5, 1.0
HEAD = f"""---
title: Recordings of people
language: en-US
---

# Clips {{answer-time="{ANSWER_S:g} s"}}

"""
CHANGED = {
    "ten of clubs": ("ten", "two", "heard-number"),
    "eight of spades four of clubs seven of hearts": ("four", "nine", "heard-number"),
    "he was not an ill disposed young man": ("not ", "", "heard-negation"),
}
"""A word of a transcript, what the script says in its place, and what must be found."""


@pytest.fixture(scope="module")
def clips() -> dict[str, Wave]:
    """Return each transcript and its sound, all at one level; a sentence of the novel is last."""
    needs_the_ear()
    folder = debian_package("pocketsphinx-testdata") / "usr/share/pocketsphinx/test/data"
    found = {}
    for name in ("cards/cards.transcription", "librivox/transcription"):
        rows = re.findall(r"<s> (.+?) +</s> \((.+)\)", (folder / name).read_text("utf-8"))
        assert len(rows) == 5
        for words, clip in rows:
            wave, rate_hz = soundfile.read((folder / name).parent / f"{clip}.wav", dtype="float32")
            assert rate_hz == RATE_HZ
            found[words] = (wave * db(SPEECH_DB) / np.sqrt(np.mean(wave**2))).astype(np.float32)
    return found


@pytest.fixture
def track(clips: dict[str, Wave], tmp_path: Path) -> Path:
    """Return all clips as a test has them: answer times between, the last one as the closing."""
    parts = [np.zeros(int(LEAD_S * RATE_HZ), np.float32)]
    for wave in clips.values():
        parts += [wave, np.zeros(int(ANSWER_S * RATE_HZ), np.float32)]
    parts[-1] = parts[-1][: int(TAIL_S * RATE_HZ)]
    return written(tmp_path / "people.wav", np.concatenate(parts), RATE_HZ)


def _heard(run: Run, track: Path, sentences: list[str]) -> tuple[dict[str, str], dict[str, Any]]:
    """Return what the ear found, by question ("" for the closing), and its summary."""
    script = track.with_name("people.md")
    questions = "".join(f"{n}. {words}\n" for n, words in enumerate(sentences[:-1], 1))
    script.write_text(f"{HEAD}{questions}\n# Close\n\n{sentences[-1]}\n", encoding="utf-8")
    _, out, _ = run("check", str(track), "--script", str(script), "--recognise", "--json")
    report = json.loads(out)
    found = {
        finding["question"] or "": finding["code"]
        for finding in report["findings"]
        if finding["code"].startswith("heard")
    }
    return found, report["ear"]


@pytest.mark.voice
def test_people_are_heard_as_their_transcripts_say(
    run: Run, track: Path, clips: dict[str, Wave]
) -> None:
    """Nothing is found in ten recordings of two people, numbers and a "not" among them."""
    found, ear = _heard(run, track, list(clips))

    assert found == {}
    assert ear["heard"] == 10
    assert ear["as_the_script_says"] + ear["as_far_as_compared"] == 10
    uncompared = {word for row in ear["not_compared"] for word in row["words"]}
    assert uncompared <= {"clubs", "mister", "ill", "disposed"}


@pytest.mark.voice
def test_a_transcript_that_says_otherwise_is_found_out(
    run: Run, track: Path, clips: dict[str, Wave]
) -> None:
    """Two numbers and a "not" changed in the script are found, and nothing else."""
    sentences, wanted = [], {}
    for n, words in enumerate(clips, 1):
        word, other, code = CHANGED.get(words, ("", "", ""))
        sentences.append(words.replace(word, other, 1) if word else words)
        if word:
            wanted[str(n)] = code
    assert len(wanted) == len(CHANGED)

    found, _ = _heard(run, track, sentences)

    assert found == wanted


def test_the_ear_does_not_go_round_in_a_circle() -> None:
    """Three words of a spelling alphabet in noise: the model alone says the first 200 times more.

    Words from Debian's `asterisk-core-sounds-en-wav` (CC-BY-SA), fetched and not shipped.
    """
    needs_the_ear()
    folder = debian_package("asterisk-core-sounds-en-wav") / "usr/share/asterisk/sounds"
    parts = []
    for letter in "ape":
        wave, rate_hz = soundfile.read(
            folder / f"en_US_f_Allison/phonetic/{letter}_p.wav", dtype="float32"
        )
        parts += [soxr.resample(wave, rate_hz, RATE_HZ), np.zeros(int(0.4 * RATE_HZ), np.float32)]
    clip = np.concatenate(parts)
    noise = np.random.default_rng(1).standard_normal(len(clip)) * db(-50)
    for manner in MANNERS:
        (heard,) = BundledRecogniser().heard([(clip + noise).astype(np.float32)], manner)
        assert re.findall(r"\w+", heard.lower()) == ["alpha", "papa", "echo"], manner
