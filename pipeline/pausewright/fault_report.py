"""A report of a fault of the program itself, which a user may pass on: nothing of a test is in it.

What may stand in it is chosen, not what must be left out: releases, the command's word, the names
of options that the command has, the kinds of the errors, and places in program code. Texts of
errors, values of variables, arguments and names of the user's files often quote a script, so
none of them is looked at.
"""

from __future__ import annotations

import errno
import os
import platform
import sys
import sysconfig
import tempfile
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright import __version__

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence
    from types import TracebackType

_LIBRARIES: Final = """
av faster-whisper hibari-tts jinja2 markdown-it-py msgspec mutagen num2words numpy onnxruntime
piper-tts rich ruamel.yaml soundfile typer
"""
_MOST_ERRORS: Final = 6
"""Errors of one chain that are told."""
_MOST_PLACES: Final = 60
"""Places of one error that are told: half of them the first, half the last."""


def fault_report(
    fault: BaseException, arguments: Sequence[str], commands: Mapping[str, Collection[str]]
) -> str:
    """Return the report of a fault.

    Parameters
    ----------
    fault : what was raised
    arguments : of the command line, without the program's name
    commands : the options of each command, as they are written
    """
    word = next((one for one in arguments if one in commands), "")
    known = commands.get(word, ())
    options = sorted({one for one in (a.partition("=")[0] for a in arguments) if one in known})
    rows = [
        "A fault of Pausewright itself. This report holds nothing of a script, and no file's name.",
        "",
        f"pausewright {__version__}",
        f"python {platform.python_version()}, {platform.system()} {platform.machine()}",
        *_releases(),
        "",
        f"command: {word or 'none'}",
        f"options: {' '.join(options) or 'none'}",
    ]
    for error in _chain(fault):
        rows += ["", _kind(error), *_places(error.__traceback__)]
    return "\n".join(rows) + "\n"


def write_fault_report(report: str) -> Path | None:
    """Write a report into the system's folder for temporary files, for the owner only.

    Not into the folder where the command runs: that may be one that is handed over or checked.
    Returns None if it cannot be written.
    """
    try:
        handle, name = tempfile.mkstemp(prefix="pausewright-fault-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(report)
    except OSError:
        return None
    return Path(name)


def _releases() -> Iterator[str]:
    for name in _LIBRARIES.split():
        try:
            yield f"{name} {metadata.version(name)}"
        except metadata.PackageNotFoundError:
            continue


def _chain(fault: BaseException) -> Iterator[BaseException]:
    """Walk from a fault to the errors during which it arose."""
    error: BaseException | None = fault
    seen: set[int] = set()
    while error is not None and id(error) not in seen and len(seen) < _MOST_ERRORS:
        seen.add(id(error))
        yield error
        error = error.__cause__ or error.__context__


def _kind(error: BaseException) -> str:
    kind = type(error)
    number = errno.errorcode.get(error.errno or 0, "") if isinstance(error, OSError) else ""
    return f"{kind.__module__}.{kind.__qualname__} {number}".rstrip()


def _places(trace: TracebackType | None) -> list[str]:
    found: list[str] = []
    while trace is not None:
        code = trace.tb_frame.f_code
        found.append(f"  {_file(code.co_filename)}:{trace.tb_lineno} {code.co_name}")
        trace = trace.tb_next
    half = _MOST_PLACES // 2
    if len(found) <= _MOST_PLACES:
        return found
    return [*found[:half], f"  and {len(found) - 2 * half} more", *found[-half:]]


def _file(name: str) -> str:
    """Return the name of a file of program code from its installation on, or nothing of it."""
    file = Path(name)
    roots = [Path(__file__).parent.parent]
    paths = sysconfig.get_paths()
    roots += [Path(paths[key]) for key in ("purelib", "platlib", "stdlib", "platstdlib")]
    roots.append(Path(sys.base_prefix))
    for root in roots:
        if file.is_relative_to(root):
            return file.relative_to(root).as_posix()
    return name if name.startswith("<frozen ") else "(elsewhere)"
