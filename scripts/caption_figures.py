"""Measure when captions begin against two measurements that know nothing of the voices.

    python scripts/caption_figures.py                both bundled voices, 60 sentences each
    python scripts/caption_figures.py --sentences 20

The longest sentences of the demo scripts, in captions of a few words each. Measured are captions
inside them: the first one begins with its sound by construction. The two measurements:

- where an aligner by hidden Markov models, told the words, finds each of them (PocketSphinx,
  its US English model, in steps of 10 ms);
- where sound begins again after the pause at a comma, semicolon or colon (praat-parselmouth:
  intensity 40 dB below its most).

A word whose first consonant is closed in silence (p, t, k) begins where that closes or where it
opens, as one likes: the aligner has the first, the ear the second. The row "words and their
silences" counts what a caption is off both.

Their own errors are measured on words that are voiced alone and laid 0.2 s apart, where the truth
is known to the sample; in running speech the aligner is 23 ms early, and 65 ms at most
(tests/voice/test_words_heard.py). Run it with the project's own interpreter.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import tempfile
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

import numpy as np
import parselmouth
from pausewright.captions.caption_profiles import ADULT
from pausewright.captions.cues import cues
from pausewright.captions.word_times import WordTime
from pausewright.deliver.project import open_project
from pausewright.plan.timeline import Placed, Say, Timeline
from pausewright.voice.studio import Studio
from pausewright.voice.voice_list import all_profiles
from pausewright.wording.line_elements import SpokenPart, Utterance
from support.voices.word_aligner import Aligner

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    Wave = NDArray[np.float32]

RATE_HZ: Final = 44_100
DEMOS: Final = Path(__file__).resolve().parent.parent / "demo_scripts"
AROUND_S: Final = 0.3
"""Silence laid before and after what is measured."""
SHORT: Final = replace(ADULT, line_characters=20, lines=1)
"""Captions so short that there are many starts to measure; broken at sense, as all are."""
APART_S: Final = 0.2
BELOW_DB: Final = 40.0
PAUSE_S: Final = 0.1
"""A shorter silence may be the closing of a consonant, inside a word."""
CLOSED_S: Final = 0.05
"""A shorter silence is not looked at at all."""
NEAR_S: Final = 0.4
"""How far from a caption's start a pause may end that is compared with it."""
MARKS: Final = (",", ";", ":", "–")
"""After these a voice makes a pause; elsewhere a consonant may look like one."""
ON_WORDS: Final = 10
"""Words of one strip of words laid apart."""


def plain(word: str) -> str:
    """Return a word's letters and figures."""
    return re.sub(r"[^a-z0-9]", "", word.lower())


def onsets(wave: Wave, least_s: float = PAUSE_S) -> list[tuple[float, float]]:
    """Return the pauses in a wave: how long each lasts and when it ends, in seconds."""
    sound = parselmouth.Sound(wave.astype(np.float64), RATE_HZ)
    intensity = sound.to_intensity(minimum_pitch=200, time_step=0.002)
    loud_db, at_s = intensity.values[0], intensity.xs()
    is_on = loud_db > loud_db.max() - BELOW_DB
    found, silent_since = [], 0.0
    for on, was_on, second in zip(is_on[1:], is_on[:-1], at_s[1:], strict=True):
        if was_on and not on:
            silent_since = second
        elif on and not was_on and second - silent_since >= least_s:
            found.append((float(second - silent_since), float(second)))
    return found


def pause_near(pauses_s: Sequence[tuple[float, float]], at_s: float) -> float | None:
    """Return when the longest pause about a place ends; None if there is none."""
    near = [one for one in pauses_s if abs(one[1] - at_s) <= NEAR_S]
    return max(near)[1] if near else None


def off_both_s(begins_s: float, word_s: float, silences_s: Sequence[tuple[float, float]]) -> float:
    """Return by how much a caption is off its word and off the end of a silence that it has."""
    first_s, last_s = min(begins_s, word_s), max(begins_s, word_s)
    own = [
        (length_s, end_s)
        for length_s, end_s in silences_s
        if end_s - length_s <= last_s + 0.03 and first_s - 0.02 <= end_s <= last_s + 0.25
    ]
    opens_s = max(own)[1] if own else word_s
    late_s, early_s = begins_s - max(word_s, opens_s), min(word_s, opens_s) - begins_s
    return late_s if late_s > 0 else -max(early_s, 0.0)


def sentences(n: int) -> list[Utterance]:
    """Return sentences of the demos that are shown as they are said, the longest ones."""
    found: dict[str, Utterance] = {}
    for script in sorted(DEMOS.glob("*.md")):
        for element in open_project(script).worded.all_elements():
            if not isinstance(element, Utterance) or not is_plain(element):
                continue
            said = [plain(word) for word in element.words.split()]
            if said == [plain(word) for word in element.shown.split()]:
                found.setdefault(element.words, element)
    return sorted(found.values(), key=lambda one: -len(one.words))[:n]


def is_plain(element: Utterance) -> bool:
    """Return whether all of a sentence is English, and short enough."""
    others = [part for part in element.spoken if part.language or part.is_ipa]
    return element.speech.language.startswith("en") and not others and len(element.words) < 250


def measured(sentence: Utterance, studio: Studio, aligner: Aligner) -> Iterator[tuple[str, float]]:
    """Give by how much the captions inside a sentence begin late, in ms, by each measurement."""
    take = studio.take(sentence)
    n_samples = take.edge_end - take.edge_start
    line = Timeline(RATE_HZ, (Placed(Say(sentence, "instruction", captioned=True), 0, n_samples),))
    found = cues(
        line, profile=SHORT,
        word_times=lambda _: [WordTime(*word) for word in studio.word_times(sentence)],
    )  # fmt: skip
    wave = padded(take.samples[take.edge_start : take.edge_end, 0] / 32768)
    starts_s = aligner.starts_s(wave, RATE_HZ, sentence.words)
    pauses_s, silences_s = onsets(wave), onsets(wave, CLOSED_S)
    n_words = 0
    for cue, following in pairwise(found):
        n_words += len(" ".join(cue.lines).split())
        begins_s = following.start_ms / 1000 + AROUND_S
        if starts_s:
            yield "words", 1000 * (begins_s - starts_s[n_words])
            off_s = off_both_s(begins_s, starts_s[n_words], silences_s)
            yield "words and their silences", 1000 * off_s
        near_s = pause_near(pauses_s, begins_s)
        if near_s is not None and cue.lines[-1].endswith(MARKS):
            yield "pauses", 1000 * (begins_s - near_s)


def own_errors(
    words: Sequence[Utterance], studio: Studio, aligner: Aligner
) -> Iterator[tuple[str, float]]:
    """Give by how much the measurements are late, in ms, on words laid apart."""
    for at in range(0, len(words) - ON_WORDS + 1, ON_WORDS):
        strip, truth_s, n_samples = [], [], 0
        for word in words[at : at + ON_WORDS]:
            take = studio.take(word)
            wave = take.samples[take.edge_start : take.edge_end, 0] / 32768
            truth_s.append(n_samples / RATE_HZ + AROUND_S)
            strip += [wave, np.zeros(int(APART_S * RATE_HZ))]
            n_samples += sum(map(len, strip[-2:]))
        whole = padded(np.concatenate(strip))
        told = " ".join(w.words for w in words[at : at + ON_WORDS])
        starts_s = aligner.starts_s(whole, RATE_HZ, told)
        if starts_s:
            pairs = list(zip(truth_s, starts_s, strict=True))[1:]
            yield from (("words", 1000 * (heard_s - true_s)) for true_s, heard_s in pairs)
        found_s = onsets(whole)
        for true_s in truth_s[1:]:
            near_s = pause_near(found_s, true_s)
            if near_s is not None:
                yield "pauses", 1000 * (near_s - true_s)


def padded(wave: NDArray[np.float64]) -> Wave:
    """Return a wave with silence around it."""
    edge = np.zeros(int(AROUND_S * RATE_HZ))
    return np.concatenate([edge, wave, edge]).astype(np.float32)


def row(name: str, off_ms: Sequence[float]) -> str:
    """Return the figures of one measurement."""
    if not off_ms:
        return f"  {name:42} none"
    size = np.abs(off_ms)
    return (
        f"  {name:42} n {len(size):4}  median {np.median(off_ms):+6.0f} ms  off: median "
        f"{np.median(size):4.0f}, 95 % {np.percentile(size, 95):4.0f}, most {size.max():4.0f} ms, "
        f"within 60 ms {np.mean(size <= 60):4.0%}"
    )


def main() -> int:
    """Measure both voices and print a row for each measurement."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--sentences", type=int, default=60)
    chosen = parser.parse_args()
    aligner = Aligner()
    asked = sentences(chosen.sentences)
    with tempfile.TemporaryDirectory(prefix="pausewright-captions-") as name:
        folder = Path(name)
        for voice in ("joe", "iris"):
            studio = Studio(
                profiles=all_profiles(folder), script_folder=folder, pace_wpm=Fraction(140),
                rate_hz=RATE_HZ,
            )  # fmt: skip
            spoken = [voiced(one, voice) for one in asked]
            alone = [voiced(one, voice) for one in single_words(asked)]
            studio.record([*spoken, *alone])
            off = [pair for one in spoken for pair in measured(one, studio, aligner)]
            own = list(own_errors(alone, studio, aligner))
            print(f"{voice}: {len(spoken)} sentences")
            for kind in ("words", "words and their silences", "pauses"):
                own_ms = [ms for k, ms in own if k == kind]
                off_ms = [ms for k, ms in off if k == kind]
                if own_ms:
                    print(row(f"own error of {kind}", own_ms))
                print(row(f"captions against {kind}", off_ms))
    return 0


def voiced(sentence: Utterance, voice: str) -> Utterance:
    """Return a sentence in a voice, at the script's pace."""
    speech = replace(sentence.speech, voice=voice, language="en-GB", pace=Fraction(1), take=1)
    return replace(sentence, speech=speech)


def single_words(asked: Sequence[Utterance]) -> list[Utterance]:
    """Return a hundred words of the sentences, each alone, shuffled by a fixed seed."""
    words = sorted({w for one in asked for w in one.words.split() if w.isalpha() and len(w) > 3})
    random.Random(1).shuffle(words)  # noqa: S311  no secret
    return [
        replace(asked[0], spoken=(SpokenPart(word),), shown=word, shown_parts=())
        for word in words[:100]
    ]


if __name__ == "__main__":
    sys.exit(main())
