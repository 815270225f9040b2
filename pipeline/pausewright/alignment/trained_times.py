"""Times of words, made finer: the sounds of a passage learned from itself, and laid anew.

A model of a dozen kinds of sound (open vowels, hisses, stops, silence …) is begun with the times
that pauses gave, and learned from them; the words' sounds are laid along the passage by the
likeliest way, with or without a silence between two words, and that is done again a few times.
Nothing is learned but this passage, so its voice, room and microphone do not matter.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.alignment.spectrum import HOP_MS
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from pausewright.alignment.phone_words import SpokenWord
    from pausewright.alignment.spectrum import Spectrum
    from pausewright.alignment.word_times import TimedWord

    Floats = NDArray[np.float32]
    Ints = NDArray[np.intp]

_KINDS: Final = (
    "IY IH EY Y",
    "EH AE",
    "AH AA",
    "AO OW UH UW W",
    "ER R L",
    "AY AW OY",
    "M N NG",
    "S Z SH ZH CH JH",
    "F TH V DH HH",
    "P T K",
    "B D G",
)
_KIND_OF: Final = {one: i for i, row in enumerate(_KINDS) for one in row.split()}
_SILENCE: Final = len(_KINDS)
_FRAME_MS: Final = 2 * HOP_MS
_BELOW_DB: Final = 50.0
_TIMES: Final = 8
_SURE_PAUSE_MS: Final = 600
_BESIDE_MS: Final = 60
_LEAST_FRAMES: Final = 400
"""Of speech: less is not enough to learn from."""
_MOST_CELLS: Final = 60_000_000
"""Frames times sounds of a passage: of a longer one the times by its pauses stay."""
_REACH_MS: Final = 900
"""How far a sound may be moved from where it was laid before."""
_LEAST_DEVIATION: Final = 2.0
_MOVE: Final = -1.8
_STAY: Final = -0.18
_WITHIN_MS: Final = 60


@frozen
class _Chain:
    """The sounds of a passage, with a silence before each word and after the last."""

    kinds: Ints
    words: Ints
    """Which word each belongs to; −1 for a silence."""


def trained_times(
    found: Sequence[TimedWord], words: Sequence[SpokenWord], spectrum: Spectrum, active: float
) -> list[TimedWord]:
    """Return finer times of words; those given where there is too little to learn from.

    Parameters
    ----------
    found : times by the pauses of the sound, from its start
    spectrum : of the sound
    active : power of its speech
    """
    features = _features(spectrum, active)
    spoken_ms = sum(one.end_ms - one.start_ms for one in found)
    if not found or spoken_ms < _LEAST_FRAMES * _FRAME_MS:
        return list(found)
    chain = _chain(words)
    if len(features) * len(chain.kinds) > _MOST_CELLS:
        return list(found)
    labels, begins = _first_labels(found, words, chain, len(features))
    limits = _limits(found, words, chain, len(features))
    path = labels
    for _ in range(_TIMES):
        scores = _scores(features, labels, chain)
        path = _way(scores, chain, begins, limits)
        labels = chain.kinds[path]
        begins = _begins(path, len(chain.kinds), begins)
    return _timed(path, chain, found)


def _features(spectrum: Spectrum, active: float) -> Floats:
    n = len(spectrum.bands) // 2
    power = spectrum.bands[: 2 * n].reshape(n, 2, -1).mean(axis=1)
    level = np.maximum(10 * np.log10(power / active + 1e-12), -_BELOW_DB)
    total = level.max(axis=1, keepdims=True)
    change = np.gradient(level, axis=0)
    found: Floats = np.concatenate([level, total, 1.5 * change], axis=1).astype(np.float32)
    return found


def _chain(words: Sequence[SpokenWord]) -> _Chain:
    kinds, of_word = [], []
    for k, word in enumerate(words):
        kinds.append(_SILENCE)
        of_word.append(-1)
        for one in word.phones or ("AH",):
            kinds.append(_KIND_OF.get(one, 2))
            of_word.append(k)
    return _Chain(np.array([*kinds, _SILENCE]), np.array([*of_word, -1]))


def _first_labels(
    found: Sequence[TimedWord], words: Sequence[SpokenWord], chain: _Chain, n_frames: int
) -> tuple[Ints, Ints]:
    """Return the kind of each frame as first laid, and about where each sound begins (frames)."""
    labels = np.full(n_frames, _SILENCE)
    begins = np.zeros(len(chain.kinds), np.intp)
    at = 0
    ended_ms = 0
    for timed, word in zip(found, words, strict=True):
        begins[at] = ended_ms // _FRAME_MS  # the silence before it
        ended_ms = timed.end_ms
        n = max(1, len(word.phones))
        edges = np.linspace(timed.start_ms, timed.end_ms, n + 1) / _FRAME_MS
        for k in range(n):
            first, last = int(edges[k]), int(edges[k + 1])
            labels[first:last] = chain.kinds[at + 1 + k]
            begins[at + 1 + k] = first
        at += n + 1
    begins[-1] = found[-1].end_ms // _FRAME_MS
    return labels, begins


def _scores(features: Floats, labels: Ints, chain: _Chain) -> Floats:
    """Return how likely each kind is at each frame (logarithms), learned from the labels."""
    n_kinds = _SILENCE + 1
    whole = features.std(axis=0) + _LEAST_DEVIATION
    found = np.full((len(features), n_kinds), -1e4, np.float32)
    for kind in range(n_kinds):
        rows = features[labels == kind]
        if len(rows) < 4:
            if kind in chain.kinds:
                found[:, kind] = -0.5 * features.shape[1]
            continue
        share = min(1.0, len(rows) / 60)
        deviation = share * rows.std(axis=0) + (1 - share) * whole + _LEAST_DEVIATION
        off = (features - rows.mean(axis=0)) / deviation
        found[:, kind] = -0.5 * (off**2).sum(axis=1) - np.log(deviation).sum()
    # neighbouring frames and bands tell much the same
    return found * np.float32(0.3)


def _limits(
    found: Sequence[TimedWord], words: Sequence[SpokenWord], chain: _Chain, n_frames: int
) -> tuple[Ints, Ints]:
    """Return the first and last frame that each sound may have: none passes a sure pause.

    A pause is sure where it is long and lies behind a mark.
    """
    lows = np.zeros(len(chain.kinds), np.intp)
    highs = np.full(len(chain.kinds), n_frames)
    for k in range(1, len(found)):
        before, after = found[k - 1], found[k]
        if not words[k - 1].ends_clause or after.start_ms - before.end_ms < _SURE_PAUSE_MS:
            continue
        first = int(np.flatnonzero(chain.words == k)[0])
        lows[first:] = (after.start_ms - _BESIDE_MS) // _FRAME_MS
        earlier = highs[: first - 1]
        earlier[:] = np.minimum(earlier, (before.end_ms + _BESIDE_MS) // _FRAME_MS)
    return lows, highs


def _way(scores: Floats, chain: _Chain, begins: Ints, limits: tuple[Ints, Ints]) -> Ints:
    """Return which sound each frame belongs to, along the likeliest way."""
    n_frames, n = len(scores), len(chain.kinds)
    is_silence = chain.kinds == _SILENCE
    best = np.full(n, -np.inf, np.float32)
    best[0] = scores[0, _SILENCE]
    if n > 1:
        best[1] = scores[0, chain.kinds[1]]
    came = np.zeros((n_frames, n), np.int8)
    over_silence = np.zeros(n, bool)
    over_silence[2:] = is_silence[1:-1]
    reach = _REACH_MS // _FRAME_MS
    lows = np.maximum(limits[0], begins - reach)
    highs = np.minimum(limits[1], np.append(begins[1:], n_frames) + reach)
    for t in range(1, n_frames):
        stay = best + np.float32(_STAY)
        move = np.full(n, -np.inf, np.float32)
        move[1:] = best[:-1] + np.float32(_MOVE)
        jump = np.full(n, -np.inf, np.float32)
        jump[2:] = best[:-2] + np.float32(_MOVE)
        jump[~over_silence] = -np.inf
        three = np.stack([stay, move, jump])
        which = three.argmax(axis=0)
        best = three[which, np.arange(n)] + scores[t, chain.kinds]
        best[(lows > t) | (highs < t)] = -np.inf
        came[t] = which
    at = n - 1 if best[n - 1] >= best[n - 2] else n - 2
    path = np.empty(n_frames, np.intp)
    for t in range(n_frames - 1, -1, -1):
        path[t] = at
        at -= int(came[t, at])
    return path


def _begins(path: Ints, n: int, before: Ints) -> Ints:
    """Return where each sound begins; one that was passed over where the next does."""
    found = np.full(n, -1)
    firsts = np.flatnonzero(np.diff(path, prepend=-1))
    found[path[firsts]] = firsts
    following = len(path)
    for k in range(n - 1, -1, -1):
        if found[k] < 0:
            found[k] = min(following, max(before[k], 0)) if following == len(path) else following
        following = found[k]
    return found


def _timed(path: Ints, chain: _Chain, before: Sequence[TimedWord]) -> list[TimedWord]:
    of_word = chain.words[path]
    found = []
    for k, one in enumerate(before):
        frames = np.flatnonzero(of_word == k)
        if not len(frames):
            return list(before)
        start, end = int(frames[0]) * _FRAME_MS, (int(frames[-1]) + 1) * _FRAME_MS
        within = max(_WITHIN_MS, min(one.within_ms, abs(start - one.start_ms) // 2 + _WITHIN_MS))
        found.append(replace(one, start_ms=start, end_ms=end, within_ms=within))
    return found
