"""Where a recording sounds: its level every 5 ms, the noise of its room, the edges of speech.

Found from the sound alone. What is louder than the noise of the gaps around, or is so above 1 kHz
where weak consonants lie and rooms are quiet, is sound.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.frozen import frozen
from pausewright.plan.recorded_gaps import Bound
from pausewright.problems import SoundError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from pausewright.sound.recording.source import RecordingFile

FRAME_S: Final = 0.005
REACH_S: Final = 0.25
"""How far from `from` and `to` the edge of the sound is looked for."""
HELD_S: Final = 0.12
"""Sound that begins again within this is the same word: the mouth is closed in "act"."""
BESIDE_S: Final = 0.1
"""What of a gap beside speech is not taken for its noise."""
ABOVE_NOISE_DB: Final = 4.0
BELOW_SPEECH_DB: Final = 50.0
"""What is softer than this below the speech is no sound, however quiet the room."""
_FLOOR_DB: Final = -140.0
_QUANTILE: Final = 0.98
_LEAST_FRAMES: Final = 8
_NEAR: Final = 4
"""Gaps on either side from which the noise is taken."""


@frozen
class Levels:
    """The level of a whole recording, a number each 5 ms; shape (n_frames,), dB."""

    plain_db: NDArray[np.float32]
    upper_db: NDArray[np.float32]
    """Of the differences between samples: above all what is high."""
    n_frame: int
    """Samples of a frame."""


def levels_of(file: RecordingFile) -> Levels:
    """Read a recording once; memory holds two numbers for each 5 ms."""
    n_frame = round(FRAME_S * file.format.rate_hz)
    plain: list[NDArray[np.float32]] = []
    upper: list[NDArray[np.float32]] = []
    n_step = n_frame * 200
    for at in range(0, file.n_samples, n_step):
        wave = file.read(at, at + n_step)
        if not np.isfinite(wave).all():
            raise SoundError(
                f"the recording ‘{file.path.name}’ holds values that are no sound",
                "save it again as a 16-bit WAV file",
            )
        step = np.diff(wave, axis=0, prepend=wave[:1])
        plain.append(_frames_db(wave, n_frame))
        upper.append(_frames_db(step, n_frame))
    if not plain:
        raise SoundError(f"the recording ‘{file.path.name}’ is empty", "name another file")
    return Levels(np.concatenate(plain), np.concatenate(upper), n_frame)


def _frames_db(wave: NDArray[np.float64], n_frame: int) -> NDArray[np.float32]:
    n_whole = math.ceil(len(wave) / n_frame)
    padded = np.zeros((n_whole * n_frame, wave.shape[1]))
    padded[: len(wave)] = wave
    power = padded.reshape(n_whole, n_frame, -1).var(axis=1).max(axis=1)
    with np.errstate(divide="ignore"):
        return np.asarray(np.maximum(10 * np.log10(power), _FLOOR_DB), np.float32)


class Activity:
    """Where a recording sounds and where it is quiet, in samples."""

    def __init__(
        self, levels: Levels, parts: Sequence[tuple[int, int]], n_samples: int, rate_hz: int
    ) -> None:
        """Find it; `parts` are the stretches that the script names, [start, end) in samples."""
        self._levels = levels
        self._n = levels.n_frame
        self._n_samples = n_samples
        self._parts = sorted(set(parts))
        self._reach, self._held, self._beside = (
            round(s * rate_hz / self._n) for s in (REACH_S, HELD_S, BESIDE_S)
        )
        self.is_sound = self._sounding()
        self._bounds = {part: self._bound_of(part) for part in self._parts}

    def bound(self, part: tuple[int, int]) -> Bound:
        """Return where the sound of a stretch lies."""
        return self._bounds[part]

    # ---- what is sound

    def _between(self) -> list[tuple[int, int]]:
        """Return the frames of the gaps between stretches, without what is beside speech."""
        found: list[tuple[int, int]] = []
        end = 0
        for start, stop in [*self._parts, (self._n_samples, self._n_samples)]:
            first = end // self._n + (self._beside if end else 0)
            last = start // self._n - (self._beside if start < self._n_samples else 0)
            found.append((first, max(first, min(last, len(self._levels.plain_db)))))
            end = max(end, stop)
        return found

    def _sounding(self) -> NDArray[np.bool_]:
        plain, upper = self._levels.plain_db, self._levels.upper_db
        speech = np.concatenate(
            [plain[a // self._n : -(-b // self._n)] for a, b in self._parts] or [plain]
        )
        least = float(np.quantile(speech, 0.9)) - BELOW_SPEECH_DB
        gaps = self._between()
        is_sound = np.zeros(len(plain), np.bool_)
        zones = [0, *((a + b) // 2 // self._n for a, b in self._parts), len(plain)]
        for at in range(len(gaps)):
            near = gaps[max(0, at - _NEAR) : at + _NEAR + 1]
            frames = np.concatenate([np.arange(a, b) for a, b in near])
            zone = slice(zones[at], zones[at + 1])
            for levels, floor in ((plain, least), (upper, least - 20)):
                threshold = max(floor, self._noise_db(levels, frames) + ABOVE_NOISE_DB)
                is_sound[zone] |= levels[zone] > threshold
        return _without_specks(is_sound)

    @staticmethod
    def _noise_db(levels: NDArray[np.float32], frames: NDArray[np.int64]) -> float:
        """Return what nearly no frame of quiet passes: a cough among them does not count."""
        if len(frames) < _LEAST_FRAMES:
            return _FLOOR_DB
        found = np.sort(levels[frames])
        middle = float(found[len(found) // 2])
        calm = found[found < middle + 10]
        return float(np.quantile(calm, _QUANTILE))

    # ---- edges

    def _bound_of(self, part: tuple[int, int]) -> Bound:
        at = self._parts.index(part)
        before = self._parts[at - 1][1] if at else 0
        after = self._parts[at + 1][0] if at + 1 < len(self._parts) else self._n_samples
        first, last = part[0] // self._n, max(part[0] // self._n, (part[1] - 1) // self._n)
        least = max(first - self._reach, (min(before, part[0]) + part[0]) // 2 // self._n, 0)
        most = min(
            last + self._reach, (max(after, part[1]) + part[1]) // 2 // self._n, len(self.is_sound)
        )
        inside = np.flatnonzero(self.is_sound[first : last + 1])
        if not len(inside):
            return Bound(*part)
        begin, end = first + int(inside[0]), first + int(inside[-1])
        begin = self._walk(begin, least, -1)
        end = self._walk(end, most, 1)
        start = 0 if begin == 0 else begin * self._n
        return Bound(start, min((end + 1) * self._n, self._n_samples))

    def _walk(self, at: int, limit: int, step: int) -> int:
        """Return the last frame of the sound that goes on from a frame, stops of a word with it."""
        found, silent = at, 0
        while at != limit and silent <= self._held and 0 <= at + step < len(self.is_sound):
            at += step
            if self.is_sound[at]:
                found, silent = at, 0
            else:
                silent += 1
        return found

    # ---- where it is quiet (`plan.recorded_plan.Quiet`)

    def cut(self, start: int, end: int) -> int | None:
        """Return the middle of the longest calm between two samples; None where there is none."""
        first, last = -(-start // self._n), end // self._n
        if last <= first:
            return None
        calm = ~self.is_sound[first:last]
        runs = _runs_of(calm)
        if not runs:
            return None
        a, b = max(runs, key=lambda run: run[1] - run[0])
        return (2 * first + a + b) * self._n // 2

    def until(self, start: int, end: int) -> int:
        """Return the sample up to which it is quiet from `start` on, `end` at most."""
        end = min(end, self._n_samples)
        first = -(-start // self._n)
        loud = np.flatnonzero(self.is_sound[first : -(-end // self._n)])
        return min(end, (first + int(loud[0])) * self._n) if len(loud) else max(start, end)

    def since(self, start: int, end: int) -> int:
        """Return the sample from which on it is quiet up to `end`, `start` at least."""
        start = max(0, start)
        first, last = start // self._n, end // self._n
        loud = np.flatnonzero(self.is_sound[first:last])
        return max(start, (first + int(loud[-1]) + 1) * self._n) if len(loud) else min(start, end)

    def calm_ranges(self, least_s: float, rate_hz: int) -> list[tuple[int, int]]:
        """Return all stretches of quiet of some length outside the script's own, [start, end)."""
        calm = ~self.is_sound
        for one in self._bounds.values():
            calm[one.start // self._n : -(-one.end // self._n)] = False
        n = round(least_s * rate_hz)
        return [
            (a * self._n, min(b * self._n, self._n_samples))
            for a, b in _runs_of(calm)
            if (b - a) * self._n >= n
        ]


def _runs_of(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the half-open ranges where flags are set."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _without_specks(is_sound: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the same without sound of a single frame: noise does that."""
    held = is_sound.copy()
    for a, b in _runs_of(is_sound):
        if b - a < 2:
            held[a:b] = False
    return held
