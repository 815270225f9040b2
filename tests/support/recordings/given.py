"""Recordings of a person with known gaps, made from labelled clips, and scripts bound to them.

The clips are one speaker's prompts from Debian's package asterisk-core-sounds-en-wav (CC-BY-SA),
fetched by the test and never shipped; without it the test is skipped and says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import av
import numpy as np
import soundfile
import soxr
from pausewright.checker.check import check_track
from pausewright.checker.promises.promise import promise_of
from pausewright.deliver.outputs import track_output
from pausewright.deliver.production import Production
from pausewright.deliver.project import open_project
from pausewright.deliver.recorded_sounds import RecordedSounds
from pausewright.deliver.version import made_versions
from pausewright.plan.timeline import Say, Wait
from pausewright.wording.line_elements import Excerpt

from support.scripts.versions import options, written
from support.voices.fake_voice import FakeEngine, fake_engines
from support.voices.outside_recordings import debian_package

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.outputs.job import Job
    from pausewright.deliver.project import Project
    from pausewright.plan.recorded_gaps import Bound
    from pausewright.plan.timeline import Placed
    from pausewright.sound.track_files import Format

SPEECH_DB = -22.0
HELLO = "hello"
FIRST = "conf-getconfno"
SECOND = "vm-enter-num-to-call"
END = "vm-goodbye"
WORDS = {
    HELLO: "Hello.",
    FIRST: "Please enter your conference number.",
    SECOND: "Please enter the number you wish to call.",
    END: "Goodbye.",
}
LAYOUT: tuple[float | str, ...] = (
    *(0.7, HELLO, 1.1, FIRST, 2.3, FIRST, 8.1, SECOND, 2.1, SECOND, 7.93, END, 1.4),
)
ARRANGEMENTS = """
longer: {label: B, basis: file 7, extra-time: 25 %, share-of: listed-silences,
  stretch: [answer-time, between-readings], where: each-gap}
slow: {label: C, basis: file 7, pace: 80 %}
third: {label: D, basis: file 7, readings: 3}
breaks: {label: E, basis: file 7, rest-breaks: {after-questions: "1"}}
without: {label: F, basis: file 7, leave-out: [Middle]}
"""


@dataclass(frozen=True)
class Made:
    """A recording and what is known of it."""

    path: Path
    rate_hz: int
    spans: tuple[tuple[int, int], ...]
    """Of the clips, in samples."""
    wave: NDArray[np.float64]


def clip(name: str, rate_hz: int) -> NDArray[np.float64]:
    """Return a clip without its silent ends, 40 dB below its peak; skip without the package."""
    folder = next(debian_package("asterisk-core-sounds-en-wav").rglob("en_US_f_Allison"))
    wave, own_hz = soundfile.read(folder / f"{name}.wav", dtype="float64")
    loud = np.flatnonzero(np.abs(wave) > 10 ** (-40 / 20) * np.abs(wave).max())
    wave = wave[loud[0] : loud[-1] + 1]
    wave = wave if own_hz == rate_hz else soxr.resample(wave, own_hz, rate_hz, quality="VHQ")
    return np.asarray(wave * 10 ** (SPEECH_DB / 20) / np.sqrt((wave**2).mean()))


def recording(
    path: Path,
    layout: Sequence[float | str] = LAYOUT,
    *,
    rate_hz: int = 44_100,
    channels: int = 1,
    noise_db: float | None = -55.0,
    subtype: str = "PCM_16",
) -> Made:
    """Write a recording: seconds of quiet and names of clips, in a room with noise and hum.

    The room is digital silence where `noise_db`, in dBFS, is None.
    """
    parts, spans, at = [], [], 0
    for one in layout:
        part = clip(one, rate_hz) if isinstance(one, str) else np.zeros(round(one * rate_hz))
        if isinstance(one, str):
            spans.append((at, at + len(part)))
        parts.append(part)
        at += len(part)
    wave = np.concatenate(parts)[:, np.newaxis] * np.linspace(1, 0.8, channels)
    if noise_db is not None:
        draw = np.random.default_rng(5)
        noise = draw.standard_normal(wave.shape)
        noise = 0.7 * noise + 0.7 * np.roll(noise, 1, axis=0)
        hum = np.sin(2 * np.pi * 50 * np.arange(len(wave)) / rate_hz)[:, np.newaxis]
        wave = wave + 10 ** (noise_db / 20) * (noise + 0.5 * hum)
    soundfile.write(path, wave, rate_hz, subtype=subtype)
    return Made(path, rate_hz, tuple(spans), wave)


def coded(source: Path, path: Path) -> None:
    """Write a recording as another kind of file, by PyAV; a video has black pictures."""
    wave, rate_hz = soundfile.read(source, dtype="float32", always_2d=True)
    codec = "libmp3lame" if path.suffix == ".mp3" else "aac"
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=rate_hz)
        assert isinstance(stream, av.AudioStream)
        stream.layout, stream.bit_rate = "mono", 192_000
        if path.suffix == ".mp4":
            pictures = container.add_stream("mpeg4", rate=5)
            pictures.width = pictures.height = 64
            black = av.VideoFrame(64, 64, "yuv420p")
            container.mux([*pictures.encode(black), *pictures.encode(None)])
        frame = av.AudioFrame.from_ndarray(wave.T.copy(), format="fltp", layout="mono")
        frame.sample_rate = rate_hz
        container.mux([*stream.encode(frame), *stream.encode(None)])


def script_of(made: Made, *, head: str = "", rights: str = "made for a test") -> str:
    """Return a script bound to a recording in the usual layout."""

    def bound(name: str, *clips: int) -> str:
        times = [[f"{made.spans[i][k] / made.rate_hz:.3f} s" for i in clips] for k in (0, 1)]
        file = made.path.name
        return (
            f'![{name}]({file}){{from="{", ".join(times[0])}" to="{", ".join(times[1])}" '
            f'words="{WORDS[name]}"}}'
        )

    return f"""---
title: Tide tables
language: en-GB
voice: joe
recording-rights: {rights}
{head}---

# Opening {{answer-time="8 s" readings="2" between-readings="2 s"}}

{bound(HELLO, 0)}

1. {bound(FIRST, 1, 2)} {{key="5"}}

# Middle {{answer-time="8 s" readings="2" between-readings="2 s"}}

2. {bound(SECOND, 3, 4)} {{key="6"}}

# Close

{bound(END, 5)}
"""


@dataclass(frozen=True)
class Tracks:
    """Versions of a recording, written and not checked."""

    project: Project
    jobs: dict[str, Job]
    """By label."""
    paths: dict[str, Path]

    def samples(self, label: str, ending: str = "") -> NDArray[np.int32]:
        """Return the samples of a track as whole numbers of 32 bits, shape (n, channels)."""
        path = self.paths[label]
        path = path.with_suffix(ending) if ending else path
        return np.asarray(soundfile.read(path, dtype="int32", always_2d=True)[0])

    def stretch(self, label: str, name: str, n: int = 0) -> tuple[Placed, Bound]:
        """Return where the n-th reading of a clip lies on a track, and where in the recording."""
        job = self.jobs[label]
        assert isinstance(job.sounds, RecordedSounds)
        found = [
            (placed, job.sounds.bound(placed.step.element.sound))
            for placed in job.line.placed
            if isinstance(placed.step, Say)
            and isinstance(placed.step.element, Excerpt)
            and placed.step.element.sound.words == WORDS[name]
        ]
        return found[n]

    def silence(self, label: str, kind: str, n: int = 0) -> tuple[int, int]:
        """Return where the n-th silence of a kind lies on a track, in samples."""
        found = [
            (placed.start_sample, placed.end_sample)
            for placed in self.jobs[label].line.placed
            if isinstance(placed.step, Wait) and placed.step.kind == kind
        ]
        return found[n]

    def check(self, label: str, path: Path | None = None) -> CheckResult:
        """Check a track, or another file in its place."""
        job = self.jobs[label]
        return check_track(
            path or self.paths[label],
            job.version.worded,
            edition=job.edition,
            promise=promise_of(self.project.script, job.version.arrangement),
        )


def tracks(
    folder: Path,
    made: Made,
    names: Sequence[str],
    *,
    formats: tuple[Format, ...] = ("wav",),
    text: str = "",
    arrangements: str = ARRANGEMENTS,
) -> Tracks:
    """Write the tracks of some versions of a script that is bound to a recording."""
    script = written(folder, text or script_of(made), arrangements)
    built = options(folder, engines=fake_engines(FakeEngine(ramp_s=0.05)))
    built = replace(built, formats=formats)
    project = open_project(script, built.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    production = Production(
        project,
        built,
        versions,
        keys={version.label: "" for version in versions},
        folder=folder / "no",
        stage=folder / "stage",
    )
    jobs = {job.label: job for job in production.jobs()}
    paths = {label: track_output.write(job).files[0].path for label, job in jobs.items()}
    return Tracks(project, jobs, paths)
