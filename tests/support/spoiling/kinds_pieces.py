"""Damage to a track in pieces: lost, changed places, cut in the wrong place, short by a sample."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from support.spoiling.spoil import cut, middle, pick, plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.plan.timeline import Placed

    from support.spoiling.spoil import Dice, Spoiled
    from support.spoiling.tracks import GoodTrack, Wave

LEAD_S = 0.5
"""Silence before the tone with which a good piece begins."""
WHOLE_FRAMES = 147
"""That many frames at 44.1 kHz are 160 at 48 kHz: cut there, pieces in Opus, which has that rate,
are together as long as the whole track."""


def in_pieces(track: GoodTrack, at_frame: int | None = None) -> Spoiled:
    """Return a track in two pieces, cut as it should be in its first hold, or at a frame."""
    at = _hold(track).end_sample - int(LEAD_S * track.rate_hz) if at_frame is None else at_frame
    at -= at % WHOLE_FRAMES
    parts = {"1-of-2": track.wave[:at], "2-of-2": track.wave[at:]}
    return replace(plain(track, track.wave, at / track.rate_hz), pieces=parts)


def _hold(track: GoodTrack) -> Placed:
    return next(one for one in track.waits() if getattr(one.step, "kind", "") == "hold")


def piece_missing(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave out one piece."""
    del size
    good = in_pieces(track)
    lost = str(dice.choice(list(good.pieces)))
    return replace(good, pieces={m: wave for m, wave in good.pieces.items() if m != lost})


def pieces_swapped(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Give two pieces each other's names."""
    del dice, size
    good = in_pieces(track)
    return replace(good, pieces=dict(zip(good.pieces, reversed(good.pieces.values()), strict=True)))


def piece_shorter(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Take `size` samples out of one piece, anywhere."""
    good = in_pieces(track)
    mark = str(dice.choice(list(good.pieces)))
    wave: Wave = good.pieces[mark]
    at = int(dice.integers(len(wave) - int(size)))
    return replace(good, pieces={**good.pieces, mark: cut(wave, at, at + int(size))})


def piece_of_other_sound(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put `size` seconds of silence over the words of the second piece."""
    start = len(in_pieces(track).pieces["1-of-2"])
    spoken = pick(dice, [one for one in track.says() if one.start_sample >= start])
    at = spoken.start_sample - start

    def silenced(wave: Wave) -> Wave:
        wave[at : at + int(size * track.rate_hz)] = 0
        return wave

    return _second(track, silenced)


def piece_later(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Let the sound of the second piece come `size` seconds late, in a piece as long as before."""
    del dice
    return _second(track, lambda wave: np.roll(wave, int(size * track.rate_hz)))


def piece_faster(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Play the second piece faster by a share, with silence at its end."""
    del dice

    def faster(wave: Wave) -> Wave:
        at = np.arange(len(wave))
        return np.asarray(np.interp(at * (1 + size), at, wave, right=0.0), dtype=np.float32)

    return _second(track, faster)


def piece_with_other_words(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put `size` seconds of other words over those of the second piece."""
    start = len(in_pieces(track).pieces["1-of-2"])
    n = int(size * track.rate_hz)
    long = [one for one in track.says() if one.end_sample - one.start_sample > 2 * n]
    target = pick(dice, [one for one in long if one.start_sample >= start])
    source = pick(dice, [one for one in long if _words(one) != _words(target)])
    new = track.wave[middle(source) : middle(source) + n]
    at = middle(target) - start

    def changed(wave: Wave) -> Wave:
        wave[at : at + n] = new
        return wave

    return _second(track, changed)


def _words(spoken: Placed) -> object:
    return getattr(spoken.step, "element", None)


def _second(track: GoodTrack, change: Callable[[Wave], Wave]) -> Spoiled:
    """Return a track in two pieces, the second changed."""
    good = in_pieces(track)
    return replace(good, pieces={**good.pieces, "2-of-2": change(np.array(good.pieces["2-of-2"]))})


def cut_in_words(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Cut in the middle of words."""
    del size
    return in_pieces(track, middle(pick(dice, track.says())))


def cut_early(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave `size` of the hold less than half on the first piece."""
    del dice
    hold = _hold(track)
    n_hold = hold.end_sample - hold.start_sample
    return in_pieces(track, hold.start_sample + int((0.5 - size) * n_hold))


def cut_late(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Begin the second piece with `size` seconds of silence less than it needs."""
    del dice
    return in_pieces(track, _hold(track).end_sample - int((0.3 - size) * track.rate_hz))
