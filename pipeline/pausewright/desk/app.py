"""The desk's addresses: which page or file answers to which."""

from __future__ import annotations

import asyncio
import contextlib
import time
from typing import TYPE_CHECKING, Final

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from pausewright.desk import replies
from pausewright.desk.begin_pages import BeginPages
from pausewright.desk.card_pages import CardPages
from pausewright.desk.check_pages import CheckPages
from pausewright.desk.day_pages import DayPages
from pausewright.desk.earlier_pages import EarlierPages
from pausewright.desk.folder_pages import FolderPages
from pausewright.desk.frame import Frame
from pausewright.desk.guard import OPEN, STYLE, UPLOAD, Guard, TooMuchError
from pausewright.desk.job_pages import JobPages
from pausewright.desk.listen_pages import ListenPages
from pausewright.desk.more_pages import MorePages
from pausewright.desk.new_version_pages import NewVersionPages
from pausewright.desk.room_pages import RoomPages
from pausewright.desk.season_pages import SeasonPages
from pausewright.desk.text_pages import TextPages
from pausewright.desk.version_pages import VersionPages
from pausewright.fault_report import fault_report, write_fault_report
from pausewright.problems import PausewrightError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable

    from starlette.requests import Request
    from starlette.types import ASGIApp

    from pausewright.desk.guard import Door
    from pausewright.desk.room import Room

IDLE_S: Final = 45 * 60.0
"""Without a page that is looked at, and without a job, the desk ends after that."""
_LOOK_EVERY_S: Final = 1.0


def desk_app(room: Room, door: Door, end: Callable[[], None], idle_s: float = IDLE_S) -> ASGIApp:
    """Return the desk as an ASGI application.

    Parameters
    ----------
    room : what its pages share
    door : who is let in
    end : ends the server; called by a button, or when nobody has used the desk for `idle_s`
    """
    frame = Frame(room)
    folder, text = FolderPages(frame, end), TextPages(frame)
    versions, checks, jobs = VersionPages(frame), CheckPages(frame), JobPages(frame)

    async def let_in(request: Request) -> Response:
        session = door.let_in(request.query_params.get("key", ""))
        if session is None:
            sentence = "This way in was used already. Start the desk by its launcher again."
            return replies.plain_page(403, sentence)
        reply = replies.moving_page("/")
        reply.set_cookie(door.cookie, session, httponly=True, samesite="strict", path="/")
        return reply

    async def pulse(request: Request) -> Response:
        del request
        return Response(status_code=204)

    async def style(request: Request) -> Response:
        del request
        return replies.style()

    async def script(request: Request) -> Response:
        del request
        return replies.script()

    test = "/test/{test_id}"
    routes = [
        Route(OPEN, let_in),
        Route(STYLE, style),
        Route("/desk.js", script),
        Route("/pulse", pulse),
        Route("/favicon.ico", pulse),  # browsers ask for one
        Route("/", folder.tests),
        Route("/new", folder.new, methods=["POST"]),
        *BeginPages(frame).routes(),
        Route("/voices", folder.voices),
        Route("/voices", folder.hear_voice, methods=["POST"]),
        Route("/end", folder.end, methods=["POST"]),
        Route("/check", checks.choose),
        Route("/check", checks.of_folder, methods=["POST"]),
        Route(UPLOAD, checks.upload, methods=["POST"]),
        Route(f"{test}/words", text.words),
        Route(f"{test}/words", text.act, methods=["POST"]),
        Route(f"{test}/words/save", text.look),
        Route(f"{test}/words/save", text.save, methods=["POST"]),
        *CardPages(frame, text).routes(),
        *EarlierPages(frame).routes(),
        *NewVersionPages(frame).routes(),
        Route(f"{test}/make", versions.make),
        Route(f"{test}/make", versions.begin_making, methods=["POST"]),
        Route(f"{test}/papers", versions.papers),
        Route(f"{test}/papers", versions.write_papers, methods=["POST"]),
        Route(f"{test}/file/{{file_id}}", versions.file),
        Route("/job/{job_id}", jobs.show),
        Route("/job/{job_id}/state", jobs.state),
        Route("/job/{job_id}/stop", jobs.stop, methods=["POST"]),
        Route("/job/{job_id}/page", jobs.page),
        Route("/job/{job_id}/sound", jobs.sound),
        *ListenPages(frame).routes(),
        *RoomPages(frame).routes(),
        *DayPages(frame).routes(),
        *MorePages(frame).routes(),
        *SeasonPages(frame).routes(),
    ]

    async def refused(request: Request, error: Exception) -> Response:
        """Say in a page why something could not be done."""
        status, message, hint = _told(error)
        if request.url.path.endswith(("/save", "/played")):
            return JSONResponse({"message": message, "hint": hint}, status)
        return frame.show(
            "said.html",
            status,
            heading="This could not be done",
            message=message,
            hint=hint,
            back="/",
            back_words="To the tests",
        )

    async def failed(request: Request, fault: Exception) -> Response:
        """Say that the desk itself is at fault; nothing of the test is in what is reported."""
        del request
        report = write_fault_report(fault_report(fault, ["desk"], {"desk": ()}))
        where = f" Pass on the report {report}: it holds nothing of your test." if report else ""
        return replies.plain_page(500, f"A fault of the desk itself stopped this page.{where}")

    @contextlib.asynccontextmanager
    async def watched(_: Starlette) -> AsyncIterator[None]:
        watch = asyncio.create_task(_end_when_idle(room, end, idle_s))
        try:
            yield
        finally:
            watch.cancel()

    app = Starlette(
        routes=routes,
        lifespan=watched,
        exception_handlers={
            HTTPException: refused,
            PausewrightError: refused,
            OSError: refused,
            TooMuchError: refused,
            Exception: failed,
        },
    )
    app.router.redirect_slashes = False
    return Guard(app, door, room.used)


def _told(error: Exception) -> tuple[int, str, str]:
    """Return the status, the sentence and the hint of what went wrong."""
    if isinstance(error, TooMuchError):
        return error.status, error.sentence, ""
    if isinstance(error, HTTPException):
        known = {404: "There is no such page.", 405: "This page does not take that."}
        is_ours = error.detail.endswith(".")
        return error.status_code, error.detail if is_ours else known.get(error.status_code, ""), ""
    if isinstance(error, PausewrightError):
        message = one_line(error.message)
        hint = one_line(error.hint)
        return 400, f"{message[:1].upper()}{message[1:]}.", f"{hint[:1].upper()}{hint[1:]}"
    why = error.strerror if isinstance(error, OSError) else ""
    return 500, f"The system refused: {why or 'it does not say why'}.", ""


async def _end_when_idle(room: Room, end: Callable[[], None], idle_s: float) -> None:
    while True:
        await asyncio.sleep(min(_LOOK_EVERY_S, idle_s))
        if room.jobs.is_busy:
            room.used()
        elif time.monotonic() - room.used_s > idle_s:
            end()
            return
