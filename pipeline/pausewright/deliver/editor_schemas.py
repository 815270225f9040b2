"""JSON Schemas beside a script, so that an editor completes settings and arrangements."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.files.writing import make_folder, unwritable, write_new_file
from pausewright.intake.file_kinds import SCHEMA
from pausewright.intake.plain_file import file_bytes
from pausewright.package_data import package_folder
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path

SCHEMAS: Final = {
    "pausewright-settings.schema.json": (
        "pausewright.script.settings",
        "settings.schema.json",
    ),
    "pausewright-arrangements.schema.json": ("pausewright.arrange", "arrangements.schema.json"),
}
"""Name of the file that is written; package and name of what it holds."""

COMMENT: Final = "# yaml-language-server: $schema={name}"
"""The comment by which editors with a YAML language server find a schema."""


def write_schemas(folder: Path) -> dict[str, bool]:
    """Write the schemas into a folder; return for each file whether it is new.

    A file that holds the same already is left alone; one that holds anything else is never
    overwritten.

    Raises
    ------
    OutputError
        If a file cannot be written, or is there with other contents; then none is written.
    """
    texts = {
        name: (package_folder(package) / source).read_text("utf-8")
        for name, (package, source) in SCHEMAS.items()
    }
    new = {name: not _holds(folder / name, text) for name, text in texts.items()}
    for name, is_new in new.items():
        if is_new and ((folder / name).exists() or (folder / name).is_symlink()):
            raise OutputError(
                f"‘{folder / name}’ is there with other contents and was left as it is",
                "move it away, for it may be of another version, and run this again",
            )
    for name, is_new in new.items():
        if is_new:
            try:
                make_folder(folder)
                write_new_file(folder / name, texts[name])
            except OSError as error:
                hint = "choose a folder that you may write to"
                raise unwritable(folder / name, error, hint) from error
    return new


def _holds(file: Path, text: str) -> bool:
    try:
        return file_bytes(file, SCHEMA) == text.encode()
    except OutputError:
        return False
