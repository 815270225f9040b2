"""What is in the silences: noise too near to the speech, mains hum, and a shifted zero line."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.faults.closer import first_findings
from pausewright.checker.files.columns import mixed
from pausewright.checker.limits.levels import (
    DC_ERROR,
    DC_WARNING,
    FILLED_MORE_DB,
    FILLED_S,
    FILLED_STEADY_DB,
    GAP_SHORTEST_S,
    HUM_BELOW_DB,
    HUM_ERROR_DB,
    HUM_LINES,
    HUM_STANDS_DB,
    LOWEST_PER_CENT,
    NOISE_BELOW_DB,
    STEADY_PER_CENT,
)
from pausewright.checker.listen.filters import running_means
from pausewright.checker.listen.gate import frame_levels

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from pausewright.checker.faults.closer import Scene
    from pausewright.checker.result.findings import Finding

    Floats: TypeAlias = NDArray[np.float64]

NOISE_FRAMES = 12
"""Half a second: shorter sounds are told as sounds in a silence."""
MARGIN_S = 0.06
WINDOW_S = 1.0
MOST_WINDOWS = 60
MOST_FINDINGS = 5


def gap_findings(scene: Scene) -> list[Finding]:
    """Return the findings about what is heard in the silences."""
    noisy = [*_noise(scene), *_filled(scene)]
    return [*first_findings(noisy, MOST_FINDINGS, "gaps like it"), *_hum(scene), *_dc(scene)]


def _filled(scene: Scene) -> Iterator[Finding]:
    """Yield findings about long stretches of sound that never come down as speech does."""
    for start, end in scene.speech():
        if end - start < FILLED_S * scene.rate_hz:
            continue
        levels = frame_levels(scene.kept, start, end)
        low, next_low = map(float, np.percentile(levels, (LOWEST_PER_CENT, STEADY_PER_CENT)))
        is_steady = next_low - low < FILLED_STEADY_DB
        if is_steady and low > scene.speech_dbfs - NOISE_BELOW_DB - FILLED_MORE_DB:
            yield scene.finding(
                "noise-in-gap",
                "error",
                "the sound never comes down to silence here{where}: there is noise, closer than "
                "20 dB to the speech",
                hint="record again in a quieter room, or have the noise taken out",
                frame=start,
                expected=scene.speech_dbfs - NOISE_BELOW_DB,
                measured=low,
                unit="dBFS",
            )


def _silences(scene: Scene) -> Iterator[tuple[int, int]]:
    """Yield the silences between sounds and at the ends, without their first and last 60 ms."""
    margin = int(MARGIN_S * scene.rate_hz)
    edges = [0, *(at for span in scene.heard.stretches for at in span), scene.heard.n_frames]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start - 2 * margin >= GAP_SHORTEST_S * scene.rate_hz:
            yield start + margin, end - margin


def _noise(scene: Scene) -> Iterator[Finding]:
    limit_dbfs = scene.speech_dbfs - NOISE_BELOW_DB
    if not scene.heard.stretches:
        return
    for start, end in _silences(scene):
        levels = frame_levels(scene.kept, start, end)
        if not len(levels):
            continue
        power = running_means(10 ** (levels / 10), NOISE_FRAMES, mirrored=True)
        level = float(10 * np.log10(power.max()))
        if level > limit_dbfs:
            yield scene.finding(
                "noise-in-gap",
                "error",
                "there is noise in the silence{where}, closer than 20 dB to the speech",
                hint="record again in a quieter room, or have the noise taken out",
                frame=start,
                expected=limit_dbfs,
                measured=level,
                unit="dBFS",
            )


def _hum(scene: Scene) -> Iterator[Finding]:
    power = _gap_spectrum(scene)
    if power is None:
        return
    best: tuple[float, int] | None = None
    for mains_hz in (50, 60):
        total, n_lines = 0.0, 0
        for n in range(1, 7):
            at = round(mains_hz * n * WINDOW_S)
            # Hann: a line fills three bins; what is beside it, away from other lines
            line = float(power[at - 1 : at + 2].sum())
            beside = float(
                np.median(np.concatenate([power[at - 8 : at - 3], power[at + 4 : at + 9]]))
            )
            if line > 3 * beside * 10 ** (HUM_STANDS_DB / 10):
                total += line
                n_lines += 1
        if n_lines >= HUM_LINES and (best is None or total > best[0]):
            best = total, mains_hz
    if best is None:
        return
    level_dbfs = float(10 * np.log10(best[0]))
    below_db = scene.speech_dbfs - level_dbfs
    if below_db > HUM_BELOW_DB:
        return
    yield scene.finding(
        "hum",
        "error" if below_db < HUM_ERROR_DB else "warning",
        f"mains hum of {best[1]} Hz is heard in the silences",
        hint="look for an earth loop or a cable beside a mains lead, and record again",
        expected=scene.speech_dbfs - HUM_BELOW_DB,
        measured=level_dbfs,
        unit="dBFS",
    )


def _gap_spectrum(scene: Scene) -> Floats | None:
    """Return the mean power of the silences by frequency, 1 Hz a bin; None if all are digital.

    Shape (n_bins,); the sum over a line's bins is its mean square.
    """
    n = int(WINDOW_S * scene.rate_hz)
    window = np.hanning(n)
    scale = 2 / (window.sum() ** 2) / 1.5
    total = np.zeros(n // 2 + 1)
    n_windows = 0
    for start, end in _silences(scene):
        for at in range(start, end - n, n):
            if n_windows == MOST_WINDOWS or not scene.kept.sounding(at, at + n):
                continue
            wave = mixed(scene.kept.read(at, at + n))
            if wave.any():
                total += np.abs(np.fft.rfft(wave * window)) ** 2 * scale
                n_windows += 1
    return total / n_windows if n_windows else None


def _dc(scene: Scene) -> Iterator[Finding]:
    worst = max(scene.heard.dc, key=abs)
    if abs(worst) < DC_WARNING:
        return
    yield scene.finding(
        "dc-offset",
        "error" if abs(worst) >= DC_ERROR else "warning",
        "the zero line of the sound is shifted: it clicks wherever it is stopped",
        hint="take the DC offset out, or look at the recording device",
        expected=0.0,
        measured=float(worst),
        allowed=DC_WARNING,
        unit="",
    )
