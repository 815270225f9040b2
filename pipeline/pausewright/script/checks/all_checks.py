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
from pausewright.script.model import Note, Prose, Question, Script, Span
from pausewright.script.walk import all_inlines, proses

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
        hint = "write a paragraph"
        problems.error(_start(script), "this script says nothing", hint, code="script-empty")
        return
    last = blocks[-1]
    by_hand = isinstance(last, Prose) and last.answer_time is not None
    if not isinstance(last, Prose) or by_hand or ends_silent(last) is not None:
        hint = "end it with a spoken sentence, for example: The test is over."
        problems.error(last.place, "the script ends in silence", hint, code="ending-silent")


def _start(script: Script) -> Place:
    return Place(script.path, 1, 1)


def _check_captions(script: Script, problems: Problems) -> None:
    """Refuse captions that show everything without a reason: of the test, or of a few words."""
    settings = script.settings
    if settings.captions_reason:
        return
    message = "captions that show everything need a reason"
    why = "a test by ear that is shown is another test"
    if settings.captions == "everything":
        place = settings.places.get("captions", _start(script))
        hint = f"add captions-reason: … to the settings: {why}"
        problems.error(place, message, hint, code="captions-reason")
    shown = (
        node
        for _, _, block in script.blocks()
        for prose in proses(block)
        if prose.captions != "everything"
        for node in all_inlines(prose.inlines)
        if isinstance(node, Span) and node.captions == "everything"
    )
    for span in shown:
        if not span.captions_reason:
            hint = f'add captions-reason="…" here or in the settings: {why}'
            problems.error(span.place, message, hint, code="captions-reason")


def _check_answers(script: Script, problems: Problems) -> None:
    for part in script.parts:
        if part.answers and script.settings.use != "practice":
            message = "answers are read aloud in practice only"
            hint = "write use: practice in the settings, or take out .answers"
            problems.error(part.place, message, hint, code="answers-test")
