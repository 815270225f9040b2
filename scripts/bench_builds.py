"""Builds against what they cannot do without: voicing and encoding, each alone.

Parts of `scripts/bench.py`. What is compared is measured in turn, several times; each row gives
the median of the ratios, by the clock and (behind it) by the time of the processors, which other
work on the machine disturbs less.
"""

from __future__ import annotations

import json
import os
import re
import statistics
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from fractions import Fraction
    from pathlib import Path

    from pausewright.deliver.version import Version

Row = tuple[str, str, str, bool]

ARITHMETIC: Final = "arithmetic.md"
VOICE: Final = "joe"
"""The voice that the limits were set with. The demo's own takes a sixth of the time to compute, so
that what is not voicing weighs more: a row says how much."""
ROUNDS: Final = 5
COLD: Final = 1.2
COLD_FIVE: Final = 1.15
"""How long a build may take at most, against voicing and encoding alone."""

FIVE: Final = """
standard: {label: A}
quarter: {label: B, basis: bench, extra-time: 25 %, share-of: listed-silences,
  stretch: [answer-time], where: each-gap}
half: {label: C, basis: bench, extra-time: 50 %, share-of: listed-silences,
  stretch: [answer-time], where: part-end, extra-words: "You have {time} more."}
slower: {label: D, basis: bench, pace: 80 %}
three: {label: E, basis: bench, readings: 3}
"""

_PIPER: Final = """
from piper.config import PiperConfig, SynthesisConfig
from piper.voice import PiperVoice
options = onnxruntime.SessionOptions()
options.intra_op_num_threads = options.inter_op_num_threads = 1
session = onnxruntime.InferenceSession(job["model"], options, providers=["CPUExecutionProvider"])
config = PiperConfig.from_dict(json.load(open(job["config"], encoding="utf-8")))
voice = PiperVoice(session=session, config=config)
how = SynthesisConfig(length_scale=job["setting"], normalize_audio=False)
ids = [voice.phonemes_to_ids(s) for text in job["texts"] for s in voice.phonemize(text)]
said = lambda ids: voice.phoneme_ids_to_audio(ids, how)
"""
_HIBARI: Final = """
from hibari import Hibari
voice = Hibari(model=job["model"], threads=1)
ids = [voice.ids(s) for text in job["texts"] for s in voice.phonemize(text)]
said = lambda ids: voice.from_ids(ids, job["setting"], numpy.random.default_rng(1))
"""
_VOICING: Final = """
import json, sys
from concurrent.futures import ThreadPoolExecutor
import numpy, onnxruntime
job = json.load(open(sys.argv[1]))
{engine}
with ThreadPoolExecutor(2) as pool:
    print(sum(len(samples) for samples in pool.map(said, ids)))
"""
_ALONE: Final = {
    "piper": _VOICING.format(engine=_PIPER),
    "hibari": _VOICING.format(engine=_HIBARI),
}
"""Voicing by the library of each engine alone, as a program."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What something took, in seconds."""

    wall_s: float
    cpu_s: float
    """Of all processors, programs that were started included."""

    def __add__(self, other: Cost) -> Cost:
        """Return both together."""
        return Cost(self.wall_s + other.wall_s, self.cpu_s + other.cpu_s)


def cost_of(call: Callable[[], object]) -> Cost:
    """Return what a call takes."""
    before, start_s = os.times(), time.perf_counter()
    call()
    wall_s, after = time.perf_counter() - start_s, os.times()
    return Cost(wall_s, sum(after[:4]) - sum(before[:4]))


def ratio(measured: Sequence[Cost], against: Sequence[Cost]) -> tuple[float, float]:
    """Return the medians of the ratios: by the clock, by the processors."""
    pairs = list(zip(measured, against, strict=True))
    return (
        statistics.median(one.wall_s / other.wall_s for one, other in pairs),
        statistics.median(one.cpu_s / other.cpu_s for one, other in pairs),
    )


def _encode(wav: Path) -> None:
    """Encode a WAV file to MP3 by LAME at once, as a build encodes it, without its first frame."""
    import lameenc  # noqa: PLC0415
    import soundfile  # noqa: PLC0415

    samples, rate_hz = soundfile.read(wav, dtype="int16", always_2d=True)
    coder = lameenc.Encoder()
    coder.silence()
    coder.set_channels(samples.shape[1])
    coder.set_in_sample_rate(rate_hz)
    coder.set_bit_rate(96)
    coder.set_quality(7)
    wav.with_suffix(".alone.mp3").write_bytes(coder.encode(samples.tobytes()) + coder.flush())


class _Bench:
    """A demo script that is built cold again and again, and the two things it is held against."""

    def __init__(self, demo: Path, run: Callable[..., object], voice: str = VOICE) -> None:
        """Build once, for the voice's settings and the samples to encode; "": the demo's voice."""
        self._demo, self._run = demo, run
        self.script = demo / ARITHMETIC
        _remove(demo / "out")
        if voice:
            text = self.script.read_text("utf-8")
            spoken = re.sub(r"(?m)^voice: .*$", f"voice: {voice}", text, count=1)
            self.script.write_text(spoken, "utf-8")
        self.build("--format", "wav")
        out = demo / "out" / self.script.stem
        self._wavs = []
        for wav in sorted(out.glob("version-*/*.wav")):
            self._wavs.append(wav.rename(demo / wav.name))
        self._jobs = list(self._voicing_jobs(out / "confidential"))

    @property
    def n_texts(self) -> int:
        """Utterances that are voiced, each at each pace."""
        return sum(len(json.loads(job.read_text("utf-8"))["texts"]) for job in self._jobs)

    def build(self, *options: str) -> object:
        """Build all versions."""
        words = ("-m", "pausewright", "build", self.script.name, *(options or ("--quiet",)))
        return self._run(*words, cwd=self._demo)

    def cold(self) -> Cost:
        """Build without anything that was kept."""
        _remove(self._demo / "out")
        _remove(self._demo / ".pausewright")
        return cost_of(self.build)

    def voicing(self) -> Cost:
        """Voice every utterance in one program, with two threads."""
        cost = Cost(0, 0)
        for job in self._jobs:
            cost += cost_of(lambda job=job: self._run(self._demo / "alone.py", job))  # type: ignore[misc]
        return cost

    def encoding(self) -> Cost:
        """Encode every track, two at a time."""
        with ThreadPoolExecutor(2) as pool:
            return cost_of(lambda: list(pool.map(_encode, self._wavs)))

    def _voicing_jobs(self, records: Path) -> list[Path]:
        from pausewright.deliver.project import open_project  # noqa: PLC0415
        from pausewright.deliver.version import made_versions  # noqa: PLC0415

        project = open_project(self.script)
        profile = project.profiles[project.script.settings.voice]
        (self._demo / "alone.py").write_text(_ALONE[profile.engine])
        texts: dict[Fraction, dict[str, None]] = {}
        labels: dict[Fraction, str] = {}
        for version in made_versions(project):
            for pace, words in _spoken(version):
                labels.setdefault(pace, version.label)
                texts.setdefault(pace, {}).setdefault(words)
        jobs = []
        for pace, label in labels.items():
            record = json.loads((records / f"build-record_{label}.json").read_text("utf-8"))
            setting = next(v["setting"] for v in record["voices"] if v["name"] == profile.name)
            content = {
                "model": str(profile.model_file()),
                "config": str(profile.config_file()) if profile.engine == "piper" else "",
                "setting": float(setting),
                "texts": list(texts[pace]),
            }
            jobs.append(self._demo / f"job-{label}.json")
            jobs[-1].write_text(json.dumps(content), "utf-8")
        return jobs


def _spoken(version: Version) -> list[tuple[Fraction, str]]:
    from pausewright.plan.timeline import Say  # noqa: PLC0415
    from pausewright.wording.line_elements import Utterance  # noqa: PLC0415

    said = (step.element for step in version.steps if isinstance(step, Say))
    return [(one.speech.arranged_pace, one.words) for one in said if isinstance(one, Utterance)]


def _remove(folder: Path) -> None:
    import shutil  # noqa: PLC0415

    shutil.rmtree(folder, ignore_errors=True)


def bench_voicing(demo: Path, run: Callable[..., object]) -> list[Row]:
    """Compare a cold build with voicing and encoding alone, and rebuilds with the cold build."""
    own = _Bench(demo, run, "")
    own_row = _row(own, "the same in its own voice", *_measured(own), None)
    bench = _Bench(demo, run)
    cold, alone = _measured(bench)
    idle = [cost_of(bench.build) for _ in range(ROUNDS)]
    n_voiced, n_kept = _one_changed(bench)
    what = f"cold build of {ARITHMETIC}, check included"
    share = 1 / ratio(idle, cold)[0]
    return [
        _row(bench, what, cold, alone, COLD),
        own_row,
        (
            f"rebuild with nothing changed ({idle[0].wall_s:.2f} s) against the cold build",
            f"1/{share:.0f}", "1/20", share >= 20,
        ),
        (
            "one question changed: utterances voiced again",
            f"{n_voiced} of {n_voiced + n_kept}", "1", n_voiced == 1,
        ),
    ]  # fmt: skip


def bench_arrangements(demo: Path, run: Callable[..., object]) -> list[Row]:
    """Compare a cold build of five arrangements with voicing and encoding alone."""
    (demo / ARITHMETIC).with_name("arithmetic.arrangements.yaml").write_text(FIVE, "utf-8")
    bench = _Bench(demo, run)
    what = "cold build of five arrangements, checks included"
    return [_row(bench, what, *_measured(bench), COLD_FIVE)]


def _measured(bench: _Bench) -> tuple[list[Cost], list[Cost]]:
    """Return what cold builds take, and before each voicing and encoding alone."""
    cold, alone = [], []
    for _ in range(ROUNDS):
        alone.append(bench.voicing() + bench.encoding())
        cold.append(bench.cold())
    return cold, alone


def _row(
    bench: _Bench, what: str, cold: Sequence[Cost], alone: Sequence[Cost], wanted: float | None
) -> Row:
    wall, cpu = ratio(cold, alone)
    seconds = f"{statistics.median(one.wall_s for one in alone):.1f} s"
    return (
        f"{what}, against voicing {bench.n_texts} utterances and encoding, each alone ({seconds})",
        f"{wall:.2f} × by the clock, {cpu:.2f} × by the processors",
        "–" if wanted is None else f"{wanted} ×",
        wanted is None or wall <= wanted,
    )


def _one_changed(bench: _Bench) -> tuple[int, int]:
    """Change one question; return how many utterances were voiced, and how many were kept."""
    text = bench.script.read_text("utf-8")
    changed = re.sub(r"(?m)^(3\. )", r"\1Now listen. ", text, count=1)
    if changed == text:
        sys.exit("the arithmetic demo has no question 3 to change")
    bench.script.write_text(changed, "utf-8")
    report = json.loads(bench.build("--json").stdout)  # type: ignore[attr-defined]
    bench.script.write_text(text, "utf-8")
    return report["n_voiced"], report["n_kept"]
