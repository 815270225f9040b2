"""Build records read back: whole and in their form, or not at all.

A record may have been edited, damaged or replaced, so nothing in it is trusted to be of the right
kind; what it names lies below its own folder.
"""

from __future__ import annotations

import json
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any

from pausewright.intake.kinds import BUILD_RECORD
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from pathlib import Path

_TEXTS = ("edition", "version_label", "build_key", "arrangement")


def read_record(file: Path) -> dict[str, Any] | None:
    """Return a build record, or None if it cannot be read or is in no form that is known.

    A record of rooms holds `files` alone, each with its `path`; that of a version all else too.
    """
    try:
        found = json.loads(file_bytes(file, BUILD_RECORD))
    except (TrackError, ValueError, RecursionError):
        return None
    if not isinstance(found, dict) or not _are_files(found.get("files"), is_whole=len(found) > 1):
        return None
    if len(found) > 1 and not (_is_track(found.get("track")) and _has_texts(found, _TEXTS)):
        return None
    return found


def _are_files(entries: object, *, is_whole: bool) -> bool:
    names = ("path", "kind", "sha256") if is_whole else ("path",)
    return isinstance(entries, list) and all(
        isinstance(entry, dict) and _has_texts(entry, names) and _is_below(entry["path"])
        for entry in entries
    )


def _has_texts(held: dict[str, Any], names: tuple[str, ...]) -> bool:
    return all(isinstance(held.get(name), str) for name in names)


def _is_below(name: str) -> bool:
    path = PurePosixPath(name)
    return bool(path.parts) and not path.is_absolute() and ".." not in path.parts


def _is_track(track: object) -> bool:
    if not isinstance(track, dict):
        return False
    numbers = track.get("rate_hz"), track.get("n_samples")
    return all(isinstance(n, int) and 0 < n < 1 << 48 for n in numbers)
