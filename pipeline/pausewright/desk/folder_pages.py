"""Pages of the whole folder: its tests, its voices, the end of the desk."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from starlette.background import BackgroundTask

from pausewright.desk import replies
from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.messages import HearVoice, ListVoices, Refused, Voices
from pausewright.desk.sentences import state_of
from pausewright.problems import PausewrightError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame


class FolderPages:
    """Answers for the whole folder."""

    def __init__(self, frame: Frame, end: Callable[[], None]) -> None:
        """Take the frame, and what ends the desk."""
        self._frame = frame
        self._room = frame.room
        self._end = end

    async def tests(self, request: Request) -> Response:
        """Show the tests of the folder."""
        del request
        return await self._tests()

    async def _tests(self, message: str = "", status: int = 200) -> Response:
        found = self._room.shelf.tests()
        rows = []
        is_looking = False
        for n, test in enumerate(found):
            looked = await self._room.looked(test, 0.1 if n == 0 else 0.0)
            sentence, following, words = state_of(looked)
            is_looking |= looked is None
            rows.append(
                {
                    "id": test.id,
                    "title": self._room.title(test, looked),
                    "file": one_line(test.script.name),
                    "sentence": sentence,
                    "next": following,
                    "next_words": words,
                }
            )
        return self._frame.show(
            "tests.html", status, here="/", tests=rows, is_looking=is_looking, message=message
        )

    async def new(self, request: Request) -> Response:
        """Begin a test."""
        try:
            test = self._room.shelf.new((await form_of(request)).one("title"))
        except PausewrightError as error:
            return await self._tests(f"{error.message}: {error.hint}", 400)
        return moved(f"/test/{test.id}/words")

    async def voices(self, request: Request) -> Response:
        """Show the voices."""
        del request
        answer = await self._room.ask(ListVoices(str(self._room.shelf.folder)))
        return self._frame.show(
            "voices.html",
            here="/voices",
            voices=answer.voices if isinstance(answer, Voices) else (),
            refused=answer if isinstance(answer, Refused) else None,
        )

    async def hear_voice(self, request: Request) -> Response:
        """Let a voice be heard."""
        name = (await form_of(request)).one("voice")
        sound = self._room.held() / f"{secrets.token_hex(8)}.wav"
        ask = HearVoice(name, str(self._room.shelf.folder), str(sound))
        return moved(f"/job/{self._room.jobs.begin_sound(Job('hear', '', ask, sound)).id}")

    async def end(self, request: Request) -> Response:
        """End the desk; while something is being made only if that is wanted."""
        if self._room.jobs.is_busy and not (await form_of(request)).has("sure"):
            return self._frame.show("end.html", 409)
        reply = replies.plain_page(
            200, "The desk has ended. You can close this window. Your tests are in their folder."
        )
        reply.headers["clear-site-data"] = '"cache", "storage"'
        reply.background = BackgroundTask(self._end)
        return reply
