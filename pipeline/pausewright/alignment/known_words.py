"""When each of known words is said in a stretch of sound: three ways, and which is believed.

The pauses say where clauses begin; what is learned from the passage says where a word's first
sound is; an aligner that knows the language says whether that is the right word at all.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.alignment.forced_times import RATE_HZ, forced_times
from pausewright.alignment.spectrum import spectrum
from pausewright.alignment.speech import sounding
from pausewright.alignment.trained_times import trained_times
from pausewright.alignment.word_times import word_times

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from pausewright.alignment.phone_words import SpokenWord
    from pausewright.alignment.speech import Stretch
    from pausewright.alignment.word_times import TimedWord

_AGREE_MS: Final = 150
"""What is learned from the passage is finer where both ways find the same word."""
_BESIDE_MS: Final = 70
"""How far from a silence the aligner may see the word that follows it."""
_ENDS_MS: Final = 250
_FORCED_WITHIN_MS: Final = 150


def times_of_words(
    samples: NDArray[np.int16], rate_hz: int, words: Sequence[SpokenWord]
) -> list[TimedWord]:
    """Return the time of each word, in order, from the start of the sound; none without sound.

    `samples` have the shape (n_samples,); the aligner takes part at its own rate only.
    """
    shape = spectrum(samples, rate_hz)
    found = sounding(shape, len(samples) * 1000 // rate_hz)
    rough = word_times([(one.start_ms, one.end_ms) for one in found.stretches], words)
    if not rough:
        return []
    learned = trained_times(rough, words, shape, 10 ** (found.speech_dbfs / 10))
    forced = forced_times(samples, words) if rate_hz == RATE_HZ else None
    if forced is None:
        return learned
    return settled(learned, forced, found.stretches, agree_ms=_AGREE_MS if learned != rough else 0)


def settled(
    learned: Sequence[TimedWord],
    forced: Sequence[tuple[int, int]],
    stretches: Sequence[Stretch],
    *,
    agree_ms: int = _AGREE_MS,
) -> list[TimedWord]:
    """Return what was learned where both ways agree, and the aligner's times where they do not.

    `agree_ms` is 0 where there was too little to learn from.
    """
    gaps = [(a.end_ms, b.start_ms) for a, b in pairwise(stretches)]
    rows: list[TimedWord] = []
    for one, (start_ms, end_ms) in zip(learned, forced, strict=True):
        if abs(one.start_ms - start_ms) < agree_ms:
            rows.append(one)
            continue
        begins = _behind_silence(start_ms, gaps)
        rows.append(
            replace(one, start_ms=begins, end_ms=max(begins, end_ms), within_ms=_FORCED_WITHIN_MS)
        )
    first_ms, last_ms = stretches[0].start_ms, stretches[-1].end_ms
    # nothing is said before the first sound, or after the last, wherever the aligner begins
    if rows[0].start_ms <= first_ms + _ENDS_MS:
        rows[0] = replace(rows[0], start_ms=first_ms)
    if rows[-1].end_ms >= last_ms - _ENDS_MS:
        rows[-1] = replace(rows[-1], end_ms=last_ms)
    return _in_order(rows)


def _behind_silence(at_ms: int, gaps: Sequence[tuple[int, int]]) -> int:
    """Return the end of the silence that a time lies in or beside, else the time itself."""
    near = [
        (max(0, start - at_ms, at_ms - end), end)
        for start, end in gaps
        if start - _BESIDE_MS <= at_ms <= end + _BESIDE_MS
    ]
    return min(near)[1] if near else at_ms


def _in_order(rows: Sequence[TimedWord]) -> list[TimedWord]:
    """Return times of which none begins before the one before it, or ends after the next begins."""
    found: list[TimedWord] = []
    for one in rows:
        start = max(one.start_ms, found[-1].start_ms if found else 0)
        found.append(replace(one, start_ms=start, end_ms=max(start, one.end_ms)))
    starts = [*(one.start_ms for one in found[1:]), found[-1].end_ms]
    return [
        replace(one, end_ms=min(one.end_ms, following))
        for one, following in zip(found, starts, strict=True)
    ]
