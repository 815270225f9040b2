"""Where the answer sheet of a version begins its pages, against where the recording says so."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.arrange.apply import apply_arrangement
from pausewright.frozen import frozen
from pausewright.papers.answer_sheet import answer_sheet, look_of
from pausewright.problems import Problems
from pausewright.script.model import Note, PageTurn, Question, SubQuestion

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.problems import Place
    from pausewright.script.model import Script


@frozen
class PageStart:
    """What begins a page of a sheet."""

    place: Place
    name: str
    """"question 7", or the sheet of a group."""
    is_cued: bool
    """Whether the recording tells candidates to turn before it."""
    is_spoken: bool
    """Whether the recording goes on with it: a printed question is read at one's own pace."""
    is_block: bool
    """Whether a cue can be said before it; not before a sub-question."""


def page_starts(script: Script, paper: Paper) -> tuple[PageStart, ...]:
    """Return what begins the second and each later page of a version's answer sheet."""
    page_of = dict(reversed(paper.places))
    found: list[PageStart] = []
    page, is_cued, is_first = 1, False, True
    for key, place, is_spoken, is_block in _printed(script):
        if key is None:
            is_cued = not is_first
            continue
        its_page = page_of.get(key, page)
        if its_page > page:
            found.append(PageStart(place, key, is_cued, is_spoken, is_block))
        page, is_cued, is_first = its_page, False, False
    return tuple(found)


def _printed(script: Script) -> Iterator[tuple[str | None, Place, bool, bool]]:
    """Walk what the sheet prints, and page turns: key, place, `is_spoken`, `is_block`."""
    for _, _, block in script.blocks():
        if isinstance(block, PageTurn):
            yield None, block.place, True, True
        elif isinstance(block, Note) and block.kind == "sheet":
            yield f"the sheet of line {block.place.line}", block.place, True, True
        elif isinstance(block, Question):
            key = f"question {block.label}"
            yield key, block.place, not block.printed, True
            subs = [one for one in block.content if isinstance(one, SubQuestion)]
            for sub in subs[1:]:
                yield key + sub.letter, sub.place, not block.printed, False


def with_page_turns(script: Script, arrangement: Arrangement, edition: str) -> Arrangement:
    """Return an arrangement with a page turn where its sheet begins a page of its own.

    `script` is the standard script. Nothing is added where the author wants none.

    Raises
    ------
    ScriptError
        If the sheet cannot be printed.
    """
    look = arrangement.print_look
    if look is None or look.turns != "added":
        return arrangement
    plain = replace(arrangement, print_look=None)
    changed = apply_arrangement(script, plain, Problems())
    paper = answer_sheet(
        changed, label=arrangement.label, edition=edition, look=look_of(arrangement)
    )
    before = tuple(
        start.place
        for start in page_starts(changed, paper)
        if start.is_spoken and start.is_block and not start.is_cued
    )
    return replace(arrangement, print_look=replace(look, before=before))


def turn_notes(script: Script, paper: Paper, label: str) -> tuple[str, ...]:
    """Return what is to be said where a page of a version's sheet begins without a cue."""
    lost = [one for one in page_starts(script, paper) if one.is_spoken and not one.is_cued]
    if not lost:
        return ()
    names = ", ".join(one.name for one in lost)
    note = (
        f"version {label}: a page of the answer sheet begins with {names}, and nothing on the "
        "recording tells candidates to turn: put ::: page-turn before it, or say it beforehand"
    )
    return (note,)
