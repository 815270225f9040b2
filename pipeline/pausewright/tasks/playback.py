"""A sound for a person's ears: written as WAV, played by what the system has."""

from __future__ import annotations

import shutil
import sys
import wave
import webbrowser
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import keep_private, part_of, unwritable

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from pausewright.sound.take import Pcm

_PLAYERS: Final = {
    "darwin": (("afplay",),),
    "linux": (("pw-play",), ("paplay",), ("aplay", "-q")),
}
"""Programs that come with the system, the usual one first; else, and on Windows, what
the person has chosen for sounds."""


def write_wav(file: Path, blocks: Iterable[Pcm], rate_hz: int, channels: int) -> None:
    """Write blocks of shape (n_frames, channels), int16, as a WAV file that only its owner reads.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    try:
        with part_of(file) as part, wave.open(str(part), "wb") as opened:
            opened.setparams((channels, 2, rate_hz, 0, "NONE", "not compressed"))
            for block in blocks:
                opened.writeframes(block.astype("<i2").tobytes())
            keep_private(part)
    except OSError as fault:
        raise unwritable(file, fault) from fault


def plays_here() -> bool:
    """Return whether a player is known here that plays a sound to its end."""
    players = _PLAYERS.get(sys.platform, ())
    return any(shutil.which(player) is not None for player, *_ in players)


def play(file: Path) -> bool:
    """Play a sound by the system's own player, else open it; return whether either could be."""
    for player, *options in _PLAYERS.get(sys.platform, ()):
        program = shutil.which(player)
        if program is not None and webbrowser.GenericBrowser([program, *options, "%s"]).open(
            str(file.resolve())
        ):
            return True
    return webbrowser.open(file.resolve().as_uri())
