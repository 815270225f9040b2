"""One hash for what a track sounds like: of its decoded samples, whatever its tags say."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.decode import TrackReader

if TYPE_CHECKING:
    from pathlib import Path

_FULL_SCALE: Final = 32768


def samples_sha256(track: Path) -> str:
    """Return the SHA-256 of a track's decoded samples: 16 bits, little-endian, interleaved.

    Of WAV and FLAC these are the samples that were written; of MP3 what our first decoder gives,
    rounded to 16 bits.

    Raises
    ------
    TrackError
        If it cannot be read.
    """
    found = hashlib.sha256()
    with TrackReader(track) as reader:
        for block in reader.blocks():
            whole = (block * _FULL_SCALE).round().clip(-_FULL_SCALE, _FULL_SCALE - 1)
            found.update(whole.astype("<i2").tobytes())
    return found.hexdigest()
