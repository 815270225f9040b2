"""Cut-off speech, dropouts and clicks: what no voice does within three milliseconds.

Measured on 303 different utterances of two voices, as WAV, MP3 at 64 kbit/s and OGG: speech falls
by 25 dB within 6 ms at most, and its low sounds (under 1 kHz) rise by 37 dB at most; a cut falls
and rises by 50 dB and more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.faults.closer import first_findings
from pausewright.checker.faults.voice_edges import (
    click_doubted_from,
    hole_db,
    most_fall_db,
    most_rise_db,
    rise_db,
)
from pausewright.checker.files.ahead import side_by_side
from pausewright.checker.files.columns import means
from pausewright.checker.limits.edges import (
    BACK_WITHIN_S,
    CLICK_AT_LEAST_DB,
    HOLE_FALL_DB,
    LOUD_FALL_DB,
    LOUD_RISE_DB,
    NEAR_TONE_S,
    TOWERS,
    USUAL_FROM,
    USUAL_SHARE,
)
from pausewright.checker.listen.filters import running_means
from pausewright.checker.result.findings import LISTEN
from pausewright.wording.line_elements import ToneCue

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.checker.faults.closer import Scene
    from pausewright.checker.result.findings import Finding

    Floats: TypeAlias = NDArray[np.float64]

SUB_S = 0.0005
"""The wave is averaged over this for its low sounds."""
SUBS = 6
"""Averages in a frame: 3 ms."""
HOLE_FRAMES = 6
"""After a fall, in which a hole is looked for."""
PAD_S = 0.025
CLICK_FRAME_S = 0.00025
SIDES_S = 0.005
OTHER_TAKE = (
    'listen to the track here; if nothing is missing, give the sentence another take: {take="2"}'
)
"""A build tries some takes by itself."""
MOST_FINDINGS = 5


@dataclass(slots=True)
class _Found:
    falls: list[tuple[int, float]] = field(default_factory=list)
    rises: list[tuple[int, float]] = field(default_factory=list)
    drops: list[tuple[int, float]] = field(default_factory=list)
    clicks: list[tuple[int, float]] = field(default_factory=list)


def hard_edges(scene: Scene) -> list[Finding]:
    """Return the findings about cut-off speech, dropouts and clicks."""
    found = _Found()
    n_stretches = 0
    for one in side_by_side(partial(_in_stretch, scene), scene.speech()):
        n_stretches += 1
        found.falls += one.falls
        found.rises += one.rises
        found.drops += one.drops
        found.clicks += one.clicks
    tones = [one for one in scene.sounds() if isinstance(one.sound.element, ToneCue)]
    near = int(NEAR_TONE_S * scene.rate_hz)
    for which in (found.falls, found.rises, found.drops):
        which[:] = [
            (frame, size)
            for frame, size in which
            if not any(one.start - near < frame < one.end + near for one in tones)
        ]
    if not scene.coder.has_soft_edges:
        found.falls.clear()
        found.rises.clear()
    findings, fall_db = [], most_fall_db(scene)
    n_edges = len(found.falls) + len(found.rises) + len(found.drops)
    if n_edges >= USUAL_FROM and n_edges > USUAL_SHARE * n_stretches:
        findings.append(
            scene.finding(
                "hard-edges",
                "warning",
                "sounds begin and end so hard all over the track that cut-off speech cannot be "
                "told from it",
                hint="listen whether words are cut off; a noise gate in the recording does this",
            )
        )
    else:
        for which, sentence, hint in (
            (found.falls, "speech stops as if cut off{where}", LISTEN),
            (found.rises, "speech begins as if its start were cut off{where}", OTHER_TAKE),
        ):
            cuts = [
                scene.finding(
                    "speech-cut",
                    "error",
                    sentence,
                    hint=hint,
                    frame=frame,
                    measured=by_db,
                    unit="dB",
                    allowed=fall_db if which is found.falls else _rise_db(scene),
                )
                for frame, by_db in which
            ]
            findings += first_findings(cuts, MOST_FINDINGS, "like it")
        drops = [
            scene.finding(
                "dropout",
                "error",
                "the sound drops out for a moment{where}",
                frame=frame,
                measured=by_db,
                allowed=fall_db,
                unit="dB",
            )
            for frame, by_db in found.drops
        ]
        findings += first_findings(drops, MOST_FINDINGS, "like it")
    clicks = [
        scene.finding(
            "click",
            "warning",
            "there is a click in the speech{where}",
            frame=frame,
            measured=ratio,
            allowed=_click_limit(scene),
        )
        for frame, ratio in found.clicks
    ]
    return findings + first_findings(clicks, MOST_FINDINGS, "clicks")


def _in_stretch(scene: Scene, stretch: tuple[int, int]) -> _Found:
    """Look through one stretch of sound, on each channel that is not like the one before it."""
    found = _Found()
    pad = int(PAD_S * scene.rate_hz)
    at = stretch[0] - pad
    wave = scene.kept.read(at, stretch[1] + pad)
    for channel in range(wave.shape[1]):
        _look(wave[:, channel], at, scene, found)
        if wave.shape[1] == 2 and np.array_equal(wave[:, 0], wave[:, 1]):
            break
    return found


def _rise_db(scene: Scene) -> float:
    """Return from where on a rise is a cut on this track, in this kind of file."""
    return most_rise_db(scene) + scene.coder.rise_more_db


def _look(wave: NDArray[np.float32], at: int, scene: Scene, found: _Found) -> None:
    sub = max(1, round(SUB_S * scene.rate_hz))
    n = sub * SUBS
    whole = wave[: len(wave) // n * n].astype(np.float64)
    if len(whole) < 8 * n:
        return
    levels = _db(_powers(whole, n)) - scene.speech_dbfs
    coarse = means(whole, sub)
    lows = _db(_powers(coarse, SUBS)) - scene.speech_dbfs
    after = np.maximum(np.maximum(levels[2:-2], levels[3:-1]), levels[4:])
    fall = np.where(levels[:-4] > -LOUD_FALL_DB, levels[:-4] - after, 0)
    rise = _rises(lows)
    back = round(BACK_WITHIN_S * scene.rate_hz / n)
    fallen: list[int] = []
    most_db = most_fall_db(scene)
    size = _with_holes(fall, levels, hole_db(scene)) if scene.coder.rounds_holes else fall
    for j in _peaks(size, most_db, back):
        comes_back = levels[j + 4 : j + 4 + back].max(initial=-200) > -25
        if not comes_back and fall[j] <= most_db:
            continue
        fallen.append(j)
        which = found.drops if comes_back else found.falls
        which.append((at + (j + 1) * n, float(min(size[j], 99))))
    for j in _peaks(rise, _rise_db(scene), back):
        if not any(0 <= j + 4 - k <= back + 4 for k in fallen):  # the end of a dropout
            found.rises.append((at + (j + 4) * n, float(min(rise[j], 99))))
    if scene.coder.click_ratio is not None:
        _clicks(wave, at, scene, found)


def _with_holes(fall: Floats, levels: Floats, hole_db: float) -> Floats:
    """Return by how many dB each frame falls: into a hole, by how deep it is."""
    depth = np.zeros_like(fall)
    deepest = np.lib.stride_tricks.sliding_window_view(levels[2:], HOLE_FRAMES).min(axis=1)
    depth[: len(deepest)] = levels[: len(deepest)] - deepest
    is_hole = (fall > HOLE_FALL_DB) & (depth > hole_db)
    return np.where(is_hole, np.maximum(fall, depth), fall)


def _rises(lows: Floats, apart: int = 1) -> Floats:
    """Return by how many dB low sounds rise to each frame that is loud, from the fifth on.

    `apart` is how many levels lie between the beginnings of two frames that follow each other.
    """
    early, middle = lows[: -4 * apart], lows[apart : -3 * apart]
    before = np.maximum(np.maximum(early, middle), lows[2 * apart : -2 * apart])
    late = lows[4 * apart :]
    return np.where(late > -LOUD_RISE_DB, late - before, 0)


def begins_as_if_cut(
    take: NDArray[np.int16], rate_hz: int, speech_dbfs: float, margin_db: float, voice: str
) -> bool:
    """Return whether speech begins within one take as if its start were cut off.

    Parameters
    ----------
    take : shape (n_samples,), full scale 32,768; silence is taken to lie around it
    rate_hz : its rate
    speech_dbfs : active level of the speech on the track it is for
    margin_db : by how much the rise may come near to what the check tells as a cut
    voice : its name
    """
    most_db = rise_db(voice) - margin_db
    return highest_rise_db(take, rate_hz, speech_dbfs) > most_db


def highest_rise_db(take: NDArray[np.int16], rate_hz: int, speech_dbfs: float) -> float:
    """Return the highest rise of low sounds to what is loud within one take, in dB.

    Frames may begin anywhere: where those of a track will begin is not known yet. Parameters as
    for `begins_as_if_cut`.
    """
    sub = max(1, round(SUB_S * rate_hz))
    pad = np.zeros(8 * sub * SUBS, dtype=np.float64)
    wave = np.concatenate([pad, take / 32768, pad])
    highest_db = 0.0
    for first in (0, sub // 2):
        shifted = wave[first:]
        powers = np.square(means(shifted[: len(shifted) // sub * sub], sub))
        lows = _db(np.convolve(powers, np.full(SUBS, 1 / SUBS), "valid")) - speech_dbfs
        highest_db = max(highest_db, float(_rises(lows, SUBS).max()))
    return highest_db


def _clicks(wave: NDArray[np.float32], at: int, scene: Scene, found: _Found) -> None:
    n = max(4, round(CLICK_FRAME_S * scene.rate_hz))
    bend = np.abs(np.diff(wave, 3))
    if len(bend) < n:
        return
    whole = bend[: len(bend) // n * n]
    peaks = np.maximum.reduceat(whole, np.arange(0, len(whole), n)).astype(np.float64)
    sides = max(3, round(SIDES_S * scene.rate_hz / n))
    if len(peaks) < 4 * sides:
        return
    width = 2 * sides + 1
    total = running_means(peaks, width) * width
    own = running_means(peaks, 3) * 3
    around = (total - own) / (width - 3)
    floor = 10 ** ((scene.speech_dbfs + CLICK_AT_LEAST_DB) / 20)
    ratio = np.where(peaks > floor, peaks / (around + floor / 40), 0)
    for j in _peaks(ratio, click_doubted_from(scene), 4 * sides):
        low = max(0, j - sides)
        if ratio[j] <= _click_limit(scene) and not _towers(wave, j * n, n, sides):
            continue
        # a click is over at once; a burst of breath goes on
        if np.count_nonzero(peaks[low : j + sides] > 0.3 * peaks[j]) <= 4:
            found.clicks.append((at + j * n, float(ratio[j])))


def _towers(wave: NDArray[np.float32], at: int, n: int, sides: int) -> bool:
    """Return whether the wave at a click is far higher than all that is near it."""
    near = np.abs(wave[max(0, at - sides * n) : at + sides * n])
    low = min(at, sides * n)
    click = near[max(0, low - n) : low + 2 * n]
    beside = np.concatenate([near[: max(0, low - n)], near[low + 2 * n :]])
    return float(click.max(initial=0)) > TOWERS * float(beside.max(initial=0))


def _click_limit(scene: Scene) -> float:
    return scene.coder.click_ratio or math.inf


def _powers(wave: Floats, n: int) -> Floats:
    """Return the mean square of every `n` samples."""
    frames = wave.reshape(-1, n)
    found: Floats = np.einsum("fn,fn->f", frames, frames) / n
    return found


def _db(power: Floats) -> Floats:
    return 10 * np.log10(np.maximum(power, 1e-16))


def _peaks(values: Floats, limit: float, apart: int) -> list[int]:
    """Return where values pass a limit, the highest of each cluster."""
    found: list[int] = []
    for j in np.flatnonzero(values > limit).tolist():
        if found and j - found[-1] < apart:
            if values[j] > values[found[-1]]:
                found[-1] = j
        else:
            found.append(j)
    return found
