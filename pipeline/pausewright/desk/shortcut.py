"""Launchers: a file for each system that opens the desk of a folder by a double click."""

from __future__ import annotations

import shlex
import sys
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import unwritable, write_file
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

NAMES: Final[Mapping[str, str]] = {
    "win32": "Open the desk.cmd",
    "darwin": "Open the desk.command",
    "linux": "open-the-desk.desktop",
}
"""By system; any other gets that of Linux."""
_MODULE: Final = ("-P", "-m", "pausewright.cli.window")


def write_launcher(folder: Path, system: str = sys.platform, python: str = sys.executable) -> Path:
    """Write a launcher for a folder's desk into it; one that is there is replaced.

    Raises
    ------
    OutputError
        If the folder is none or cannot be written.
    """
    if not folder.is_dir():
        raise OutputError(f"‘{folder}’ is no folder", "name the folder that your tests lie in")
    name = NAMES.get(system, NAMES["linux"])
    file = folder / name
    try:
        write_file(file, launcher_text(folder.resolve(), system, python).encode("utf-8"))
        file.chmod(0o755)
    except OSError as error:
        raise unwritable(file, error, "choose a folder that you may write to") from error
    return file


def launcher_text(folder: Path, system: str, python: str) -> str:
    """Return the text of a launcher."""
    words = [python, *_MODULE, str(folder)]
    if system == "win32":
        windowless = python.replace("python.exe", "pythonw.exe")
        # in a .cmd file a per cent sign stands for itself when it is written twice
        line = " ".join(
            f'"{one.replace("%", "%%")}"' for one in (windowless, *_MODULE, str(folder))
        )
        return f'@echo off\r\nchcp 65001 >nul\r\nstart "" {line}\r\n'
    if system == "darwin":
        return f"#!/bin/sh\nnohup {shlex.join(words)} >/dev/null 2>&1 &\nexit 0\n"
    return (
        "[Desktop Entry]\nType=Application\nName=Open the desk\n"
        f"Exec={' '.join(map(_quoted, words))}\nTerminal=false\nCategories=Education;\n"
    )


def _quoted(word: str) -> str:
    r"""Return an argument as a desktop entry quotes it (Desktop Entry Specification, "Exec key").

    Within quotes ", `, $ and \ get a backslash, the whole is a string value, in which a backslash
    is written twice, and a per cent sign is written twice.
    """
    inner = "".join(f"\\{sign}" if sign in '"`$\\' else sign for sign in word)
    return '"' + inner.replace("\\", "\\\\").replace("%", "%%") + '"'
