"""What strays onto sticks and is easily overlooked: links, and hidden files that can be played.

What operating systems put everywhere is passed over, unless it is a sound or a picture of time: a
player may list it, and a bin holds what somebody took away.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.held_files import is_of_the_system
from pausewright.checker.result.findings import Finding
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import opened
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from collections.abc import Iterator

TRACKS: Final = frozenset({".mp3", ".wav", ".flac", ".mp4"})
PLAYED: Final = TRACKS | {
    ".aac", ".aif", ".aiff", ".m4a", ".ogg", ".opus", ".srt", ".vtt", ".wma",
}  # fmt: skip
"""Endings of what a machine in the room may play or show by mistake."""
_STARTS: Final = (b"ID3", b"RIFF", b"fLaC", b"OggS", b"FORM", b"\xff\xfb", b"\xff\xf3", b"\xff\xf1")
"""First bytes of sounds; of an MP4 `ftyp` stands behind four others."""
_OF_MACOS: Final = "._"
"""Beside each file macOS puts one of this name and the same ending: no sound, unless it begins as
one."""
_MOUNT_POINT: Final = 0xA0000003
"""What Windows calls a junction."""


def stray_findings(folder: Path, *, but: frozenset[str] = frozenset()) -> Iterator[Finding]:
    """Tell of links and of hidden sounds in a folder; `but` are names in it not to look into."""
    for path in below(folder, but):
        name = path.relative_to(folder).as_posix()
        if is_link(path):
            yield Finding(
                "file-is-link",
                "error",
                f"‘{name}’ is a link, and no file or folder of its own",
                "put what was built in its place: a link leads nowhere on another machine",
            )
        elif path.is_file() and is_hidden(path, folder) and _is_played(path, folder):
            yield Finding(
                "file-hidden",
                "error",
                f"‘{name}’ is hidden and can be played or shown",
                "remove it here, and empty the bin of the stick",
            )


def below(folder: Path, but: frozenset[str] = frozenset()) -> Iterator[Path]:
    """Give all files below a folder, hidden ones too, and all links; no link is followed."""
    for place, folders, files in os.walk(folder):
        if Path(place) == folder:
            folders[:] = [one for one in folders if one not in but]
        links = [one for one in folders if is_link(Path(place, one))]
        folders[:] = sorted(one for one in folders if one not in links)
        for name in sorted([*links, *files]):
            if Path(place) != folder or name not in but:
                yield Path(place, name)


def is_link(path: Path) -> bool:
    """Return whether a path is a link to something else, or a junction of Windows."""
    try:
        tag = getattr(path.lstat(), "st_reparse_tag", 0)
    except OSError:
        return False
    return path.is_symlink() or tag == _MOUNT_POINT


def is_hidden(path: Path, folder: Path) -> bool:
    """Return whether a file is passed over when the files of people in a folder are listed."""
    return any(map(is_of_the_system, path.relative_to(folder).parts))


def _is_played(path: Path, folder: Path) -> bool:
    if not path.name.startswith(_OF_MACOS) and path.suffix.lower() in PLAYED:
        return True
    try:
        with opened(path, BUILT_FILE, folder) as file:
            start = file.read(12)
    except (PausewrightError, OSError):
        return False
    return start.startswith(_STARTS) or start[4:8] == b"ftyp"
