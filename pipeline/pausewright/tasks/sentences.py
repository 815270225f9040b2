"""Every sentence of a script as it is written, spoken and shown, for signing off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pausewright.script import reader
from pausewright.wording.table import Heard, Row, rows
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.problems import Problem


@dataclass(frozen=True, slots=True)
class Sentences:
    """The distinct sentences of a script."""

    rows: Sequence[Row]
    problems: Sequence[Problem]
    """Errors too: what cannot be said is to be seen beside what can."""
    heard: Sequence[Heard] | None = None
    """What a recogniser heard in each row, if one listened."""

    @property
    def has_errors(self) -> bool:
        """Whether something cannot be said."""
        return any(problem.severity == "error" for problem in self.problems)

    @property
    def is_heard_otherwise(self) -> bool:
        """Whether a recogniser heard something else than a row says."""
        return any(one.verdict == "other" for one in self.heard or ())


def sentences_of(script: Path) -> Sentences:
    """Return the sentences of a script, whether or not it can be built.

    Raises
    ------
    ScriptError
        If the file itself cannot be read.
    """
    reading = reader.read(script)
    worded = Worded(reading.script)
    problems = sorted(
        (*reading.problems, *worded.problems.all), key=lambda p: (p.place.line, p.place.column)
    )
    return Sentences(rows(worded), problems)
