"""The rate of every track, and the level of the voices in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.script.settings.settings_table import loudness_lufs

if TYPE_CHECKING:
    from pausewright.script.declared import Settings

RATE_HZ: Final = 44_100
"""Quarter seconds are whole samples."""
_TWO_CHANNELS_LU: Final = 3.01
"""A voice in both channels is louder by this than in one (ITU-R BS.1770: channels add up)."""


def voice_lufs(settings: Settings) -> float:
    """Return the level of a voice in one channel that gives the track its loudness."""
    target_lufs = float(loudness_lufs(settings.loudness))
    return target_lufs - (_TWO_CHANNELS_LU if settings.channels == 2 else 0)
