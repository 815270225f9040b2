"""The page of a test's words: its text, saved as it is written, with what is wrong beside it."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import msgspec
from starlette.responses import JSONResponse, Response

from pausewright.desk.card_views import views
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.frame import form_of, moved
from pausewright.desk.shelf import ChangedElsewhereError
from pausewright.problems import PausewrightError, ScriptError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from starlette.requests import Request

    from pausewright.desk.card_views import CardView
    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.messages import Looked
    from pausewright.desk.shelf import Shelved, Text

MOST_CARDS = 1200
"""More of them no page shows: such a test has far more than 300 questions."""
READING_S = 20.0
"""As long as a page waits for what is wrong with a text that was just saved."""


class TextPages:
    """Answers for the words of tests."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    async def words(self, request: Request) -> Response:
        """Show the text."""
        test = self._frame.test(request)
        opened = request.query_params.get("card", "")
        line = int(opened) if opened.isascii() and opened.isdigit() and len(opened) < 7 else 0
        return await self._show(test, self._room.shelf.read(test), opened=line)

    async def told(
        self, test: Shelved, why: PausewrightError, status: int, typed: tuple[str, ...]
    ) -> Response:
        """Show the text and why a card could not be saved, with what was typed in it."""
        message = one_line(why.message[:1].upper() + why.message[1:])
        hint = one_line(why.hint[:1].upper() + why.hint[1:])
        refused: dict[str, object] = {"message": message, "hint": hint, "typed": typed}
        held = self._room.shelf.read(test)
        return await self._show(test, held, status=status, refused=refused)

    async def act(self, request: Request) -> Response:
        """Save the text, take back, do again, or settle what two programs wrote."""
        test = self._frame.test(request)
        form = await form_of(request)
        how = form.one("how")
        if how == "beside":
            other = self._room.shelf.save_beside(test, form.one("text"))
            return moved(f"/test/{other.id}/words")
        try:
            held = self._save(test, form)
            history = self._room.history(test)
            state = {"back": history.back, "again": history.again}.get(how, lambda: None)()
            if state is not None:
                self._room.shelf.save(test, state, held.mark)
        except ChangedElsewhereError as conflict:
            return await self._conflict(test, form.one("text"), conflict)
        return moved(f"/test/{test.id}/words")

    async def save(self, request: Request) -> Response:
        """Save the text while it is written."""
        test = self._frame.test(request)
        try:
            held = self._save(test, await form_of(request))
        except ChangedElsewhereError as conflict:
            hint = "save by the button: it shows both texts"
            return JSONResponse({"message": one_line(conflict.message), "hint": hint}, 409)
        except PausewrightError as error:
            return JSONResponse(
                {"message": one_line(error.message), "hint": one_line(error.hint)}, 400
            )
        history = self._room.history(test)
        return JSONResponse(
            {
                "base": held.mark,
                "can_go_back": history.can_go_back,
                "can_go_again": history.can_go_again,
            }
        )

    async def look(self, request: Request) -> Response:
        """Say what is wrong with the text as it stands on the disk; or whether all agrees."""
        if request.query_params.get("look") == "whole":
            differs = await self._room.whole(self._frame.test(request), READING_S)
            return JSONResponse({"differs": differs})
        looked = await self._room.looked(self._frame.test(request), READING_S)
        if looked is None:
            return JSONResponse({"message": "the text is still being read"}, 503)
        return Response(
            msgspec.json.encode(msgspec.structs.replace(looked, opened=())),
            media_type="application/json",
        )

    def _save(self, test: Shelved, form: Form) -> Text:
        """Save what a form holds; the state before is kept to be taken back."""
        shelf, history = self._room.shelf, self._room.history(test)
        before = shelf.read(test)
        held = shelf.save(test, form.one("text"), form.one("base"))
        history.note(before.text)
        history.note(held.text)
        return held

    async def _show(
        self,
        test: Shelved,
        held: Text,
        mine: str | None = None,
        conflict: dict[str, str] | None = None,
        status: int = 200,
        *,
        opened: int = 0,
        refused: dict[str, object] | None = None,
    ) -> Response:
        looked = await self._room.looked(test)
        history = self._room.history(test)
        history.note(held.text)
        return self._frame.of_test(
            "words.html",
            test,
            looked,
            status,
            page_of="words",
            text=held.text if mine is None else mine,
            base=held.mark,
            file=one_line(test.script.name),
            conflict=conflict,
            can_go_back=history.can_go_back,
            can_go_again=history.can_go_again,
            saved_words="",
            refused=refused,
            cards=await asyncio.to_thread(_cards, held.text, looked, opened),
        )

    async def _conflict(
        self, test: Shelved, mine: str, conflict: ChangedElsewhereError
    ) -> Response:
        held = self._room.shelf.read(test)
        said = {"message": conflict.message, "hint": conflict.hint, "theirs": held.text}
        said["message"] = one_line(said["message"][:1].upper() + said["message"][1:])
        return await self._show(test, held, mine, said, 409)


def _cards(text: str, looked: Looked | None, opened: int) -> tuple[CardView, ...]:
    """Return the cards of a text; none where it is too long to be read, or they are too many."""
    try:
        cards = read_cards(text)
    except ScriptError:
        return ()
    return views(cards, looked, opened) if len(cards.cards) <= MOST_CARDS else ()
