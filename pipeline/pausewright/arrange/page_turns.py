"""Page turns that a version has where its own answer sheet begins a page."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.arrange.new_blocks import with_new_blocks
from pausewright.script.model import InForce, PageTurn, Prose, Speech, Text
from pausewright.wording.language import language_for

if TYPE_CHECKING:
    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Problems
    from pausewright.script.model import Script

TURN_S: Final = Fraction(5)
"""Time to turn where the script turns no page itself."""


def insert_page_turns(script: Script, arrangement: Arrangement, problems: Problems) -> Script:
    """Return the script with a cue before each block that begins a page in this version only."""
    look = arrangement.print_look
    if look is None or not look.before:
        return script
    turn = _turn(script, arrangement, problems)
    if turn is None:
        return script
    return with_new_blocks(
        script, lambda block: (turn, block) if block.place in look.before else (block,)
    )


def _turn(script: Script, arrangement: Arrangement, problems: Problems) -> PageTurn | None:
    """Return the cue: in the words and the time of the script's own first one, if it has one."""
    place = arrangement.place_of("print", script.path)
    for _, _, block in script.blocks():
        if isinstance(block, PageTurn):
            cue = tuple(replace(prose, place=place) for prose in block.cue)
            return PageTurn(cue, block.page_turn_time_s, place)
    settings = script.settings
    language = language_for(settings.language)
    words = "" if language is None else language.sentence("turn-over")
    if not words:
        problems.error(
            place,
            "the sheet of this version turns its page, and there are no words for that in the "
            "script's language",
            "give the script a page turn of its own: ::: page-turn",
            code="arrangement-impossible",
        )
        return None
    speech = Speech(settings.voice, settings.language, Fraction(1), 1)
    prose = Prose((Text(words, place),), speech, settings.captions, place)
    return PageTurn((prose,), InForce(TURN_S, place, "arrangement"), place)
