"""Problems and errors as they are printed: with source lines, carets and hints, or as JSON."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.cli.printing import counted, say, tell_json
from pausewright.intake.file_kinds import SCRIPT
from pausewright.intake.plain_file import file_text
from pausewright.problems import FileError, PausewrightError, ScriptError, TrackError
from pausewright.shown_text import (
    ROW_LIMIT,
    first_problems,
    one_line,
    problems_data,
    shown_problem,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from pausewright.problems import Problem


def without_content(error: PausewrightError) -> PausewrightError:
    """Return an error that says nothing of a script and names no file, for `--blind`."""
    what = {ScriptError: "the script has errors", TrackError: "a file cannot be checked"}
    return TrackError(
        what.get(type(error), "this cannot be checked"),
        "run it without --blind where the test may be read, to see why",
    )


def print_error(error: PausewrightError, *, wants_json: bool | None = None) -> None:
    """Print what stopped a command; as JSON if the call asked for that and nothing else is said."""
    if wants_json is None:
        wants_json = "--json" in sys.argv[1:]
    if isinstance(error, ScriptError):
        if wants_json:
            tell_json(problems_data("problems", error.problems), indent=None)
        else:
            print_problems(error.problems)
    elif wants_json:
        tell_json({"error": one_line(error.message), "hint": one_line(error.hint)}, indent=None)
    else:
        say(f"error: {one_line(error.message)}")
        if error.hint:
            say(f"  hint: {one_line(error.hint)}")


def print_problems(problems: Sequence[Problem]) -> None:
    """Print the first problems with their source lines, and how many there are."""
    if not problems:
        return
    rows = _rows({problem.place.file for problem in first_problems(problems)[0]})
    width = shutil.get_terminal_size((0, 0)).columns - 4 if sys.stderr.isatty() else 0
    print_first_problems(problems, rows, width if width > 0 else ROW_LIMIT)
    n_errors = sum(1 for p in problems if p.severity == "error")
    n_warnings = len(problems) - n_errors
    if n_errors:
        say(
            f"\n{counted(n_errors, 'error')}, {counted(n_warnings, 'warning')}; nothing was written"
        )


def print_first_problems(
    problems: Sequence[Problem], rows: Mapping[Path, Sequence[str]], row_limit: int = ROW_LIMIT
) -> None:
    """Print the first problems with the given lines of their files; the others are counted."""
    shown, n_left_out = first_problems(problems)
    for problem in shown:
        say(shown_problem(problem, rows, Path.cwd(), row_limit))
    if n_left_out:
        say(f"and {n_left_out:,} more")


def _rows(files: Iterable[Path]) -> dict[Path, list[str]]:
    """Return the lines of the files that may be shown.

    Rows of a list of needs are shown nowhere, and none of a file outside the folder of the
    script, to which a link leads.
    """
    found: dict[Path, list[str]] = {}
    for file in files:
        ending = file.suffix.lower()
        if ending not in {".md", ".yaml", ".vtt", ".srt"}:
            continue
        try:
            text = file_text(file, SCRIPT, None if ending == ".md" else file.parent)
        except FileError:
            continue
        found[file] = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return found
