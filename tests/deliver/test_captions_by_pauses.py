"""Captions of a recording with plain words lie where its sentences are, whatever its pauses."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
import soundfile
from pausewright.checker.shown.caption_readers import read_captions
from pausewright.deliver import recorded_words
from pausewright.deliver.build import build_versions
from pausewright.deliver.build_options import CheckFailedError
from support.recordings.made import RATE_HZ, Made
from support.scripts.versions import options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from pathlib import Path

SENTENCES = (
    ("The mill stands at the bend of the old river, where the bank is high.", 17),
    ("It was built of grey stone two hundred years ago by a man called Otto.", 17),
    ("Two brothers ground the wheat of eleven villages there every autumn.", 18),
    ("Then the water fell, and the wheel stood still.", 11),
)
PAUSES_S = (6.0, 0.5, 1.4)
TEXT = """---
title: The mill
language: en-GB
voice: joe
captions: everything
captions-reason: made for tests
---

# Test

Listen.

::: passage {answer-time="3 s"}
![The mill](mill.wav){words="WORDS"}
:::

The test is over.
"""


def mill(folder: Path) -> tuple[Path, list[float]]:
    """Write the recording and a script with it; return when its sentences begin, in seconds."""
    made = Made()
    for (_, n_syllables), pause_s in zip(SENTENCES, (*PAUSES_S, 0), strict=True):
        made.say(n_syllables + round(10 * pause_s), n_syllables).wait(pause_s)
    soundfile.write(folder / "mill.wav", made.samples(), RATE_HZ)
    words = " ".join(text for text, _ in SENTENCES)
    return written(folder, TEXT.replace("WORDS", words), ""), [a for a, _ in made.spans_s]


def test_each_sentence_is_shown_when_it_is_said(tmp_path: Path) -> None:
    """By construction, within 0.25 s; the check finds the track good."""
    script, true_s = mill(tmp_path)
    soft = fake_engines(FakeEngine(ramp_s=0.05))
    (made,) = build_versions(script, options(tmp_path, engines=soft), ["standard"])
    assert made.is_good
    (file,) = (made.folder / "version-A").glob("*.vtt")
    found = {" ".join(cue.text.split()): cue.start_ms / 1000 for cue in read_captions(file).cues}
    begins = {
        i: at - found[next(text for text in found if text.startswith("The mill"))]
        for i, (sentence, _) in enumerate(SENTENCES)
        for text, at in found.items()
        if sentence.startswith(text[:14])
    }

    # the second pause, of half a second, need not part two cues
    assert {0, 1, 3} <= begins.keys()
    for i, at in begins.items():
        assert at == pytest.approx(true_s[i], abs=0.25)


def test_captions_that_share_the_length_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As they were made before: seconds early. The check has its own way to the pauses."""
    script, _ = mill(tmp_path)
    monkeypatch.setattr(recorded_words, "times_of_words", lambda *_: [])
    soft = fake_engines(FakeEngine(ramp_s=0.05))

    with pytest.raises(CheckFailedError) as refused:
        build_versions(script, options(tmp_path, engines=soft), ["standard"])
    codes = {finding.code for check in refused.value.checks for finding in check.findings}
    assert codes & {"caption-early", "caption-late", "caption-hangs"}
