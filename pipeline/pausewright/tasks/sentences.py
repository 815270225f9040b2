"""Every sentence of a script as it is written, spoken and shown, for signing off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import STANDARD_LABEL
from pausewright.frozen import frozen
from pausewright.problems import HasProblems, Problem, Problems
from pausewright.script import reader
from pausewright.script.edition import edition
from pausewright.script.slate import with_slate
from pausewright.wording.table import Heard, Row, rows
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.problems import Problem


@frozen
class Sentences(HasProblems):
    """The distinct sentences of a script."""

    rows: Sequence[Row]
    problems: tuple[Problem, ...]
    """Errors too: what cannot be said is to be seen beside what can."""
    heard: Sequence[Heard] | None = None
    """What a recogniser heard in each row, if one listened."""

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
    found = reading.script
    worded = Worded(with_slate(found, edition(found), STANDARD_LABEL))
    problems = Problems()
    problems.extend(reading.problems)
    problems.extend(worded.problems.all)
    return Sentences(rows(worded), problems.all)
