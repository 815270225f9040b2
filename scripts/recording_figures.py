"""Measure what a draft finds in recordings of which everything is known; print rows of a table.

    .venv/bin/python scripts/recording_figures.py --seeds 100 105 [--noise -55] [--mode gaps paper]

Modes: `gaps` measures the edges of silences; `paper` drafts with the paper and without an ear,
`ear` with the paper and an ear, `alone` with an ear and no paper; `wrong` tells which deliberate
disagreements between paper and recording are told at their place, with an ear (see
recording_faults.py; each seed gives one of each kind); `words` measures where words of
passages begin, without an ear; `cues` builds passages of about 70 s and measures where the cues of
their captions begin; `versions` drafts with the paper, builds five versions of each recording and
counts what the check finds, which is nothing on honest ones. Recordings are assembled from
packages that are fetched into `out/recordings` (see recording_cases.py). Take fresh seeds for
figures that are published.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
import soundfile
import soxr
import webvtt
from pausewright.alignment.given_sound import GivenSound
from pausewright.alignment.known_words import times_of_words
from pausewright.alignment.phone_words import spoken_words
from pausewright.alignment.spectrum import spectrum
from pausewright.alignment.speech import sounding
from pausewright.checker.ear.recogniser import BundledRecogniser
from pausewright.documents.plain_text import plain_text
from pausewright.drafting.draft_model import Doubt
from pausewright.drafting.drafter import drafted
from pausewright.drafting.paper_units import units_of
from pausewright.problems import SoundError
from pausewright.sound.streamed import LOW_RATE_HZ, LowSound
from pausewright.wording.plain_lines import LineWorder
from recording_cases import OTHER_SPEAKERS, Case, Clips, drawn, fetched, passage
from recording_faults import IN_RECORDING, KINDS, STRUCTURAL, fault, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from pausewright.alignment.given_sound import Listener, Manner
    from pausewright.drafting.draft_model import Draft

ROOT: Final = Path(__file__).resolve().parent.parent
RATE_HZ: Final = 22_050
NEAR_S: Final = 0.4
_RUSTLE: Final = "a sound without a voice"
"""What is told of a cough or a rustle, which is no doubt about a question."""
_FILE: Final = Path("paper.txt")
PASSAGE_WORDS: Final = 74
"""About 70 s."""
_PASSAGE: Final = """---
title: A passage
language: en-GB
recording-rights: put together from open prompts
---

# Listen

![Passage](passage.wav){{from="0.2 s" to="{end_s:.2f} s" words="{words}"}}
"""
_NOISES_DBFS: Final = (-70, -60, -55)
_VERSIONS: Final = """standard: {label: A}
longer:
  label: B
  basis: made for a measurement
  extra-time: 25 %
  share-of: listed-silences
  stretch: [answer-time]
  where: each-gap
slower:
  label: C
  basis: made for a measurement
  pace: 80 %
little:
  label: D
  basis: made for a measurement
  pace: 92 %
again:
  label: E
  basis: made for a measurement
  readings: 4
both:
  label: F
  basis: made for a measurement
  pace: 85 %
  extra-time: 50 %
  share-of: listed-silences
  stretch: [answer-time]
  where: each-gap
"""
CONDITIONS: Final = (
    (-70, False),
    (-60, False),
    (-55, False),
    (-50, False),
    (-40, False),
    (-60, True),
)


def given_of(case: Case) -> GivenSound:
    """Return a case as a recording that was read."""
    low = soxr.resample(case.samples, case.rate_hz, LOW_RATE_HZ)
    samples = np.rint(np.clip(low, -1, 1) * 32767).astype(np.int16)
    found = spectrum(samples, LOW_RATE_HZ)
    where = sounding(found, len(samples) * 1000 // LOW_RATE_HZ)
    return GivenSound(LowSound(samples, case.rate_hz), found, where)


def draft_of(
    case: Case, paper: str | None, ear: Listener | None, given: GivenSound | None = None
) -> Draft:
    """Return the draft of a case."""
    units = None if paper is None else units_of(plain_text(_FILE, paper.encode()))
    worder = LineWorder(_FILE, "en-GB", {})
    return drafted(given or given_of(case), units, ear, worder.spoken, lambda *_: None)


@dataclass
class Gaps:
    """Errors of silences, in ms."""

    errors: list[float] = field(default_factory=list)
    n_missed: int = 0
    n_within: int = 0

    def add(self, case: Case, given: GivenSound) -> None:
        """Compare the silences of a recording with those that were made."""
        rows = given.sounding.stretches
        for start_s, end_s in case.gaps:
            before = [one for one in rows if one.start_ms < 1000 * start_s - 20]
            after = [one for one in rows if one.end_ms > 1000 * end_s + 20]
            if not before or not after or before[-1].end_ms >= after[0].start_ms:
                self.n_missed += 1
                continue
            a, b = before[-1], after[0]
            error = (b.start_ms - a.end_ms) - 1000 * (end_s - start_s)
            self.errors.append(abs(error))
            self.n_within += abs(error) <= a.end_within_ms + b.start_within_ms

    def row(self) -> str:
        """Return its figures."""
        n = len(self.errors)
        at = [np.quantile(self.errors, share) for share in (0.5, 0.95, 0.99, 1)]
        return (
            f"n {n + self.n_missed} missed {self.n_missed} | median {at[0]:.0f} 95 % {at[1]:.0f} "
            f"99 % {at[2]:.0f} max {at[3]:.0f} ms | within stated ± {self.n_within / n:.1%}"
        )


@dataclass
class Found:
    """What drafts found of what there was."""

    n_readings: int = 0
    readings: int = 0
    n_questions: int = 0
    questions: int = 0
    paired: int = 0
    answer_times: int = 0
    extra: int = 0
    flags: int = 0
    failed: int = 0

    def add(self, case: Case, draft: Draft | None) -> None:
        """Compare a draft with what is known."""
        numbers = sorted({one.number for one in case.readings if one.number})
        self.n_questions += len(numbers)
        self.n_readings += sum(one.number > 0 for one in case.readings)
        if draft is None:
            self.failed += 1
            return
        self.extra += max(0, len(draft.questions) - len(numbers))
        said = {one.number: one for one in draft.questions}
        about = [one for one in draft.all_doubts if one.at_ms is not None]
        self.flags += sum(_RUSTLE not in one.sentence for one in about)
        for number in numbers:
            true = [one for one in case.readings if one.number == number]
            one = said.get(number)
            if one is None:
                continue
            starts = [reading.start_ms / 1000 for reading in one.readings]
            hits = sum(any(abs(t.start_s - s) <= NEAR_S for s in starts) for t in true)
            self.readings += hits
            self.questions += hits > 0
            self.paired += hits == len(true) == len(starts)
            self.answer_times += (one.after_value_ms or 0) / 1000 == case.answer_times_s[number - 1]

    def row(self) -> str:
        """Return its figures."""
        return (
            f"questions {self.questions}/{self.n_questions} (too many {self.extra}) readings "
            f"{self.readings}/{self.n_readings} paired {self.paired} answer times "
            f"{self.answer_times} doubts {self.flags} failed {self.failed}"
        )


def words_row(clips: Clips, seeds: Sequence[int]) -> str:
    """Return how far the beginnings of words in passages are off, and the ends of passages."""
    errors: list[float] = []
    firsts: list[float] = []
    lasts: list[float] = []
    for seed in seeds:
        case = passage(clips, seed, 40 + seed % 30)
        low = soxr.resample(case.samples, case.rate_hz, LOW_RATE_HZ)
        samples = np.rint(np.clip(low, -1, 1) * 32767).astype(np.int16)
        (said,) = spoken_words([case.text])
        fine = times_of_words(samples, LOW_RATE_HZ, said)
        pairs = zip(fine, case.word_starts_s, strict=True)
        errors += [abs(one.start_ms - 1000 * true_s) for one, true_s in pairs]
        firsts.append(abs(fine[0].start_ms - 1000 * case.word_starts_s[0]))
        lasts.append(abs(fine[-1].end_ms - 1000 * case.end_s))
    n = len(errors)
    near = [sum(error <= most for error in errors) / n for most in (100, 250)]
    return (
        f"n {n} median {np.median(errors):.0f} 95 % {np.quantile(errors, 0.95):.0f} max "
        f"{max(errors):.0f} ms | within 100 ms {near[0]:.1%}, 250 ms {near[1]:.1%} | of "
        f"{len(lasts)} passages the first word begins {max(firsts):.0f} ms off at most, the last "
        f"ends {max(lasts):.0f} ms off"
    )


def cues_row(clips: Clips, seeds: Sequence[int]) -> str:
    """Build passages with captions; return how far the beginnings of cues are off.

    The captions are read by webvtt-py; a cue begins with the first word that it shows.
    """
    errors: list[float] = []
    lengths_s: list[float] = []
    for seed in seeds:
        case = passage(clips, seed, PASSAGE_WORDS)
        lengths_s.append(len(case.samples) / case.rate_hz)
        with tempfile.TemporaryDirectory(prefix="pausewright-cues-") as name:
            folder = Path(name)
            soundfile.write(folder / "passage.wav", case.samples, case.rate_hz, "PCM_16")
            (folder / "cues.md").write_text(
                _PASSAGE.format(end_s=lengths_s[-1] - 0.2, words=case.text.strip()), "utf-8"
            )
            _run(folder, "build", "cues.md").check_returncode()
            (captions,) = (folder / "out").rglob("*.vtt")
            at = 0
            for cue in webvtt.read(str(captions)).captions:
                true_s = case.word_starts_s[at]
                errors.append(abs(cue.start_in_seconds + cue.start_time.milliseconds / 1000
                                  - true_s) * 1000)  # fmt: skip
                shown = re.findall(r"[a-z]+", cue.text.lower())
                said = re.findall(r"[a-z]+", case.text.lower())[at : at + len(shown)]
                if shown != said:
                    raise SystemExit(f"{seed}: shown {shown}, said {said}")
                at += len(shown)
            if at != len(case.word_starts_s):
                raise SystemExit(f"{seed}: {at} of {len(case.word_starts_s)} words are shown")
    near = sum(error <= 250 for error in errors)
    return (
        f"{len(lengths_s)} passages of {min(lengths_s):.0f} to {max(lengths_s):.0f} s: n "
        f"{len(errors)} median {np.median(errors):.0f} 95 % {np.quantile(errors, 0.95):.0f} max "
        f"{max(errors):.0f} ms | within 250 ms {near}"
    )


def versions_row(clips: Clips, seeds: Sequence[int]) -> str:
    """Draft recordings, build versions of them as a person does; return what was refused."""
    n_built, refused = 0, list[str]()
    for seed in seeds:
        noise_dbfs = _NOISES_DBFS[seed % len(_NOISES_DBFS)]
        case = drawn(clips, seed, noise_dbfs=noise_dbfs, n_questions=6, rustles=seed % 2)
        with tempfile.TemporaryDirectory(prefix="pausewright-versions-") as name:
            folder = Path(name)
            soundfile.write(folder / "read.wav", case.samples, case.rate_hz, "PCM_16")
            (folder / "paper.txt").write_text(case.paper, "utf-8")
            (folder / "read.arrangements.yaml").write_text(_VERSIONS, "utf-8")
            script = folder / "read.md"
            _run(folder, "draft", "read.wav", "--text", "paper.txt", "-o", script.name)
            text = re.sub(
                "(?m)^# recording-rights:", "recording-rights:", script.read_text("utf-8")
            )
            script.write_text(text, "utf-8")
            for version in re.findall(r"(?m)^([a-z]+):$", _VERSIONS):
                done = _run(folder, "build", script.name, "--arrangement", version)
                n_built += 1
                if done.returncode:
                    told = [row for row in done.stdout.splitlines() + done.stderr.splitlines()
                            if "error" in row]  # fmt: skip
                    refused.append(f"{seed} at {noise_dbfs} dBFS, {version}: {told[:3]}")
                    print(f"  {refused[-1]}", flush=True)
    return f"{n_built} honest versions built and checked, {len(refused)} refused"


def _run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run one of our commands in a folder."""
    return subprocess.run(
        [sys.executable, "-m", "pausewright", *arguments, "--quiet"], cwd=folder, check=False,
        capture_output=True, encoding="utf-8",
    )  # fmt: skip


def measure(case: Case, mode: str, ear: BundledRecogniser | None, found: Found) -> None:
    """Draft one recording and count."""
    try:
        draft = draft_of(case, None if mode == "alone" else case.paper, ear)
    except SoundError as why:
        print(f"    failed: {why.message}")
        draft = None
    found.add(case, draft)


class KeptEar:
    """An ear that remembers what it heard: the same piece of sound is not heard again."""

    def __init__(self, ear: BundledRecogniser) -> None:
        """Take the ear that hears."""
        self._ear = ear
        self._kept: dict[tuple[bytes, Manner], str] = {}

    def heard(self, clips: Sequence[NDArray[np.float32]], manner: Manner) -> list[str]:
        """Return what is heard in each piece."""
        found = []
        for clip in clips:
            key = (clip.tobytes(), manner)
            if key not in self._kept:
                (self._kept[key],) = self._ear.heard([clip], manner)
            found.append(self._kept[key])
        return found


def wrong(clips: Clips, seeds: Sequence[int], noise_dbfs: float, ear: Listener) -> None:
    """Print which deliberate disagreements are told at their place."""
    n_told = dict.fromkeys(KINDS, 0)
    n_structural = n_beside = 0
    for seed in seeds:
        kept: dict[int, GivenSound] = {}
        for kind in KINDS:
            one = fault(clips, seed, kind, noise_dbfs)
            if kind in IN_RECORDING or not kept:
                given = given_of(one.case)
                if kind not in IN_RECORDING:
                    kept[0] = given
            else:
                given = kept[0]
            try:
                doubts = draft_of(one.case, one.paper, ear, given).all_doubts
            except SoundError as why:
                doubts = [Doubt(0, f"failed: {why.message}")]
            found = told(one, doubts)
            n_told[kind] += bool(found)
            n_structural += kind in STRUCTURAL and bool(found)
            beside = [
                d.whole for d in doubts if d.sentence not in found and _RUSTLE not in d.sentence
            ]
            n_beside += len(beside)
            mark = "told" if found else "NOT TOLD"
            print(f"  {seed} {kind} in {one.number}: {mark} {found} beside: {beside}", flush=True)
    n = len(seeds)
    print(", ".join(f"{kind} {times}/{n}" for kind, times in n_told.items()))
    print(
        f"{noise_dbfs} dBFS wrong: told {sum(n_told.values())} of {n * len(KINDS)}, structural "
        f"{n_structural} of {n * len(STRUCTURAL)}; {n_beside} other doubts"
    )


def main() -> None:
    """Measure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", nargs=2, type=int, default=(100, 105))
    parser.add_argument("--noise", nargs="*", type=int)
    parser.add_argument("--mode", nargs="*", default=["gaps", "paper"])
    parser.add_argument("--packages", type=Path, default=ROOT / "out" / "recordings")
    parser.add_argument("--speaker", choices=["", *OTHER_SPEAKERS], default="", help="for `gaps`")
    options = parser.parse_args()
    clips = Clips(fetched(options.packages, options.speaker), RATE_HZ, options.speaker)
    ear = BundledRecogniser() if {"ear", "alone", "wrong"} & set(options.mode) else None
    if "words" in options.mode:
        print("words", words_row(clips, range(*options.seeds)), flush=True)
    if "cues" in options.mode:
        print("cues", cues_row(clips, range(*options.seeds)), flush=True)
    if "versions" in options.mode:
        print("versions", versions_row(clips, range(*options.seeds)), flush=True)
    if "wrong" in options.mode and ear is not None:
        for noise in options.noise or (-55,):
            wrong(clips, range(*options.seeds), noise, KeptEar(ear))
    modes = [mode for mode in options.mode if mode not in {"words", "wrong", "cues", "versions"}]
    for noise, is_wet in CONDITIONS if modes else ():
        if options.noise and (noise not in options.noise or is_wet):
            continue
        gaps, found = Gaps(), {mode: Found() for mode in modes}
        for seed in range(*options.seeds):
            case = drawn(
                clips, seed, noise_dbfs=noise, is_reverberant=is_wet, rustles=2 * (seed % 2)
            )
            for mode in modes:
                if mode == "gaps":
                    gaps.add(case, given_of(case))
                else:
                    measure(case, mode, None if mode == "paper" else ear, found[mode])
        name = f"{noise} dBFS{', reverberant' if is_wet else ''}"
        for mode in modes:
            print(name, mode, gaps.row() if mode == "gaps" else found[mode].row(), flush=True)


if __name__ == "__main__":
    main()
