"""Reading what a folder should hold: its packing list, or the build record of the exams office.

Both may have been edited or damaged: nothing in them is trusted to be of the right kind.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any

from pausewright.intake.kinds import BUILD_RECORD, PACKING_LIST
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.intake.kinds import Kind

ENDING = "_packing-list.json"


@dataclass(frozen=True, slots=True)
class Listing:
    """What a folder should hold."""

    version_label: str
    edition: str
    rate_hz: int
    n_samples: int
    """Length of the audio."""
    files: Mapping[str, str]
    """SHA-256 by name, relative to the folder, with forward slashes."""


def read_packing_list(file: Path) -> Listing:
    """Return a packing list.

    Raises
    ------
    TrackError
        If the file cannot be read or is no packing list.
    """
    data = _data(file, PACKING_LIST)
    try:
        if data["packing_list"] != 1:
            raise ValueError
        return _listing(data, "name", "")
    except (KeyError, TypeError, ValueError) as why:
        raise TrackError(
            f"‘{file.name}’ is no packing list that this version reads",
            "copy the folder again from where it was built",
        ) from why


def read_build_record(file: Path) -> tuple[Listing, Mapping[str, str]]:
    """Return what a build record says of its room folder, and the hashes of its other files.

    Names of the second are relative to the folder of the build.

    Raises
    ------
    TrackError
        If the file cannot be read or is no build record.
    """
    data = _data(file, BUILD_RECORD)
    try:
        if data["record_format"] != 1:
            raise ValueError
        folder = f"version-{_text(data, 'version_label')}/"
        others = {
            name: sha256
            for name, sha256 in _listing(data, "path", "").files.items()
            if not name.startswith(folder)
        }
        return _listing(data, "path", folder), others
    except (KeyError, TypeError, ValueError) as why:
        raise TrackError(
            f"‘{file.name}’ is no build record that this version reads",
            "give the build-record file from the folder confidential",
        ) from why


def _data(file: Path, kind: Kind) -> Any:  # noqa: ANN401  anything may stand in a file
    raw = file_bytes(file, kind)
    try:
        return json.loads(raw.decode("utf-8"))
    except (ValueError, RecursionError) as why:
        raise TrackError(
            f"‘{file.name}’ cannot be read", "copy it again from where the test was built"
        ) from why


def _listing(data: Any, name_key: str, folder: str) -> Listing:  # noqa: ANN401
    """Return the listing of a folder; raises KeyError, TypeError or ValueError for wrong data."""
    files: dict[str, str] = {}
    for entry in data["files"]:
        name, sha256 = _text(entry, name_key), _text(entry, "sha256")
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name:
            raise ValueError(name)
        if not re.fullmatch(r"[0-9a-f]{64}", sha256):
            raise ValueError(sha256)
        if name.startswith(folder):
            files[name.removeprefix(folder)] = sha256
    rate_hz, n_samples = data["track"]["rate_hz"], data["track"]["n_samples"]
    if not isinstance(rate_hz, int) or not isinstance(n_samples, int) or rate_hz < 1:
        raise TypeError("track")
    return Listing(_text(data, "version_label"), _text(data, "edition"), rate_hz, n_samples, files)


def _text(data: Any, key: str) -> str:  # noqa: ANN401
    found = data[key]
    if not isinstance(found, str) or not found:
        raise TypeError(key)
    return found
