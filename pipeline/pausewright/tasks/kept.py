"""What commands keep or left beside a script: listed, and removed when a person says so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.files.leftovers import Leftover, leftovers, remove_leftovers
from pausewright.frozen import frozen
from pausewright.voice import store

if TYPE_CHECKING:
    from pathlib import Path


@frozen
class Kept:
    """Sound that was voiced for the scripts of a folder, and what stopped commands left."""

    folder: Path
    """Of the script."""
    sounds: tuple[store.Kept, ...]
    left: tuple[Leftover, ...]

    @property
    def n_bytes(self) -> int:
        """Bytes of the sounds."""
        return sum(one.n_bytes for one in self.sounds)


def kept_beside(script: Path, out: Path, rooms: Path) -> Kept:
    """Return what is kept beside a script, and left there, among results and beside rooms."""
    folder = script.parent if script.suffix or not script.is_dir() else script
    left = leftovers((folder, out, rooms.absolute().parent))
    return Kept(folder, store.list_kept(folder), left)


def remove_kept(found: Kept) -> int:
    """Remove all of it; return how many files of sound that were.

    Raises
    ------
    OutputError
        If something cannot be removed, or a command is at work there.
    """
    remove_leftovers(found.left)
    return len(store.forget(found.folder))
