"""Is the track played as fast as it was made? Silences and tones tell, without the builder.

A track at the wrong speed has all its silences, of every kind, longer or shorter by one factor;
an arrangement stretches some kinds only. A tone has a declared frequency: played too fast, it is
higher by the same factor.
"""

from __future__ import annotations

import math
from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.limits.times import (
    SHORTEST_TONE_S,
    SPEED_FEWEST_SILENCES,
    SPEED_KIND_WITHIN_S,
    SPEED_LEAST_OFF,
    SPEED_LEAST_OFF_IN_NOISE,
    SPEED_MOST_OFF,
    SPEED_MOST_SCATTER_S,
    SPEED_SURE_ERRORS,
    TONE_WITHIN,
)
from pausewright.checker.result.findings import Finding
from pausewright.wording.line_elements import ToneCue

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from pausewright.checker.faults.closer import Scene

    Floats: TypeAlias = NDArray[np.float64]


def speed_findings(scene: Scene) -> Iterator[Finding]:
    """Yield a finding if the whole track runs at another speed than the script declares."""
    by_silence = _by_silences(scene)
    by_tone = _by_tones(scene)
    if by_silence is None and by_tone is None:
        return
    if by_silence is not None and by_tone is not None and abs(by_tone - 1) < SPEED_LEAST_OFF:
        sentence = "speech may be untouched: tones have their pitch"
    elif by_silence is None:
        sentence = "its tones do not have the pitch that the script declares"
    elif by_tone is None:
        sentence = "all its silences are off by one factor"
    else:
        sentence = "all its silences and the pitch of its tones are off by one factor"
    if by_silence is None and (by_tone is None or abs(by_tone - 1) < SPEED_LEAST_OFF):
        return
    factor = by_silence or by_tone or 1.0
    how = "fast" if factor > 1 else "slow"
    yield Finding(
        "wrong-speed",
        "error",
        f"the track runs too {how}, by {abs(factor - 1) * 100:.1f} %: {sentence}",
        "export it again at its own sample rate, without a change of speed",
        expected=1,
        measured=round(factor, 5),
        difference=round(factor - 1, 5),
        allowed=SPEED_LEAST_OFF,
    )


def _by_silences(scene: Scene) -> float | None:
    """Return the speed that the silences tell, if they agree on one that is not 1."""
    kinds: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for silence in scene.matching.silences:
        if silence.state == "measured" and silence.expected.is_promised and silence.n_frames:
            pair = float(silence.wait_s), silence.n_frames / scene.rate_hz
            kinds[silence.expected.kind].append(pair)
    pairs = np.array([pair for of_kind in kinds.values() for pair in of_kind])
    if len(pairs) < SPEED_FEWEST_SILENCES or len(kinds) < 2:
        return None
    wanted, measured = pairs.T
    offset, slope = 0.0, float(np.median(measured / wanted))
    for _ in range(3):
        off = np.abs(measured - offset - slope * wanted)
        near = off <= max(3 * float(np.median(off)), 0.004)
        if np.count_nonzero(near) < SPEED_FEWEST_SILENCES or np.ptp(wanted[near]) < 0.3:
            return None
        slope, offset = (float(v) for v in np.polyfit(wanted[near], measured[near], 1))
    off = np.abs(measured - offset - slope * wanted)
    least = SPEED_LEAST_OFF_IN_NOISE if scene.matching.tolerance.in_noise else SPEED_LEAST_OFF
    least = max(least, SPEED_SURE_ERRORS * _slope_error(wanted[near], off[near]))
    # silences of one length lie beside the same sounds: what a coder does to these is no speed
    least = max(least, scene.coder.edges_apart_s / float(np.ptp(wanted[near])))
    if (
        float(np.median(off)) > SPEED_MOST_SCATTER_S
        or not least <= abs(slope - 1) <= SPEED_MOST_OFF
    ):
        return None
    if abs(offset) > 0.02:
        return None
    for of_kind in kinds.values():
        apart = [m - offset - slope * w for w, m in of_kind]
        if abs(float(np.median(apart))) > SPEED_KIND_WITHIN_S:
            return None
    return 1 / slope


def _slope_error(wanted: Floats, off: Floats) -> float:
    """Return the standard error of a fitted slope (ordinary least squares)."""
    spread = float(np.square(wanted - wanted.mean()).sum())
    return math.sqrt(float(np.square(off).sum()) / (len(off) - 2) / spread)


def _by_tones(scene: Scene) -> float | None:
    """Return the speed that the tones tell; None if there are none, or they do not agree."""
    ratios = []
    for one in scene.sounds():
        element = one.sound.element
        if not isinstance(element, ToneCue):
            continue
        if one.end - one.start < SHORTEST_TONE_S * scene.rate_hz:
            continue
        found_hz = _frequency_hz(scene.kept.read(one.start, one.end)[:, 0], scene.rate_hz)
        if found_hz:
            ratios.append(found_hz / float(Fraction(element.spec.frequency_hz)))
    if not ratios or max(ratios) - min(ratios) > 2 * TONE_WITHIN:
        return None
    middle = float(np.median(ratios))
    return middle if abs(middle - 1) <= SPEED_MOST_OFF else None


def _frequency_hz(wave: NDArray[np.float32], rate_hz: int) -> float | None:
    """Return the frequency of the strongest line; None if there is no single one."""
    n = len(wave)
    power = np.abs(np.fft.rfft(wave * np.hanning(n), 4 * n))
    at = int(power.argmax())
    if not 0 < at < len(power) - 1:
        return None
    around = power[max(0, at - 16) : at + 17] ** 2
    if float(around.sum()) < 0.8 * float((power**2).sum()):
        return None
    low, mid, high = (float(np.log(power[at + k] + 1e-12)) for k in (-1, 0, 1))
    bend = low - 2 * mid + high
    shift = 0.5 * (low - high) / bend if bend else 0.0
    return (at + shift) * rate_hz / (4 * n)
