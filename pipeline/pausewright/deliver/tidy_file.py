"""A script file in its one form: what would change, and a new file beside it.

The script itself is never written. What is written appears whole or not at all, and with the
rights of the script, because it holds the same keys.
"""

from __future__ import annotations

import difflib
from codecs import BOM_UTF8
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import write_new
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import SCRIPT
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import OutputError
from pausewright.script.source.preparing import read_plain
from pausewright.script.tidying.tidy_text import tidied

if TYPE_CHECKING:
    from pausewright.problems import Problem


STANDARD_OUTPUT: Final = "-"


@frozen
class TidyFile:
    """A script file, its one form, and where that was written."""

    script: Path
    text: str
    """The one form; it ends with one line end."""
    is_tidy: bool
    """Whether the file holds exactly these bytes."""
    difference: str
    """A unified diff from the file to its one form; "" if lines do not show what is different."""
    byte_notes: tuple[str, ...]
    """What a diff of lines does not show: line ends, a byte-order mark."""
    warnings: tuple[Problem, ...]
    """What should be looked at; it does not stand in the way."""
    written: Path | None
    """The new file; None if nothing was to be written."""
    is_for_output: bool
    """Whether the text itself was asked for on standard output."""


def tidy_file(script: Path, out: str = "", *, only_check: bool = False) -> TidyFile:
    """Return the one form of a script file, and write it to `out` (`NAME.tidy.md` without).

    Nothing is written with `only_check`, for `out="-"`, or if the file is already tidy
    and no `out` is named.

    Raises
    ------
    ScriptError
        With all problems, if the script cannot be read without an error.
    MeaningError
        If the one form would mean something else.
    OutputError
        If the new file exists or cannot be written.
    """
    if only_check and out:
        raise OutputError("--check writes nothing, so it takes no --out", "leave out one of them")
    plain = read_plain(script)
    found = tidied(script, plain)
    raw = file_bytes(script, SCRIPT)
    is_tidy = raw == found.text.encode()
    target = Path(out) if out else script.with_name(f"{script.stem}.tidy{script.suffix}")
    writes = out != STANDARD_OUTPUT and not only_check and not (is_tidy and not out)
    if writes:
        rights = script.stat().st_mode & 0o666
        example = "NAME.md (--out - prints the text)"
        write_new(target, found.text, rights=rights, example=example)
    return TidyFile(
        script,
        found.text,
        is_tidy,
        _diff(script, plain, found.text),
        _byte_notes(raw),
        found.warnings,
        target if writes else None,
        out == STANDARD_OUTPUT,
    )


def tidy_text(found: TidyFile, *, quiet: bool) -> str:
    """Return what is printed."""
    if found.is_for_output:
        return found.text
    if found.written is not None:
        next_step = f"next: compare it with {found.script}, and put it in its place yourself\n"
        return f"wrote {found.written}\n" + ("" if quiet else next_step)
    if found.is_tidy:
        return f"{found.script} is already tidy\n"
    what = "" if quiet else "".join(f"{note}\n" for note in found.byte_notes) + found.difference
    return f"{what}{found.script} is not tidy; to tidy it: pausewright tidy SCRIPT\n"


def tidy_data(found: TidyFile) -> dict[str, object]:
    """Return the same for `--json`."""
    return {
        "script": str(found.script),
        "is_tidy": found.is_tidy,
        "written": None if found.written is None else str(found.written),
        "difference": found.difference,
        "notes": list(found.byte_notes),
    } | ({"text": found.text} if found.is_for_output else {})


def _byte_notes(raw: bytes) -> tuple[str, ...]:
    notes = {
        "the file begins with a byte-order mark; a tidy file has none": raw.startswith(BOM_UTF8),
        "some lines of the file end in CR; in a tidy file all end in LF": b"\r" in raw,
    }
    return tuple(note for note, is_so in notes.items() if is_so)


def _diff(script: Path, old: str, new: str) -> str:
    rows = difflib.unified_diff(
        _rows(old), _rows(new), str(script), f"{script} (tidy)", lineterm="\n"
    )
    return "".join(
        row if row.endswith("\n") else f"{row}\n\\ No newline at end of file\n" for row in rows
    )


def _rows(text: str) -> list[str]:
    """Return lines with their ends; only LF, CR and CR LF end one."""
    return text.replace("\r\n", "\n").replace("\r", "\n").splitlines(keepends=True)
