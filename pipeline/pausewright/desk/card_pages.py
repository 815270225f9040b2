"""Cards on the page Words: a form each, saved by its button or while somebody writes."""

from __future__ import annotations

import asyncio
import secrets
from typing import TYPE_CHECKING, Final, Literal

from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from pausewright.desk.card_views import fields_of_form, mark_of, row_mends
from pausewright.desk.cards.changes import changed
from pausewright.desk.cards.inside import INNER_KINDS, added_inside
from pausewright.desk.cards.marks import settled
from pausewright.desk.cards.mends import mended
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.cards.said_otherwise import said_as
from pausewright.desk.cards.structure import NEW_KINDS, added, deleted, moved
from pausewright.desk.frame import form_of
from pausewright.desk.frame import moved as moved_to
from pausewright.desk.jobs import Job
from pausewright.desk.messages import HearLines
from pausewright.desk.shelf import ChangedElsewhereError
from pausewright.desk.try_messages import Tried, TryText
from pausewright.problems import PausewrightError
from pausewright.script.attributes.attribute_table import YES_WORDS
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from starlette.requests import Request

    from pausewright.desk.cards.model import Card
    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.shelf import Shelved
    from pausewright.desk.text_pages import TextPages
    from pausewright.desk.try_messages import Row

_READING_S: Final = 20.0
_MOST_FIELDS: Final = 1500
"""Of an open card: a long passage has some for each of its turns."""
_MOVES: Final[dict[str, Literal[-1, 1]]] = {"up": -1, "down": 1}


class CardPages:
    """Answers about single cards."""

    def __init__(self, frame: Frame, text: TextPages) -> None:
        """Take the frame, and the page that the cards stand on."""
        self._frame = frame
        self._room = frame.room
        self._text = text

    def routes(self) -> list[Route]:
        """Return the addresses to which cards send."""
        card = "/test/{test_id}/words/card"
        return [
            Route(card, self.act, methods=["POST"]),
            Route(f"{card}/save", self.save, methods=["POST"]),
        ]

    async def act(self, request: Request) -> Response:
        """Do what a card's button says."""
        test = self._frame.test(request)
        form = await form_of(request, _MOST_FIELDS)
        try:
            line = await self._done(test, form)
        except ChangedElsewhereError as conflict:
            return await self._text.told(test, conflict, 409, self._typed(form))
        except CardError as refused:
            return await self._text.told(test, refused, 400, self._typed(form))
        if form.one("how") == "say":
            return self._say(test, form)
        opened = f"?card={line}" if form.one("how") in {"up", "down", "add"} else ""
        return moved_to(f"/test/{test.id}/words{opened}#card-{line}")

    async def save(self, request: Request) -> Response:
        """Do the same for the page's script, which shows what came of it."""
        test = self._frame.test(request)
        form = await form_of(request, _MOST_FIELDS)
        try:
            line = await self._done(test, form)
        except ChangedElsewhereError as conflict:
            hint = "your words are still in this field: copy them, then look at the page again"
            return JSONResponse({"message": one_line(conflict.message), "hint": hint}, 409)
        except PausewrightError as refused:
            told = {"message": one_line(refused.message), "hint": one_line(refused.hint)}
            return JSONResponse(told, 400)
        held = self._room.shelf.read(test)
        history = self._room.history(test)
        return JSONResponse(
            {
                "base": held.mark,
                "text": held.text,
                "line": line,
                "mark": await asyncio.to_thread(_mark_at, held.text, line),
                "can_go_back": history.can_go_back,
                "can_go_again": history.can_go_again,
            }
        )

    async def _done(self, test: Shelved, form: Form) -> int:
        """Change the script as a form says; return the line of the card to go on with."""
        shelf, history = self._room.shelf, self._room.history(test)
        before = shelf.read(test)
        card = await asyncio.to_thread(_card_of, before.text, form)
        words = ""
        if form.one("choose"):
            words = await self._chosen(test, form, card)
        new, line = await asyncio.to_thread(_changed, before.text, form, card, words)
        if form.one("repair"):
            new = await self._mended(test, form, before.text, new)
        if new != before.text:
            shelf.save(test, new, before.mark)
            history.note(before.text)
            history.note(new)
        return line

    async def _chosen(self, test: Shelved, form: Form, card: Card | None) -> str:
        """Return the words of a reading that a page offered, as the last reading offers it."""
        looked = await self._room.looked(test, _READING_S)
        place = _place(form.one("choose"))
        for row in looked.problems if looked and card is not None else ():
            is_there = row.is_own and (row.line, row.column, row.length) == place[:3]
            if is_there and 0 <= place[3] < len(row.choices):
                return row.choices[place[3]]
        raise CardError("this reading is no longer offered", "look at the page again")

    async def _mended(self, test: Shelved, form: Form, text: str, typed: str) -> str:
        """Return the text with what a hint offers; refused where that does not repair it."""
        if typed != text:
            raise CardError("what was typed in this card is not saved yet", "save it first")
        line, column, length, n = _place(form.one("repair"))
        looked = await self._room.looked(test, _READING_S)
        rows = text.split("\n")
        for row in looked.problems if looked else ():
            offers = row_mends(rows, row)
            is_there = row.is_own and (row.line, row.column, row.length) == (line, column, length)
            if not is_there or not 0 <= n < len(offers):
                continue
            new = mended(text, line, column, length, offers[n])
            tried = await self._room.ask(TryText(str(test.script), new), _READING_S)
            if isinstance(tried, Tried) and _is_mended(row, tried):
                return new
            raise CardError("this alone does not repair it", "change it in the text: see the hint")
        raise CardError("this is no longer offered", "look at the page again")

    def _say(self, test: Shelved, form: Form) -> Response:
        sound = self._room.held() / f"{secrets.token_hex(8)}.wav"
        ask = HearLines(str(test.script), form.one("hear").strip(), str(sound))
        return moved_to(f"/job/{self._room.jobs.begin_sound(Job('hear', test.id, ask, sound)).id}")

    @staticmethod
    def _typed(form: Form) -> tuple[str, ...]:
        """Return what was typed, so that it can be copied where it could not be saved."""
        fields = fields_of_form(form.fields())
        return tuple(value for value in (*fields.values(), form.one("new_words")) if value.strip())


def _card_of(text: str, form: Form) -> Card | None:
    """Return the card that a form is about, also if the file was changed beside it meanwhile.

    It is the card with the very text that the form was made from.

    Raises
    ------
    ChangedElsewhereError
        If the card itself was changed, or stands there more than once.
    """
    line = _whole(form.one("card"))
    if not line and form.one("how") == "add":
        return None
    same = [one for one in read_cards(text).cards if mark_of(one) == form.one("mark")]
    here = [one for one in same if one.line == line] or same
    if len(here) == 1:
        return here[0]
    raise ChangedElsewhereError(
        "this was changed by another program or in another window meanwhile",
        "look at the page again: nothing was overwritten",
    )


def _mark_at(text: str, line: int) -> str:
    """Return the mark of the card on a line; "" without one."""
    return next((mark_of(one) for one in read_cards(text).cards if one.line == line), "")


def _changed(text: str, form: Form, card: Card | None, words: str) -> tuple[str, int]:
    """Return the new text, and the line of the card to go on with."""
    how = form.one("how")
    line = card.line if card is not None else 0
    if card is not None and how == "delete":
        gone = deleted(text, line)
        return gone.text, gone.line
    if words:  # places are those of the text as it stands; brackets change no words of a card
        at = _place(form.one("choose"))
        text = said_as(text, at[0], at[1], at[2], words)
    if card is not None:
        text = changed(text, line, _fields(form))
    if how == "add":
        kind = form.one("new_kind")
        if kind in INNER_KINDS:
            return added_inside(text, line, kind, form.one("new_words")), line
        if kind not in NEW_KINDS:
            raise CardError("it is not said what to add", "choose it from the list")
        placed = added(text, line, kind, form.one("new_words"))
        return placed.text, placed.line
    if card is None:
        return text, line
    if how in _MOVES:
        placed = moved(text, line, _MOVES[how])
        return placed.text, placed.line
    if form.one("settle"):
        own = read_cards(text).at(line)
        new = settled(text, own, _whole(form.one("settle")))
        return new, line - (text.count("\n") - new.count("\n"))
    return text, line


def _fields(form: Form) -> dict[tuple[str, str], str]:
    """Return the fields of a form; a box that is not ticked sends nothing."""
    found = fields_of_form(form.fields())
    for name in form.all("boxes"):
        piece, _, own = name.removeprefix("f:").rpartition(":")
        if own in YES_WORDS:
            found.setdefault((piece, own), "")
    return found


def _is_mended(row: Row, tried: Tried) -> bool:
    """Return whether a problem would be gone, and nothing new be wrong."""
    is_gone = any((one.code, one.message) == (row.code, row.message) for one in tried.gone)
    return is_gone and not any(one.severity == "error" for one in tried.new)


def _place(chosen: str) -> tuple[int, int, int, int]:
    """Return line, column, length and number of what was chosen of a problem's offers."""
    parts = [_whole(one) for one in chosen.split(":")]
    return (parts[0], parts[1], parts[2], parts[3]) if len(parts) == 4 else (0, 0, 0, -1)


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0
