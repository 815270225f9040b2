"""Things that bear a file's name and are no file that can be read, or not the right one."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


class BadFile(NamedTuple):
    """How to make one, and what is said of it."""

    make: Callable[[Path], None]
    said: str
    """In the message where a user typed the name."""
    said_inside: str = ""
    """In the message where a file named it, if that differs."""


def _dangling(path: Path) -> None:
    path.symlink_to(path.with_name("nowhere-at-all"))


def _socket(path: Path) -> None:
    os.mknod(path, stat.S_IFSOCK | 0o600)


def _huge(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(3 << 40)  # sparse: no byte of it is on the disk


def _outside(path: Path) -> None:
    outside = path.parent.parent / f"outside-{path.name}"
    outside.write_bytes(b"SECRET first line\n")
    path.symlink_to(outside)


_LEADS_OUT = "leads out of the folder"
BAD_FILES = {
    "pipe": BadFile(os.mkfifo, "is a pipe, not a file"),
    "device": BadFile(lambda path: path.symlink_to("/dev/zero"), "is a device", _LEADS_OUT),
    "socket": BadFile(_socket, "is a socket, not a file"),
    "folder": BadFile(lambda path: path.mkdir(), "is a folder"),
    "dangling": BadFile(_dangling, "is a link to a file that is not there"),
    "loop": BadFile(lambda path: path.symlink_to(path.name), "is a link that leads nowhere"),
    "huge": BadFile(_huge, "is larger than"),
    "nothing": BadFile(lambda _: None, "is not there"),
}
"""By name; what is said of each in one sentence."""
OUTSIDE = BadFile(_outside, "", _LEADS_OUT)
"""A link to a plain file in another folder: good for what a user types."""
