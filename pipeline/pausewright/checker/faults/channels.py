"""Two channels that should carry one voice: dead, unequal, or working against each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.checker.limits.levels import (
    CHANNEL_AGAINST,
    CHANNEL_DEAD_DB,
    CHANNEL_LOUD_DB,
    CHANNEL_UNEQUAL_DB,
    CHANNEL_WINDOWS_DEAD,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.faults.closer import Scene
    from pausewright.checker.result.findings import Finding

WINDOW_S = 0.1
HINT = "repair the cable or the export, and deliver the voice on both channels alike"


def channel_findings(scene: Scene) -> Iterator[Finding]:
    """Yield findings about the channels of a track with two."""
    if scene.kept.n_channels != 2:
        return
    n = int(WINDOW_S * scene.rate_hz)
    loud = 10 ** ((scene.speech_dbfs - CHANNEL_LOUD_DB) / 10)
    ratio = 10 ** (-CHANNEL_DEAD_DB / 10)
    sums = np.zeros(3)  # left², right², left × right
    dead: list[tuple[int, int]] = []  # frame, channel
    n_windows = 0
    for start, end in scene.speech():
        wave = scene.kept.read(start, start + (end - start) // n * n).astype(np.float64)
        if not len(wave):
            continue
        frames = wave.reshape(-1, n, 2)
        power = np.einsum("fnc,fnc->fc", frames, frames) / n
        cross = np.einsum("fn,fn->f", frames[..., 0], frames[..., 1]) / n
        sums += (*power.sum(axis=0), cross.sum())
        n_windows += len(power)
        alone = (power.max(axis=1) > loud) & (power.min(axis=1) < ratio * power.max(axis=1))
        dead += [(start + int(i) * n, int(power[i].argmin())) for i in np.flatnonzero(alone)]
    left, right, both = sums
    if max(left, right) <= 0:
        return
    low, high = sorted((left, right))
    if low < ratio * high:
        yield scene.finding(
            "channel-dead",
            "error",
            f"the {'left' if left < right else 'right'} channel is silent",
            hint=HINT,
        )
        return
    if len(dead) >= CHANNEL_WINDOWS_DEAD:
        frame, channel = dead[0]
        yield scene.finding(
            "channel-dead",
            "error",
            f"the {('left', 'right')[channel]} channel is silent for {len(dead) * WINDOW_S:.1f} s "
            "of speech, first{where}",
            hint=HINT,
            frame=frame,
            measured=len(dead) * WINDOW_S,
            unit="s",
        )
    if both / np.sqrt(left * right) < CHANNEL_AGAINST:
        yield scene.finding(
            "channels-out-of-phase",
            "error",
            "the channels work against each other: on one loudspeaker the voice disappears",
            hint="turn one channel over (invert it), and deliver the voice on both channels alike",
            measured=float(both / np.sqrt(left * right)),
            allowed=CHANNEL_AGAINST,
        )
    differ_db = float(10 * np.log10(left / right))
    if abs(differ_db) > CHANNEL_UNEQUAL_DB:
        yield scene.finding(
            "channels-unequal",
            "error" if abs(differ_db) > 2 * CHANNEL_UNEQUAL_DB else "warning",
            f"the {'left' if differ_db > 0 else 'right'} channel is louder than the other",
            hint=HINT,
            measured=differ_db,
            expected=0.0,
            allowed=CHANNEL_UNEQUAL_DB,
            unit="dB",
        )
