"""The second opinion on a file: decoded the other way, is it as long, and are its sounds there?"""

from __future__ import annotations

from fractions import Fraction
from itertools import chain
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.files.by_av import decoded, onsets_differ
from pausewright.checker.files.decode import BY_AV, files_of
from pausewright.checker.limits.sound import (
    ONSETS_WITHIN_S,
    OVER_NOISE_DB,
    SHIFTED_FROM,
    SHORTEST_SILENCE_S,
)
from pausewright.checker.listen.listen import Counted, sound_stretches, stretches_of
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from numpy.typing import NDArray

    from pausewright.checker.files.decode import Track
    from pausewright.checker.listen.listen import Heard

    Samples: TypeAlias = NDArray[np.float32]


def second_opinion(track: Track, heard: Heard) -> list[Finding]:
    """Return where the other decoder finds another length, or a sound at another time."""
    files = files_of(track)
    if files[0].suffix.lower() in BY_AV:
        return []  # there is no second way to decode it
    rate_hz = heard.track_format.rate_hz
    threshold = max([heard.threshold, 1e-9, *map(_over, (n.level_dbfs for n in heard.noises))])
    counted = [Counted(decoded(file)) for file in files]
    try:
        theirs = sound_stretches(
            _without_shift(chain.from_iterable(counted), heard.dc),
            threshold,
            int(SHORTEST_SILENCE_S * rate_hz),
        )
    except TrackError as why:
        return [Finding("decoders-differ", "error", why.message, LISTEN)]
    lengths = [
        (ours.n_frames, theirs.n_frames) for ours, theirs in zip(heard.files, counted, strict=True)
    ]
    differing = next((pair for pair in lengths if pair[0] != pair[1]), None)
    if differing is not None:
        return [
            Finding(
                "decoders-differ",
                "error",
                "two decoders find different lengths: the track may run differently on another "
                "player",
                "build the track again, or save it as WAV",
                expected=differing[0],
                measured=differing[1],
                unit="frames",
            )
        ]
    is_heard_so = threshold == heard.threshold and not heard.noises
    ours = heard.stretches if is_heard_so else stretches_of(heard.kept, threshold)
    apart = onsets_differ(ours, theirs, int(ONSETS_WITHIN_S * rate_hz))
    if heard.threshold == 0 or apart is None:
        return []
    return [
        Finding(
            "decoders-differ",
            "error",
            "two decoders find a sound at different times: the track may run differently on "
            "another player",
            "build the track again, or save it as WAV",
            at_s=Fraction(apart[0], rate_hz),
            expected=Fraction(apart[0], rate_hz),
            measured=Fraction(apart[1], rate_hz),
            unit="s",
        )
    ]


def _over(noise_dbfs: float) -> float:
    return float(10 ** ((noise_dbfs + OVER_NOISE_DB) / 20))


def _without_shift(blocks: Iterable[Samples], dc: tuple[float, ...]) -> Iterator[Samples]:
    """Take the shift of the zero line off, where it was taken off the samples that are kept."""
    zero = np.array(dc, dtype=np.float32)
    is_shifted = np.abs(zero).max() >= SHIFTED_FROM
    for block in blocks:
        # a block with another number of channels than the other decoder found stays as it is
        yield block - zero if is_shifted and block.shape[1] == len(zero) else block
