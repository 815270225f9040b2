"""A given recording, looked at once: where its stretches sound, its level, where it is quiet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.problems import SoundError
from pausewright.sound.meter import loudness_lufs, true_peak_dbtp
from pausewright.sound.recording.activity import Activity, levels_of
from pausewright.sound.recording.room_tone import LEAST_CALM_S
from pausewright.sound.recording.source import RecordingFile, RecordingFormat

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.plan.recorded_gaps import Bound
    from pausewright.script.model import Sound

LONGEST_SLOWED_S: Final = 600
"""A stretch is slowed as a whole, and held in memory."""
_MEASURED_S: Final = 120
"""Of its speech this much is measured for its loudness."""


@dataclass(frozen=True)
class Recording:
    """What was found of a recording."""

    file: Path
    folder: Path
    format: RecordingFormat
    n_samples: int
    activity: Activity
    calm: tuple[tuple[int, int], ...]
    """Quiet ranges outside its stretches, [start, end) in samples."""
    loudness_lufs: float
    true_peak_dbtp: float
    """Of what was measured of its speech."""

    def part(self, sound: Sound) -> tuple[int, int]:
        """Return from and to of a stretch in samples."""
        return part_of(sound, self.format.rate_hz, self.n_samples)

    def bound(self, sound: Sound) -> Bound:
        """Return where the sound of a stretch lies."""
        return self.activity.bound(self.part(sound))

    def opened(self) -> RecordingFile:
        """Open the file once more: every version reads for itself."""
        return RecordingFile(self.file, self.folder)


def part_of(sound: Sound, rate_hz: int, n_samples: int) -> tuple[int, int]:
    """Return from and to of a stretch in samples; the recording's ends where one is not given."""
    start = 0 if sound.from_s is None else math.floor(sound.from_s * rate_hz)
    end = n_samples if sound.to_s is None else math.ceil(sound.to_s * rate_hz)
    return start, end


def recording_of(file: Path, folder: Path, sounds: Sequence[Sound]) -> Recording:
    """Read a recording through and find the stretches that `sounds` name.

    Raises
    ------
    SoundError
        If it cannot be read, is silent, or a stretch lies outside it or is silent.
    """
    with RecordingFile(file, folder) as opened:
        rate_hz, n_samples = opened.format.rate_hz, opened.n_samples
        parts = [part_of(sound, rate_hz, n_samples) for sound in sounds]
        for sound, (start, end) in zip(sounds, parts, strict=True):
            _refuse_outside(sound, start, end, n_samples, rate_hz, file.name)
        levels = levels_of(opened)
        activity = Activity(levels, parts, n_samples, rate_hz)
        speech: list[NDArray[np.float32]] = []
        n_left = _MEASURED_S * rate_hz
        for part in sorted(set(parts)):
            bound = activity.bound(part)
            wave = opened.read(bound.start, min(bound.end, bound.start + n_left))
            if not wave.any():
                raise SoundError(
                    f"the recording ‘{file.name}’ is silent from {part[0] / rate_hz:.2f} s to "
                    f"{part[1] / rate_hz:.2f} s, where words are bound to it",
                    "correct from and to",
                )
            speech.append(wave.astype(np.float32))
            n_left -= len(wave)
            if n_left <= 0:
                break
        spoken = np.concatenate(speech)
        return Recording(
            file,
            folder,
            opened.format,
            n_samples,
            activity,
            tuple(activity.calm_ranges(LEAST_CALM_S, rate_hz)),
            loudness_lufs(spoken, rate_hz),
            true_peak_dbtp(spoken, rate_hz),
        )


def _refuse_outside(
    sound: Sound, start: int, end: int, n_samples: int, rate_hz: int, name: str
) -> None:
    if start >= n_samples or end > n_samples + rate_hz // 100:
        raise SoundError(
            f"the stretch in line {sound.place.line} lies beyond the end of ‘{name}’ "
            f"({n_samples / rate_hz:.2f} s)",
            "correct from and to",
        )
    if sound.arranged_pace != 1 and end - start > LONGEST_SLOWED_S * rate_hz:
        raise SoundError(
            f"the stretch in line {sound.place.line} is longer than {LONGEST_SLOWED_S // 60} min",
            "bind its sentences one by one",
        )
