"""An answer sheet's pages against the script: every number once, in order, on the right page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.checker.promises.differences import Difference
from pausewright.frozen import frozen
from pausewright.script.model import Note, PageTurn, Question

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.papers.pdf_paper import PdfHeading, PdfPaper
    from pausewright.checker.promises.promise import Promise

_NUMBER: Final = re.compile(r"(?:.*\s)?(\d{1,4})")


@frozen
class OwedNumber:
    """A number that the sheet must have."""

    label: str
    """As the script calls it: "7", "Practice 1"."""
    number: str
    section: int
    """Which stretch between two page turns it stands in, from 0."""


def judged_pages(name: str, paper: PdfPaper, promise: Promise) -> Iterator[Difference]:
    """Give where numbers or page turns of an answer sheet differ from what the script says."""
    owed = list(_owed(promise))
    found = _numbers(paper.headings, promise)
    wanted = [one.number for one in owed]
    there = [number for number, _ in found]
    if wanted != there:
        lost = [one.label for one in owed if wanted.count(one.number) > there.count(one.number)]
        what = f"lacks question {', '.join(dict.fromkeys(lost))}" if lost else (
            "does not have every question once and in order"
        )  # fmt: skip
        yield Difference(
            "promise-sheet", None, f"{name} {what}", None, None, len(wanted), len(there)
        )
        return
    yield from _judged_turns(name, paper, owed, [page for _, page in found])


def _judged_turns(
    name: str, paper: PdfPaper, owed: Sequence[OwedNumber], pages: Sequence[int]
) -> Iterator[Difference]:
    """Give a page turn that falls inside a page, and numbers whose pages go back."""
    for before, after, page, next_page in zip(owed, owed[1:], pages, pages[1:], strict=False):
        if next_page < page or (after.section > before.section and next_page == page):
            yield Difference(
                "promise-sheet",
                None,
                f"{name} does not turn its page between questions {before.label} and {after.label}",
            )
    for owed_number, page in zip(owed, pages, strict=True):
        if page > len(paper.pages):
            yield Difference(
                "promise-sheet", None, f"{name} has no page {page} for question {owed_number.label}"
            )


def _owed(promise: Promise) -> Iterator[OwedNumber]:
    """Walk the numbers that the version's sheet must have, with the page turns between them."""
    look = promise.arrangement.print_look
    own_turns = set() if look is None else set(look.before)
    section, is_printed = 0, False
    for part, group, block in promise.script.blocks():
        if {part.title, group.title} & set(promise.arrangement.leave_out):
            continue
        if isinstance(block, PageTurn) or block.place in own_turns:
            section += is_printed
            is_printed = False
        if isinstance(block, Question):
            yield OwedNumber(block.label, str(block.number), section)
        if isinstance(block, Question) or (isinstance(block, Note) and block.kind == "sheet"):
            is_printed = True


def _numbers(headings: Sequence[PdfHeading], promise: Promise) -> list[tuple[str, int]]:
    """Return the numbers among a sheet's headings: those that are no title of the script."""
    titles = {promise.script.settings.title}
    for part in promise.script.parts:
        titles |= {part.title, *(group.title for group in part.groups)}
    return [
        (number[1], one.page)
        for one in headings
        if one.text.strip() not in titles and (number := _NUMBER.fullmatch(one.text.strip()))
    ]
