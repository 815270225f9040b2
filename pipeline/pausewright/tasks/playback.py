"""A sound for a person's ears: written as WAV, played by what the system has."""

from __future__ import annotations

import contextlib
import shutil
import struct
import sys
import wave
import webbrowser
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import keep_private, part_of, unwritable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from io import FileIO
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


@contextlib.contextmanager
def growing_wav(file: Path, rate_hz: int, channels: int) -> Iterator[Callable[[Pcm], None]]:
    """Give a function that appends blocks to a WAV file which is played while it grows.

    Blocks are as for `write_wav`. Its header states the greatest length there is, since its own is
    not known yet: players go on to its end. The file is there from the start, for its owner alone.

    Raises
    ------
    OutputError
        If it is there already, or cannot be written.
    """
    most = 0xFFFFFFFF
    of_samples = struct.pack(
        "<IHHIIHH", 16, 1, channels, rate_hz, 2 * channels * rate_hz, 2 * channels, 16
    )
    head = struct.pack("<4sI4s4s", b"RIFF", most, b"WAVE", b"fmt ") + of_samples
    try:
        with file.open("xb", buffering=0) as opened:
            keep_private(file)
            opened.write(head + struct.pack("<4sI", b"data", most))
            yield lambda block: _write_all(opened, block.astype("<i2").tobytes())
    except OSError as fault:
        raise unwritable(file, fault) from fault


def _write_all(opened: FileIO, content: bytes) -> None:
    left = memoryview(content)
    while left:
        left = left[opened.write(left) :]


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
