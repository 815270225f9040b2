"""Tops of the wave that are cut flat.

In WAV and FLAC they are equal samples in a row. A coder rounds them off, but they stay broad: in
speech the samples around a high top that reach 88 % of it number 6 to 7.5 (at 44.1 kHz; means over
five tracks of two voices, as WAV, MP3 and OGG); clipped by 10 dB they number 11.7 and more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.faults.voice_edges import broadest_top
from pausewright.checker.limits.levels import (
    ROW_FEWEST,
    ROW_SAMPLES,
    ROW_SHARE,
    TOP_FEWEST,
    TOP_HIGH_SHARE,
    TOP_NEAR_SHARE,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from pausewright.checker.faults.closer import Scene
    from pausewright.checker.result.findings import Finding

    Samples: TypeAlias = NDArray[np.float32]

FRAME_S = 0.002


def clipping_findings(scene: Scene) -> Iterator[Finding]:
    """Yield a finding if the speech is clipped."""
    n = max(8, round(FRAME_S * scene.rate_hz))
    tops = [np.abs(_frames(wave, n)).max(axis=1) for _, wave in _speech(scene)]
    if not tops:
        return
    heights = np.concatenate(tops)
    if len(heights) < TOP_FEWEST:
        return
    highest = float(np.sort(heights)[-max(1, len(heights) // 2000)])
    n_rows, first = 0, None
    broad, n_tops = 0, 0
    for at, wave in _speech(scene):
        if scene.heard.track_format.is_exact:
            rows = _rows(wave, ROW_SHARE * highest)
            n_rows += len(rows)
            if first is None and len(rows):
                first = at + int(rows[0])
        frames = np.abs(_frames(wave, n))
        peak = frames.max(axis=1)
        high = peak > TOP_HIGH_SHARE * highest
        broad += int(np.count_nonzero(frames[high] > TOP_NEAR_SHARE * peak[high][:, None]))
        n_tops += int(np.count_nonzero(high))
    most_width = broadest_top(scene)
    width = broad / n_tops * 44_100 / scene.rate_hz if n_tops >= TOP_FEWEST else 0.0
    if n_rows < ROW_FEWEST and width < most_width:
        return
    yield scene.finding(
        "clipping",
        "error" if n_rows >= ROW_FEWEST else "warning",
        "the speech is clipped: the tops of its wave are cut flat",
        hint="record or export again with a lower level",
        frame=first if n_rows >= ROW_FEWEST else None,
        measured=float(n_rows) if n_rows >= ROW_FEWEST else width,
        allowed=ROW_FEWEST if n_rows >= ROW_FEWEST else most_width,
    )


def _speech(scene: Scene) -> Iterator[tuple[int, Samples]]:
    for start, end in scene.speech():
        wave = scene.kept.read(start, end)
        for channel in range(wave.shape[1]):
            yield start, wave[:, channel]


def _frames(wave: Samples, n: int) -> Samples:
    return wave[: len(wave) // n * n].reshape(-1, n)


def _rows(wave: Samples, least: float) -> NDArray[np.intp]:
    """Return where rows of equal high samples begin."""
    high = np.abs(wave) >= least
    same = (wave[1:] == wave[:-1]) & high[1:]
    run = same[: max(0, len(same) - ROW_SAMPLES + 2)].copy()
    for k in range(1, ROW_SAMPLES - 1):
        run &= same[k : k + len(run)]
    return np.flatnonzero(run[1:] & ~run[:-1]) + 1 if len(run) > 1 else np.zeros(0, np.intp)
