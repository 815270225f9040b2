"""Are the high sounds there? /s/, /f/ and /th/ live above 4 kHz, for children's ears up to 9 kHz.

Speech that ends at 5 kHz is understood worse by hearing-impaired children (Stelmachowicz et al.,
Ear & Hearing 28(4) 2007, check value CV-08); female and children's voices need /s/ up to 9 kHz
(JASA 110(4) 2001, CV-07).
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from pausewright.checker.files.ahead import side_by_side
from pausewright.checker.limits.levels import (
    BAND_ERROR_BELOW_HZ,
    BAND_FEWEST_WINDOWS,
    BAND_LOST_DB,
    BAND_NEEDED_HZ,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from pausewright.checker.faults.closer import Scene
    from pausewright.checker.result.findings import Finding

WINDOW = 1024
BAND_HZ = 500
MOST_WINDOWS = 4000
"""What is looked at, evenly from all over the track."""


def bandwidth_hz(scene: Scene) -> int | None:
    """Return up to where the speech has sound, in steps of 500 Hz; None with too little speech."""
    spectra = _spectra(scene)
    if spectra is None:
        return None
    per_bin = scene.rate_hz / WINDOW
    n_bands = int(scene.rate_hz / 2 // BAND_HZ)
    edges = [round(i * BAND_HZ / per_bin) for i in range(n_bands + 1)]
    levels = np.array(
        [
            np.percentile(10 * np.log10(spectra[:, a:b].mean(axis=1) + 1e-20), 98)
            for a, b in itertools.pairwise(edges)
        ]
    )
    full = np.flatnonzero(levels > levels.max() - BAND_LOST_DB)
    return int(full[-1] + 1) * BAND_HZ


def bandwidth_findings(scene: Scene, top_hz: int | None) -> Iterator[Finding]:
    """Yield a finding if the high sounds of the speech are missing."""
    if top_hz is None or top_hz >= BAND_ERROR_BELOW_HZ:
        return
    yield scene.finding(
        "bandwidth",
        "error",
        f"the speech has no sound above {top_hz / 1000:g} kHz: s, f and th cannot be told apart",
        hint="record or export again with 32,000 samples a second or more, and no low-pass filter",
        expected=BAND_NEEDED_HZ,
        measured=top_hz,
        allowed=BAND_ERROR_BELOW_HZ,
        unit="Hz",
    )


def _spectra(scene: Scene) -> NDArray[np.float64] | None:
    """Return power spectra of windows all over the speech, shape (n_windows, WINDOW // 2 + 1)."""
    spans = list(scene.speech())
    n_all = sum((end - start) // WINDOW for start, end in spans)
    if n_all < BAND_FEWEST_WINDOWS * scene.rate_hz / 44_100:
        return None
    step = max(1, n_all // MOST_WINDOWS)
    window = np.hanning(WINDOW).astype(np.float32)

    def spectra(span: tuple[int, int]) -> NDArray[np.float64]:
        start, end = span
        wave = scene.kept.read(start, start + (end - start) // WINDOW * WINDOW)[:, 0]
        frames = wave.reshape(-1, WINDOW)[::step]
        power: NDArray[np.float64] = np.abs(np.fft.rfft(frames * window, axis=1)) ** 2
        return power

    return np.concatenate(list(side_by_side(spectra, spans)))
