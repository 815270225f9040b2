"""The room of a recording: what its gaps sound like, going on for as long as asked.

Grains of the recording's own gaps, a quarter to three quarters of a second long, are joined in an
order that does not come back, each where it goes on best from the one before, so that a hum stays
whole. A recording whose gaps are digital silence gets digital silence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.sound.take import rise

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.random import Generator

    from pausewright.sound.recording.source import RecordingFile, Wave

LEAST_CALM_S: Final = 0.15
"""Shorter quiet is no material."""
TAIL_S: Final = 0.25
"""After speech a room rings on: this much of a gap is left out, where enough is left."""
LEAD_S: Final = 0.06
MATERIAL_S: Final = 8.0
"""Of the gaps nearest to the place; what is further away may be another room."""
GRAIN_S: Final = (0.25, 0.75)
JOINT_S: Final = 0.06
SEARCHED_S: Final = 0.02
"""A grain may begin this much later, to go on from the one before: a period of mains hum."""
_STEPS: Final = 160


class RoomTone:
    """Gives the sound of the room near any place of a recording."""

    def __init__(self, file: RecordingFile, calm: Sequence[tuple[int, int]]) -> None:
        """Take the recording and all its quiet ranges, [start, end) in samples, in order."""
        self._file = file
        self._rate_hz = file.format.rate_hz
        self._calm = self._trimmed(calm)

    def _trimmed(self, calm: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        tail, lead = (round(s * self._rate_hz) for s in (TAIL_S, LEAD_S))
        least = round(LEAST_CALM_S * self._rate_hz)
        found = []
        for start, end in calm:
            first = min(start + tail, start + (end - start) // 3)
            last = max(end - lead, end - (end - start) // 6)
            if last - first >= least:
                found.append((first, last))
        return found

    @property
    def has_material(self) -> bool:
        """Whether there is any quiet to take it from."""
        return bool(self._calm)

    def near(self, at: int) -> list[tuple[int, int]]:
        """Return the ranges that the sound near a sample is made of, nearest first."""
        order = sorted(self._calm, key=lambda one: max(one[0] - at, at - one[1], 0))
        most = round(MATERIAL_S * self._rate_hz)
        found: list[tuple[int, int]] = []
        n = 0
        for start, end in order:
            found.append((start, min(end, start + most)))
            n += found[-1][1] - start
            if n >= most / 4:
                break
        return found

    def sound(self, at: int, n_samples: int) -> Iterator[Wave]:
        """Yield `n_samples` samples of the room near a place, in grains; the same every time.

        Raises
        ------
        ValueError
            If the recording is nowhere quiet.
        """
        if not self._calm:
            raise ValueError("the recording is nowhere quiet")
        material = [self._file.read(start, end) for start, end in self.near(at)]
        silent = sum(not piece.any() for piece in material)
        if silent * 2 >= len(material):
            yield from self._silence(n_samples)
            return
        material = [piece for piece in material if piece.any()]
        material = _at_one_level(material)
        draw = np.random.default_rng([at, n_samples])
        n_joint = round(JOINT_S * self._rate_hz)
        held: Wave | None = None
        left = n_samples
        while left > 0:
            grain = self._grain(material, draw, held)
            n_fade = min(n_joint, len(grain) // 3)
            if held is not None:
                n_fade = min(n_fade, len(held))
                grain[:n_fade] = blended(held[:n_fade], grain[:n_fade])
            body, held = grain[:-n_fade], grain[-n_fade:].copy()
            yield body[:left]
            left -= len(body)

    def _silence(self, n_samples: int) -> Iterator[Wave]:
        for at in range(0, n_samples, self._rate_hz):
            yield np.zeros((min(self._rate_hz, n_samples - at), self._file.format.n_channels))

    def _grain(self, material: Sequence[Wave], draw: Generator, held: Wave | None) -> Wave:
        """Return a stretch of the material that goes on well from what is held."""
        sizes = np.array([len(one) for one in material], np.float64)
        piece = material[int(draw.choice(len(material), p=sizes / sizes.sum()))]
        least, most = (round(s * self._rate_hz) for s in GRAIN_S)
        most = min(most, len(piece))
        n = int(draw.integers(min(least, most), most + 1))
        n_search = min(round(SEARCHED_S * self._rate_hz), max(0, len(piece) - n))
        start = int(draw.integers(0, len(piece) - n - n_search + 1))
        if held is not None and n_search and len(held) <= n:
            start += _best_shift(held, piece[start : start + n_search + len(held)], n_search)
        return piece[start : start + n].copy()


def _at_one_level(material: Sequence[Wave]) -> list[Wave]:
    """Return pieces at the level of the first, which is the nearest: no step is heard."""
    levels = [float(np.sqrt((one**2).mean())) for one in material]
    return [
        one * (levels[0] / level) if 0.5 < levels[0] / level < 2 else one
        for one, level in zip(material, levels, strict=True)
        if 0.5 < levels[0] / level < 2 or one is material[0]
    ]


def _best_shift(held: Wave, where: Wave, n_search: int) -> int:
    """Return how much later a grain begins so that it is most like what it goes on from."""
    mine = held.sum(axis=1)
    theirs = where.sum(axis=1)
    step = max(1, n_search // _STEPS)
    shifts = range(0, n_search + 1, step)
    likeness = [
        float(mine @ theirs[at : at + len(mine)])
        / (float(np.linalg.norm(theirs[at : at + len(mine)])) + 1e-12)
        for at in shifts
    ]
    return shifts[int(np.argmax(likeness))]


def blended(one: Wave, other: Wave) -> Wave:
    """Return a cross-fade of equal power from `one` to `other`, of the same shape.

    Where the two are alike it fades evenly, where they are not by equal power: no dip, no bump.
    """
    up = rise(len(one))[:, np.newaxis]
    down = up[::-1]
    energy = float(np.sqrt((one**2).sum() * (other**2).sum()))
    alike = max(0.0, float((one * other).sum()) / energy) if energy else 1.0
    scale = np.sqrt(up**2 + down**2 + 2 * alike * up * down)
    return (one * down + other * up) / scale
