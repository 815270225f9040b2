"""Warns where reading or captioning a question may answer it.

"Write 405 in words" is answered by the voice; "Write it in figures" by a caption that shows the
figures; "What does kg stand for?" by reading the unit.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.inlines import plain
from pausewright.wording.language import language_for
from pausewright.wording.line_elements import Utterance
from pausewright.wording.patterns import Late

if TYPE_CHECKING:
    from pausewright.problems import Problems
    from pausewright.script.model import Prose, Question, Script
    from pausewright.wording.line_elements import Line

_FIGURE: Final = Late(r"\d")
_ROMAN: Final = Late(r"\b[IVXLCDM]{2,}\b")
_CLOCK: Final = Late(r"\d{1,2}[.:]\d\d")


def warn_of_answers(
    prose: Prose, line: Line, question: Question, script: Script, problems: Problems
) -> None:
    """Warn if what a question asks for is in what is said or shown of it."""
    language = language_for(prose.speech.language)
    table = language.table("giveaway") if language is not None else {}
    written = plain(prose.inlines)
    low = " ".join(written.lower().split())

    def asks(kind: str) -> bool:
        return any(phrase in low for phrase in table.get(kind, ()))

    def warn(message: str, hint: str) -> None:
        problems.warn(prose.place, f"this asks {message}", hint, code="answer-told")

    if asks("in_words") and _FIGURE.search(written):
        warn(
            "for a number in words, and the voice says it in words",
            'put the figures on the sheet: {sheet="…"}, and do not read them',
        )
    if asks("in_figures"):
        if _ROMAN.search(written):
            warn(
                "for figures, and the voice says the value of the numeral",
                "put the numeral on the sheet, or spell it: [XIV]{.spell}",
            )
        shown = " ".join(element.shown for element in line if isinstance(element, Utterance))
        if question.delivery.captions == "everything" and _FIGURE.search(shown):
            warn("for figures, and captions show them", 'give it captions="instructions"')
    if asks("meaning") and _is_worded(line):
        warn(
            "what something stands for, and the voice reads it in full",
            "spell it: [kg]{.spell}, or put it on the sheet",
        )
    quartered = script.settings.styles.get("times") == "quarter-past"
    if asks("clock") and quartered and _CLOCK.search(written):
        warn(
            "for a time in another form, and the voice gives one",
            "write times: three-fifteen under wording in the settings",
        )


def _is_worded(line: Line) -> bool:
    """Say whether a sentence is said otherwise than it is written."""
    return any(
        isinstance(element, Utterance) and _letters(element.words) != _letters(element.written)
        for element in line
    )


def _letters(text: str) -> str:
    return re.sub(r"\W+", " ", text.replace("’", "'")).strip().lower()
