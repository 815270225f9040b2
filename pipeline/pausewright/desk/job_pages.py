"""Pages of a job: how far it is, what came of it, and what it left to look at or to hear."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import msgspec
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

from pausewright.desk import replies
from pausewright.desk.forms import FORMS
from pausewright.desk.frame import moved
from pausewright.desk.messages import Check, HearLines, Made, Ran, Refused
from pausewright.desk.sentences import HEADINGS, minutes, progress_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame
    from pausewright.desk.jobs import Job


class JobPages:
    """Answers about jobs."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    async def show(self, request: Request) -> Response:
        """Show a job: at work, or what came of it."""
        job = self._job(request)
        test = self._room.shelf.test(job.test) if job.test else None
        looked = await self._room.looked(test, 0.0) if test else None
        words, share, left = progress_of(job)
        heading = HEADINGS[job.kind][job.state != "running"]
        return self._frame.show(
            "job.html",
            here=_here(job),
            shown_job=job.id,
            job=job,
            heading="Stopped" if job.state == "stopped" else heading,
            title=self._room.title(test, looked) if test and not _is_blind(job) else "",
            progress={"words": words, "share": share, "left": left},
            answer=_shown(job),
            onwards=_onwards(job),
            following=FORMS.get(job.answer.following) if isinstance(job.answer, Ran) else None,
            action=f"/test/{job.test}/more" if job.test else "/more",
            notes_heard=isinstance(job.ask, HearLines) and not job.ask.tried,
        )

    async def state(self, request: Request) -> Response:
        """Say how far a job is."""
        job = self._job(request)
        words, share, left = progress_of(job)
        told = {"words": words, "share": share, "left": left, "sounding": job.is_sounding}
        return JSONResponse({"state": job.state, **told})

    async def stop(self, request: Request) -> Response:
        """Stop a job."""
        job = self._job(request)
        await asyncio.to_thread(self._room.jobs.stop, job)
        return moved(f"/job/{job.id}")

    async def page(self, request: Request) -> Response:
        """Give the page or the sound that a job left."""
        job = self._job(request)
        if job.page is None or job.state != "done":
            raise HTTPException(404, "There is nothing to look at here.")
        opened = self._room.shelf.opened(job.page)
        return replies.delivered(opened, job.page.name, request.headers.get("range", ""))

    async def sound(self, request: Request) -> Response:
        """Give what is voiced of a sound, and the rest as it comes."""
        job = self._job(request)
        ask = job.ask
        if not (isinstance(ask, HearLines) and job.is_sounding):
            raise HTTPException(404, "There is nothing to hear here yet.")
        return replies.growing_sound(
            lambda: self._room.shelf.opened(ask.growing), lambda: job.state == "running"
        )

    def _job(self, request: Request) -> Job:
        job = self._room.jobs.get(request.path_params["job_id"])
        if job is None:
            raise HTTPException(404, "What came of this is no longer kept. Look at the test.")
        return job


def _here(job: Job) -> str:
    """Return the address that the navigation marks."""
    if job.kind == "check":
        return "/check"
    return "/" if job.test else "/more" if job.kind == "run" else "/voices"


def _is_blind(job: Job) -> bool:
    return isinstance(job.ask, Check) and job.ask.is_blind


def _shown(job: Job) -> object:
    """Return what came of a job, lengths in words."""
    answer = job.answer
    if not isinstance(answer, Made):
        return answer
    rows = [
        {**msgspec.structs.asdict(one), "length": minutes(one.length_s)} for one in answer.versions
    ]
    return {"versions": rows, "failed": answer.failed, "warnings": answer.warnings}


def _onwards(job: Job) -> list[tuple[str, str]]:
    """Return where to go on from a job."""
    if job.state == "running":
        return []
    if job.onwards:
        return list(job.onwards)
    if job.kind == "check":
        return [("/check", "Check another file")]
    if not job.test:
        return [("/voices", "Back to the voices")]
    of_test = f"/test/{job.test}"
    if isinstance(job.answer, Refused):
        return [(f"{of_test}/words", "To the words"), (f"{of_test}/make", "Back to Make")]
    ways = {
        "make": [
            (f"{of_test}/listen", "Listen to it"),
            (f"{of_test}/papers", "See papers and files"),
            (f"{of_test}/rooms", "Rooms and sticks"),
        ],
        "papers": [(f"{of_test}/papers", "See papers and files")],
        "compare": [(f"{of_test}/versions", "Back to the versions")],
        "hear": [(f"{of_test}/listen", "Hear something else")],
    }
    if job.state == "stopped":
        return [(f"{of_test}/make", "Back to Make")]
    return ways[job.kind]
