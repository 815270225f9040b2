"""From a file to a `Script`: every problem found in one pass, inheritance resolved."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.problems import HasProblems, Problems, ScriptError
from pausewright.script.checks import all_checks
from pausewright.script.checks.amount_said import refuse_endless
from pausewright.script.reading.script_reader import ScriptReader
from pausewright.script.recordings.given import bound_to_recording
from pausewright.script.settings.settings_reader import read_settings
from pausewright.script.source.preparing import prepare, read_source

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem
    from pausewright.script.model import Script
    from pausewright.script.settings.settings_reader import DeclaredArrangements

_SETTINGS_LOST: Final = frozenset({"settings-missing", "settings-open", "settings-unreadable"})
_FOLLOWS_FROM_SETTINGS: Final = frozenset(
    {
        "answer-time-missing",
        "captions-reason",
        "pattern-unknown",
        "setting-missing",
        "silences-adjacent",
        "speaker-unknown",
        "states-differ",
        "states-nothing",
        "tone-unknown",
    }
)
"""What is wrong only because the settings could not be read is not reported."""


@frozen
class Reading(HasProblems):
    """What came out of reading: the script, all problems, and its declared arrangements."""

    script: Script
    problems: tuple[Problem, ...]
    """In file order."""
    arrangements: DeclaredArrangements | None
    """What stands under `arrangements:`, for `arrange.declarations`."""


def read_script(path: Path) -> Script:
    """Read a script; warnings are left out.

    Raises
    ------
    ScriptError
        With all problems, if one of them is an error.
    """
    reading = read(path)
    reading.raise_errors()
    return reading.script


def read(path: Path, text: str | None = None) -> Reading:
    """Read a script and return it with all problems, errors and warnings, in file order.

    `text` is read in place of the file's own text, for a file that is still being written.

    Raises
    ------
    ScriptError
        If the file itself cannot be read, or holds more than a script may.
    """
    problems = Problems()
    if text is None:
        source = read_source(path, problems)
    else:
        source = prepare(path, text, problems, settings=True)
    settings, in_force, arrangements = read_settings(source, problems)
    reader = ScriptReader(source, settings, in_force, problems)
    script = reader.script()
    if refuse_endless(script, problems):
        raise ScriptError(problems.all)
    script = bound_to_recording(script, problems)
    all_checks.check(script, problems)
    found = problems.all
    if any(p.code in _SETTINGS_LOST for p in found):
        found = tuple(p for p in found if p.code not in _FOLLOWS_FROM_SETTINGS)
    return Reading(script, found, arrangements)
