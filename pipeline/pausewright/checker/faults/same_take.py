"""Readings of one question that should be one recording: are they, all through?

The readings are laid over each other and subtracted. What is left of one take, played twice, is
the noise of the coder; where a word differs, something else is left.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.expect.expected import CONTENT
from pausewright.checker.files.columns import means
from pausewright.checker.limits.edges import (
    READING_ALIKE_DB,
    READING_AS_LONG_IN_NOISE_S,
    READING_AS_LONG_S,
    READING_COPY_SHARE,
    READING_LAG_SHARE,
    READING_LAGS,
    READING_LEVEL_DB,
    READING_LEVEL_FRAMES,
    READING_LOUD_DB,
    READING_MOST_LAG_IN_NOISE_S,
    READING_MOST_LAG_S,
    READING_SOFT_ALIKE_DB,
    READING_SOFT_DB,
    READING_UNLIKE_FRAMES,
)
from pausewright.checker.listen.filters import resampled
from pausewright.checker.result.items import name_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.checker.faults.closer import Scene, Spoken
    from pausewright.checker.result.findings import Finding

    Floats: TypeAlias = NDArray[np.float64]

COARSE_HZ = 2000
"""The lag between two readings is looked for in their low sounds."""
COMPARED_HZ = 4000
"""The readings are compared in their low sounds (under 2 kHz): coders make up the high ones."""
FIRST = 3
"""They are thinned out by this much before the filter: a third of its work."""
FRAME_S = 0.02
LONGEST_S = 30
"""Longer readings are compared over their first 30 s."""


@frozen
class Readings:
    """What comparing all readings gave."""

    findings: tuple[Finding, ...]
    are_copies: bool | None
    """Whether most readings are copies of the first; None with fewer than two readings."""


def compared_readings(scene: Scene) -> Readings:
    """Return where readings of the same words differ, if most readings are copies at all."""
    groups: dict[tuple[object, ...], list[Spoken]] = defaultdict(list)
    for one in scene.utterances():
        if one.sound.role in CONTENT:
            key = (one.sound.block, one.sound.place, getattr(one.sound.element, "spoken", None))
            groups[key].append(one)
    findings: list[Finding] = []
    n_copies = n_pairs = 0
    for members in groups.values():
        for other in members[1:]:
            share, differs_at = _compare(scene, members[0], other)
            n_pairs += 1
            n_copies += share >= READING_COPY_SHARE
            if differs_at is not None:
                findings.append(_finding(scene, other, differs_at))
    if not n_pairs:
        return Readings((), None)
    if 2 * n_copies <= n_pairs:
        return Readings((), are_copies=False)
    return Readings(tuple(findings), are_copies=True)


def most_are_as_long(scene: Scene) -> bool | None:
    """Return whether most of what is said again in the same words is as long as before.

    None where nothing is. So a person's announcements are told from a voice's, which are copies.
    """
    first: dict[tuple[object, ...], int] = {}
    n_pairs = n_alike = 0
    most_s = READING_AS_LONG_IN_NOISE_S if scene.matching.tolerance.in_noise else READING_AS_LONG_S
    for one in scene.utterances():
        element, n = one.sound.element, one.end - one.start
        if isinstance(element, Utterance):
            key = element.spoken, element.speech
            if key in first:
                n_pairs += 1
                n_alike += abs(n - first[key]) <= most_s * scene.rate_hz
            first.setdefault(key, n)
    return 2 * n_alike > n_pairs if n_pairs else None


def _finding(scene: Scene, other: Spoken, differs_at: int) -> Finding:
    return scene.finding(
        "readings-differ",
        "error",
        f"reading {other.sound.reading} of {name_of(other.sound.question)} is not the same "
        "recording as the first all through, though it has the same words",
        frame=differs_at,
        sound=other.sound,
    )


def _compare(scene: Scene, first: Spoken, other: Spoken) -> tuple[float, int | None]:
    """Return the share of frames that are alike, and the first frame of `other` that is not."""
    rate_hz = scene.rate_hz
    most = LONGEST_S * rate_hz
    a = scene.kept.read(first.start, min(first.end, first.start + most))[:, 0]
    is_noisy = scene.matching.tolerance.in_noise
    lead = int((READING_MOST_LAG_IN_NOISE_S if is_noisy else READING_MOST_LAG_S) * rate_hz)
    b = scene.kept.read(other.start - lead, min(other.end, other.start + most) + lead)[:, 0]
    lag = _lag(a, b, rate_hz, 2.5 * lead / rate_hz)
    step = max(1, rate_hz // COMPARED_HZ)
    step -= step % FIRST if step > FIRST else 0
    n = int(FRAME_S * rate_hz) // step * step
    n_frames = min(len(a), len(b) - lag) // n
    if n_frames < 2 * READING_UNLIKE_FRAMES:
        return 1.0, None
    x = _low(a[: n_frames * n], step).reshape(n_frames, -1)
    y = _low(b[lag : lag + n_frames * n], step).reshape(n_frames, -1)
    of_x, of_y = np.einsum("fn,fn->f", x, x), np.einsum("fn,fn->f", y, y)
    both = np.einsum("fn,fn->f", x, y)
    power = np.maximum(of_x, of_y) * step / n
    loud = power > 10 ** ((scene.speech_dbfs - READING_LOUD_DB) / 10)
    is_soft = power < 10 ** ((scene.speech_dbfs - READING_SOFT_DB) / 10)
    # what is left of y after the best gain for this frame is taken out of x
    left = 1 - both * np.abs(both) / np.maximum(of_x * of_y, 1e-20)
    # and what the room's noise, which is another in each reading, adds to that
    hidden = 2 * n / step * _noise_power(scene, other.start, step)
    most_left = 10 ** (np.where(is_soft, READING_SOFT_ALIKE_DB, READING_ALIKE_DB) / 10)
    alike = left < most_left + hidden / np.maximum(of_y, 1e-20)
    if not loud.any():
        return 1.0, None
    share = float(np.count_nonzero(alike & loud) / np.count_nonzero(loud))
    start = other.start - lead + lag
    at = _first_run(loud & ~alike, READING_UNLIKE_FRAMES)
    if at is None:
        at = _level_step(of_x, of_y, loud & alike)
    return share, None if at is None else start + at * n


def _noise_power(scene: Scene, frame: int, step: int) -> float:
    """Return the power of the noise nearest to a place, in the sounds that are compared; else 0."""
    noises = scene.heard.noises
    if not noises:
        return 0.0
    near = min(noises, key=lambda one: max(one.start - frame, frame - one.end, 0))
    wave = scene.kept.read(near.start, min(near.end, near.start + scene.rate_hz))[:, 0]
    return float(np.mean(np.square(_low(wave[: len(wave) // step * step], step))))


def _low(wave: NDArray[np.float32], step: int) -> Floats:
    """Return the low sounds of a wave, one value for every `step` samples."""
    first = FIRST if step % FIRST == 0 else 1
    return resampled(means(wave, first), 1, step // first)


def _level_step(of_x: Floats, of_y: Floats, usable: NDArray[np.bool_]) -> int | None:
    """Return the first frame from which one reading is louder than elsewhere against the other."""
    where = np.flatnonzero(usable)
    if len(where) < 2 * READING_LEVEL_FRAMES:
        return None
    differ_db = 10 * np.log10(np.maximum(of_y[where], 1e-20) / np.maximum(of_x[where], 1e-20))
    smooth = np.convolve(differ_db, np.ones(READING_LEVEL_FRAMES) / READING_LEVEL_FRAMES, "valid")
    off = np.flatnonzero(np.abs(smooth - smooth[0]) > READING_LEVEL_DB)
    return int(where[off[0]]) if len(off) else None


def _first_run(wanted: NDArray[np.bool_], least: int) -> int | None:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], wanted.astype(np.int8), [0]])))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start >= least:
            return int(start)
    return None


def _lag(a: NDArray[np.float32], b: NDArray[np.float32], rate_hz: int, most_s: float) -> int:
    """Return how many samples into `b` the sound of `a` begins, `most_s` at most.

    A steady tone agrees with itself a period later nearly as well: each such place is refined, and
    the one where the whole of the two agrees best is taken.
    """
    step = max(1, rate_hz // COARSE_HZ)
    low_a, low_b = (means(w[: len(w) // step * step], step) for w in (a, b))
    if not low_a.any() or not low_b.any():
        return 0
    n = 1 << int(len(low_a) + len(low_b)).bit_length()
    spectrum = np.fft.rfft(low_b, n) * np.conj(np.fft.rfft(low_a, n))
    agreement = np.fft.irfft(spectrum, n)[: int(most_s * rate_hz / step)]
    refined = [_refined(a, b, int(at) * step, step, rate_hz) for at in _peaks(agreement)]
    length = min(len(a), *(len(b) - lag for lag in refined))
    return max(refined, key=lambda lag: float(np.dot(a[:length], b[lag : lag + length])))


def _peaks(agreement: Floats) -> NDArray[np.intp]:
    """Return the highest places, the best first, that come near to the best."""
    wide = np.concatenate([[-np.inf], agreement, [-np.inf]])
    is_peak = (wide[1:-1] >= wide[:-2]) & (wide[1:-1] > wide[2:])
    is_near = agreement >= READING_LAG_SHARE * agreement.max()
    found = np.flatnonzero(is_peak & is_near)
    if not len(found):
        return np.array([agreement.argmax()])
    return found[np.argsort(-agreement[found])][:READING_LAGS]


def _refined(
    a: NDArray[np.float32], b: NDArray[np.float32], near: int, step: int, rate_hz: int
) -> int:
    """Return the lag near another at which the two agree best where `a` is loudest."""
    width = min(len(a), rate_hz // 5)
    middle = int(np.abs(a).argmax())
    low = min(max(0, middle - width // 2), len(a) - width)
    part = a[low : low + width]
    best, lag = -np.inf, near
    for shift in range(max(0, near - 2 * step), near + 2 * step + 1):
        against = b[low + shift : low + shift + width]
        if len(against) == width and (score := float(np.dot(part, against))) > best:
            best, lag = score, shift
    return lag
