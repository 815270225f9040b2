"""A small commented script to start from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.files.writing import unwritable, write_new_file
from pausewright.package_data import package_folder
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path


def write_new_script(file: Path) -> None:
    """Write the script to start from; a file that exists is left as it is.

    Raises
    ------
    OutputError
        If the name does not end in `.md`, or the file is there already or cannot be written.
    """
    if file.suffix != ".md":
        raise OutputError(
            f"‘{file.name}’ does not end in .md", f"write: pausewright new {file.stem}.md"
        )
    text = (package_folder("pausewright.script") / "new_script.md").read_text("utf-8")
    try:
        write_new_file(file, text)
    except FileExistsError:
        raise OutputError(
            f"‘{file}’ is there already and was left as it is", "choose another name"
        ) from None
    except OSError as error:
        raise unwritable(file, error, "choose a folder that you may write to") from None
