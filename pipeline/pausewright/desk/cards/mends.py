"""What a hint offers to be typed, so that it can be pressed: other signs at a problem's place.

Nothing is made up: only what a hint says in full is offered, and only where the problem's place is
just what it replaces. Whether it mends the script is known when the new text was read.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.changes import applied
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.spots import Edit, Spot

if TYPE_CHECKING:
    from collections.abc import Sequence

_NEAREST: Final = re.compile(r"did you mean (.+)\?")
_ONE_OF: Final = re.compile(r"write one of: ([^…]+)")
_ESCAPED: Final = re.compile(r"write (\\\S) to print it")
_WITH_UNIT: Final = re.compile(r"(\d+(?:\.\d+)?) (?:ms|s|min|h)$")
_SPAN: Final = re.compile(r"\[[^\[\]…]+\]\{[^{}…]+\}")
_QUOTED: Final = re.compile(r"‘([^‘’]+)’")
_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?")
_MOST: Final = 6
_OF_A_KEY: Final = "the key "
"""Which answer is right only a person knows."""


def mends_of(message: str, hint: str, piece: str) -> tuple[str, ...]:
    """Return what a hint offers in place of what stands there; () where it only advises.

    Parameters
    ----------
    message : of the problem: what is wrong stands in it between ‘ and ’
    piece : what stands at the problem's place: an attribute, a name, a value, a sign
    """
    if not piece.strip() or message.startswith(_OF_A_KEY):
        return ()
    if found := _NEAREST.fullmatch(hint):
        return _replaced(message, piece, (found[1],))
    if found := _ONE_OF.fullmatch(hint):
        return _replaced(message, piece, tuple(one.strip() for one in found[1].split(",")))
    if found := _ESCAPED.match(hint):
        return (found[1],) if found[1][1:] == piece else ()
    if found := _WITH_UNIT.search(hint):
        numbers = list(_NUMBER.finditer(piece))
        if len(numbers) != 1 or numbers[0][0] != found[1]:
            return ()
        return (f"{piece[: numbers[0].start()]}{found[0]}{piece[numbers[0].end() :]}",)
    return tuple(one for one in _SPAN.findall(hint) if one[1:].startswith(f"{piece}]"))[:_MOST]


def _replaced(message: str, piece: str, offered: tuple[str, ...]) -> tuple[str, ...]:
    """Return a piece with each of the offers in place of what the message calls wrong."""
    if len(offered) > _MOST or not all(offered):
        return ()
    if offered[0].startswith(":::"):
        return offered if piece.startswith(":::") else ()
    quoted = _QUOTED.search(message)
    wrong = quoted[1] if quoted else ""
    if not wrong or piece.count(wrong) != 1:
        return ()
    before, _, after = piece.partition(wrong)
    is_bare = before.endswith("=") and not after.strip()
    return tuple(
        f'{before}"{one}"{after}' if is_bare and " " in one else f"{before}{one}{after}"
        for one in offered
    )


def piece_at(rows: Sequence[str], line: int, column: int, length: int) -> str:
    """Return what stands at a problem's place; "" if nothing does."""
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    end = column - 1 + length
    return row[column - 1 : end] if 0 < column <= end <= len(row) else ""


def mended(text: str, line: int, column: int, length: int, new: str) -> str:
    """Return a text with other signs at a place, from 1, in signs.

    Raises
    ------
    CardError
        If nothing stands there.
    """
    rows = tuple(text.split("\n"))
    if not piece_at(rows, line, column, length):
        raise CardError("this is no longer there", "look at the page again")
    start = column - 1
    return applied(rows, [Edit(Spot(line - 1, start), Spot(line - 1, start + length), new)])
