"""Writing records as text and reading them back: a typed value, or None for anything else."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

import msgspec

from pausewright.intake.file_kinds import BUILD_RECORD, CONTENTS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import OutputError, PausewrightError
from pausewright.records.shapes import BuildRecord, Contents

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.intake.file_kinds import Kind

T = TypeVar("T", bound=msgspec.Struct)


def record_text(record: msgspec.Struct) -> str:
    """Return a record as JSON text: two blanks of indent, fields in a fixed order."""
    return msgspec.json.format(msgspec.json.encode(record), indent=2).decode() + "\n"


def as_plain(record: msgspec.Struct) -> dict[str, object]:
    """Return a record as plain data for JSON."""
    found: dict[str, object] = msgspec.to_builtins(record)
    return found


def read_as(
    file: Path, shape: type[T], kind: Kind = BUILD_RECORD, inside: Path | None = None
) -> T | None:
    """Return a record of this shape; None if it is not there, damaged, or of another shape."""
    try:
        return msgspec.json.decode(file_bytes(file, kind, inside), type=shape)
    except (PausewrightError, msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None


def read_kept(file: Path, shape: type[T], what: str, without: str) -> T | None:
    """Return a file that a person's notes or signatures are kept in; None if there is none.

    Parameters
    ----------
    what : what it is a file of, for the sentence
    without : what is so once it is moved away

    Raises
    ------
    OutputError
        If the file is there and is none that this version reads.
    """
    if not file.exists():
        return None
    found = read_as(file, shape)
    if found is None:
        raise OutputError(
            f"‘{file.name}’ is no file of {what} that can be read",
            f"take it from where it was kept, or move it away: then {without}",
        )
    return found


def read_record(file: Path) -> BuildRecord | None:
    """Return a build record, or None if it cannot be read."""
    return read_as(file, BuildRecord)


def read_contents(file: Path, inside: Path) -> Contents | None:
    """Return the list of contents that a build in the folder `inside` kept, or None."""
    return read_as(file, Contents, CONTENTS, inside)
