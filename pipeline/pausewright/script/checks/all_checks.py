"""What must agree across a script: statements and values, numbers, neighbouring silences.

Each check looks at the whole parsed script and adds problems; none changes it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.problems import Place
from pausewright.script.checks.instructions import check_statements
from pausewright.script.checks.needs_in_titles import check_needs
from pausewright.script.checks.neighbouring_silences import check_neighbours, ends_silent
from pausewright.script.checks.question_checks import check_questions, check_references
from pausewright.script.checks.writing_time import check_writing_time
from pausewright.script.model import Note, Prose, Question, Script

if TYPE_CHECKING:
    from pausewright.problems import Problems


def check(script: Script, problems: Problems) -> None:
    """Run all checks."""
    check_questions(script, problems)
    check_references(script, problems)
    check_statements(script, problems)
    check_neighbours(script, problems)
    _check_ending(script, problems)
    _check_captions(script, problems)
    _check_answers(script, problems)
    check_needs(script, problems)
    check_writing_time(script, problems)


def check_silences(script: Script, problems: Problems) -> None:
    """Run the checks of how silences and the ending stand: for what is left of a script."""
    check_neighbours(script, problems)
    _check_ending(script, problems)


def _check_ending(script: Script, problems: Problems) -> None:
    blocks = [
        block
        for _, _, block in script.blocks()
        if not isinstance(block, Note) and not (isinstance(block, Question) and block.printed)
    ]
    if not blocks:
        problems.error(
            _start(script), "this script says nothing", "write a paragraph", code="script-empty"
        )
        return
    last = blocks[-1]
    by_hand = isinstance(last, Prose) and last.answer_time is not None
    if not isinstance(last, Prose) or by_hand or ends_silent(last) is not None:
        problems.error(
            last.place,
            "the script ends in silence",
            "end it with a spoken sentence, for example: The test is over.",
            code="ending-silent",
        )


def _start(script: Script) -> Place:
    return Place(script.path, 1, 1)


def _check_captions(script: Script, problems: Problems) -> None:
    settings = script.settings
    if settings.captions == "everything" and not settings.captions_reason:
        problems.error(
            settings.places.get("captions", _start(script)),
            "captions that show everything need a reason",
            "add captions-reason: … to the settings: a test by ear that is shown is another test",
            code="captions-reason",
        )


def _check_answers(script: Script, problems: Problems) -> None:
    for part in script.parts:
        if part.answers and script.settings.use != "practice":
            problems.error(
                part.place,
                "answers are read aloud in practice only",
                "write use: practice in the settings, or take out .answers",
                code="answers-test",
            )
