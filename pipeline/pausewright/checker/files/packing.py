"""Reading what a folder should hold: its packing list, or the build record of the exams office.

Both may have been edited or damaged: nothing in them is trusted to be of the right kind.
"""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Annotated, Literal, TypeVar

import msgspec
from msgspec import Meta, Struct

from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILD_RECORD, PACKING_LIST
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.intake.file_kinds import Kind

ENDING = "_packing-list.json"

T = TypeVar("T")


@frozen
class Listing:
    """What a folder should hold."""

    version_label: str
    edition: str
    rate_hz: int
    n_samples: int
    """Length of the audio."""
    files: Mapping[str, str]
    """SHA-256 by name, relative to the folder, with forward slashes."""


class _Track(Struct):
    rate_hz: Annotated[int, Meta(ge=1)]
    n_samples: int


class _Entry(Struct):
    sha256: Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
    name: str = ""
    """In a packing list."""
    path: str = ""
    """In a build record."""


class _Listed(Struct):
    version_label: Annotated[str, Meta(min_length=1)]
    edition: Annotated[str, Meta(min_length=1)]
    track: _Track
    files: list[_Entry]


class _PackingList(_Listed, kw_only=True):
    packing_list: Literal[1]


class _BuildRecord(_Listed, kw_only=True):
    record_format: Literal[1]


def read_packing_list(file: Path) -> Listing:
    """Return a packing list.

    Raises
    ------
    TrackError
        If the file cannot be read or is no packing list.
    """
    try:
        data = _decoded(file, PACKING_LIST, _PackingList)
        return _listing(data, {_safe(one.name): one.sha256 for one in data.files})
    except ValueError as why:
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
    try:
        data = _decoded(file, BUILD_RECORD, _BuildRecord)
        files = {_safe(one.path): one.sha256 for one in data.files}
    except ValueError as why:
        raise TrackError(
            f"‘{file.name}’ is no build record that this version reads",
            "give the build-record file from the folder confidential",
        ) from why
    folder = f"version-{data.version_label}/"
    own = {name for name in files if name.startswith(folder)}
    in_room = {name.removeprefix(folder): files[name] for name in own}
    return _listing(data, in_room), {name: files[name] for name in files.keys() - own}


def _decoded(file: Path, kind: Kind, shape: type[T]) -> T:
    """Return what a file holds; raises ValueError where it is JSON of another shape."""
    raw = file_bytes(file, kind)
    try:
        return msgspec.json.decode(raw, type=shape)
    except msgspec.ValidationError as why:
        raise ValueError(str(why)) from why
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as why:
        raise TrackError(
            f"‘{file.name}’ cannot be read", "copy it again from where the test was built"
        ) from why


def _listing(data: _Listed, files: Mapping[str, str]) -> Listing:
    track = data.track
    return Listing(data.version_label, data.edition, track.rate_hz, track.n_samples, files)


def _safe(name: str) -> str:
    """Return a name that stays inside its folder; raises ValueError for any other."""
    path = PurePosixPath(name)
    if not name or path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name:
        raise ValueError(name)
    return name
