"""The page Versions: what is declared, and a new version by answers to questions."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING, Final

from starlette.routing import Route

from pausewright.arrange.declarations import BESIDE
from pausewright.desk import version_answers
from pausewright.desk.cards.new_version import with_version
from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.messages import Compare, Refused
from pausewright.desk.sentences import STATES
from pausewright.desk.try_messages import Tried, TryText
from pausewright.desk.version_answers import USUAL, next_label, version_of
from pausewright.problems import OutputError, PausewrightError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.shelf import Shelved

_WAIT_S: Final = 0.1
TRY_S: Final = 180.0


class NewVersionPages:
    """Answers about which versions there are."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of this page."""
        versions = "/test/{test_id}/versions"
        return [
            Route(versions, self.versions),
            Route(versions, self.compare, methods=["POST"]),
            Route(f"{versions}/new", self.add, methods=["POST"]),
        ]

    async def versions(self, request: Request) -> Response:
        """Show the versions of a test."""
        return await self._show(self._frame.test(request))

    async def compare(self, request: Request) -> Response:
        """Lay the versions side by side."""
        return self._side_by_side(self._frame.test(request))

    async def add(self, request: Request) -> Response:
        """Declare one more version, and lay all side by side; nothing is written that is wrong."""
        test = self._frame.test(request)
        form = await form_of(request)
        shelf, history = self._room.shelf, self._room.history(test)
        try:
            new = version_of(form)
            before = shelf.read(test)
            text = with_version(before.text, new)
            await self._try(test, text, new.label)
            shelf.save(test, text, before.mark)
        except PausewrightError as refused:
            return await self._show(test, form, refused)
        history.note(before.text)
        history.note(text)
        return self._side_by_side(test)

    async def _try(self, test: Shelved, text: str, label: str) -> None:
        """Refuse a text that would not mean just one version more."""
        answer = await self._room.ask(TryText(str(test.script), text), TRY_S)
        if isinstance(answer, Refused):
            raise OutputError(answer.message, answer.hint)
        if isinstance(answer, Tried):
            wrong = next((one for one in answer.new if one.severity == "error"), None)
            if wrong is not None:
                raise OutputError(wrong.message, wrong.hint)
            if sorted(answer.has) == sorted([*answer.had, label]):
                return
        raise OutputError(
            "the versions of this test cannot be added to here",
            "write the new one in the text, below the others",
        )

    def _side_by_side(self, test: Shelved) -> Response:
        page = self._room.held() / f"{secrets.token_hex(8)}.html"
        ask = Compare(str(test.script), str(self._room.shelf.out), str(page))
        return moved(f"/job/{self._room.jobs.begin(Job('compare', test.id, ask, page)).id}")

    async def _show(
        self, test: Shelved, form: Form | None = None, refused: PausewrightError | None = None
    ) -> Response:
        looked = await self._room.looked(test, _WAIT_S)
        told = None
        if refused is not None:
            message = one_line(refused.message[:1].upper() + refused.message[1:])
            told = {"message": message, "hint": one_line(refused.hint)}
        labels = [one.label for one in looked.versions] if looked else []
        asked = {**USUAL, "label": next_label(labels)} if form is None else form.fields()
        ticked = ("answer-time",) if form is None else form.all("stretch")
        beside = test.script.with_name(f"{test.script.stem}{BESIDE}")
        return self._frame.of_test(
            "versions.html",
            test,
            looked,
            200 if refused is None else 400,
            page_of="versions",
            states=STATES,
            refused=told,
            asked=asked,
            ticked=ticked,
            is_beside=beside.is_file(),
            beside=one_line(beside.name),
            ways=version_answers,
        )
