"""Our templates of papers in a folder, to be changed there by a centre."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.output_folder import write_new
from pausewright.files.writing import make_folder, unwritable
from pausewright.papers.typeset.template_files import FORMULAS, own_templates

if TYPE_CHECKING:
    from pathlib import Path


def copy_templates(folder: Path) -> tuple[Path, ...]:
    """Write every template that can be replaced into a folder; return the files.

    Raises
    ------
    OutputError
        If one of them is there already, which is left as it is, or cannot be written.
    """
    try:
        make_folder(folder)
    except OSError as error:
        raise unwritable(folder, error) from error
    files = []
    for name, text in own_templates().texts.items():
        if name != FORMULAS:
            write_new(folder / name, text, example="FOLDER")
            files.append(folder / name)
    return tuple(files)
