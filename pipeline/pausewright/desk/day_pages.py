"""Pages of the day itself: what a stop in the room meant, a part again, and what a change means."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from starlette.exceptions import HTTPException
from starlette.routing import Route

from pausewright.desk import replies
from pausewright.desk.day_messages import Differ, MakeExcerpt, ShowTrack, Stopped, TrackShown, Where
from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.listen_pages import drawn_strip, strip_lines
from pausewright.desk.messages import Refused
from pausewright.problems import OutputError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.shelf import Shelved

_WAIT_S: Final = 0.1
_ASKED: Final = ("version", "place", "start", "clock", "waited", "again")
_NOT_A_NAME: Final = re.compile(r"[^0-9A-Za-z]+")
_QUESTIONS: Final = re.compile(r"\d{1,5}(?:-\d{1,5})?")
_MOST_SHEETS: Final = 200


class DayPages:
    """Answers on the day."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of these pages."""
        test = "/test/{test_id}"
        return [
            Route(f"{test}/day", self.day),
            Route(f"{test}/day", self.stopped, methods=["POST"]),
            Route(f"{test}/day/excerpt", self.excerpt, methods=["POST"]),
            Route(f"{test}/own/{{file_id}}", self.own_file),
            Route(f"{test}/changes", self.changes),
            Route(f"{test}/changes", self.compare, methods=["POST"]),
        ]

    # ---- a stop in the room ----------------------------------------------------------------

    async def day(self, request: Request) -> Response:
        """Show what to say of a stop."""
        test = self._frame.test(request)
        given = {"version": request.query_params.get("version", "")}
        return await self._day(test, {**given, "place": request.query_params.get("at", "")})

    async def _day(
        self, test: Shelved, given: dict[str, str], found: object = None, status: int = 200
    ) -> Response:
        looked = await self._room.looked(test, _WAIT_S)
        made = [one for one in looked.versions if one.files] if looked else []
        labels = [one.label for one in made]
        asked = {name: given.get(name, "") for name in _ASKED}
        asked["version"] = asked["version"] if asked["version"] in labels else (labels or [""])[0]
        lines: list[object] = []
        if looked is not None and labels:
            out = str(self._room.shelf.out)
            ask = ShowTrack(str(test.script), out, asked["version"], looked.edition)
            shown = await self._room.ask(ask)
            if isinstance(shown, TrackShown):
                lines = list(strip_lines(drawn_strip(shown, [])))
        return self._frame.of_test(
            "day.html",
            test,
            looked,
            status,
            page_of="day",
            labels=labels,
            asked=asked,
            found=found if isinstance(found, Stopped) else None,
            refused=found if isinstance(found, Refused) else None,
            lines=lines,
            own=self._own(test),
        )

    async def stopped(self, request: Request) -> Response:
        """Say what a stop meant, and write the sheet if it is wanted."""
        test = self._frame.test(request)
        form = await form_of(request)
        asked = {name: form.one(name).strip() for name in _ASKED}
        sheet = self._new_sheet(test, asked) if form.has("sheet") else None
        ask = Where(
            str(test.script),
            str(self._room.shelf.out),
            **asked,
            sheet=str(sheet) if sheet is not None else "",
        )
        found = await self._room.ask(ask)
        return await self._day(test, asked, found, 400 if isinstance(found, Refused) else 200)

    def _new_sheet(self, test: Shelved, asked: dict[str, str]) -> Path:
        """Return a name for an incident sheet that nothing has."""
        at = _NOT_A_NAME.sub("-", asked["place"] or asked["clock"]).strip("-") or "stop"
        label = _NOT_A_NAME.sub("-", asked["version"])
        folder = self._room.shelf.day_of(test)
        for n in range(1, _MOST_SHEETS):
            name = f"incident-sheet_{label}_{at}{f'_{n}' if n > 1 else ''}.pdf"
            if not (folder / name).exists():
                return folder / name
        raise OutputError("there are too many incident sheets of this moment", "remove some")

    async def excerpt(self, request: Request) -> Response:
        """Write a part to be heard again."""
        test = self._frame.test(request)
        form = await form_of(request)
        questions, version = form.one("questions").strip(), form.one("version")
        if not _QUESTIONS.fullmatch(questions):
            raise OutputError(f"‘{one_line(questions)}’ names no questions", "write 4, or 4-7")
        label = _NOT_A_NAME.sub("-", version)
        ending = form.one("as") if form.one("as") in {"mp3", "wav", "flac"} else "mp3"
        target = self._room.shelf.day_of(test) / f"excerpt_{label}_{questions}.{ending}"
        ask = MakeExcerpt(
            str(test.script), str(self._room.shelf.out), questions, version, str(target)
        )
        onwards = ((f"/test/{test.id}/day#again", "Hear it, and print its sheet"),)
        return moved(
            f"/job/{self._room.jobs.begin(Job('excerpt', test.id, ask, None, onwards)).id}"
        )

    def _own(self, test: Shelved) -> list[tuple[str, str]]:
        return [
            (key, one_line(file.name))
            for key, file in self._room.shelf.own_files(test).items()
            if file.parent == self._room.shelf.day_of(test)
        ]

    async def own_file(self, request: Request) -> Response:
        """Give a sheet, an excerpt or a proof."""
        test = self._frame.test(request)
        path = self._room.shelf.own_files(test).get(request.path_params["file_id"])
        if path is None:
            raise HTTPException(404, "This file is no longer there. Look at the list again.")
        opened = self._room.shelf.opened(path)
        return replies.delivered(opened, path.name, request.headers.get("range", ""))

    # ---- what changed ------------------------------------------------------------------------

    async def changes(self, request: Request) -> Response:
        """Show what can be compared."""
        test = self._frame.test(request)
        looked = await self._room.looked(test, _WAIT_S)
        sides = self._sides(test)
        return self._frame.of_test(
            "changes.html",
            test,
            looked,
            page_of="changes",
            is_made=any(one.files for one in looked.versions) if looked else False,
            has_rooms=self._room.shelf.rooms_of(test).is_dir(),
            sides=[(key, one_line(words)) for key, (words, _) in sides.items()],
        )

    def _sides(self, test: Shelved) -> dict[str, tuple[str, Path]]:
        """Return what can be compared with what: builds and texts, by key."""
        shelf = self._room.shelf
        found: dict[str, tuple[str, Path]] = {}
        for one in (test, *(other for other in shelf.tests() if other.id != test.id)):
            if (shelf.out / one.name).is_dir():
                found[f"built-{one.id}"] = f"what was made of {one.name}", shelf.out / one.name
            found[f"text-{one.id}"] = f"the words of {one.name}", one.script
        return found

    async def compare(self, request: Request) -> Response:
        """Compare two states."""
        test = self._frame.test(request)
        form = await form_of(request)
        ask = self._asked(test, form)
        onwards = (
            (f"/test/{test.id}/make", "Make what must be made"),
            (f"/test/{test.id}/rooms", "Rooms and sticks"),
        )
        return moved(
            f"/job/{self._room.jobs.begin(Job('differs', test.id, ask, None, onwards)).id}"
        )

    def _asked(self, test: Shelved, form: Form) -> Differ:
        sides = self._sides(test)
        old = sides.get(form.one("old") or f"built-{test.id}")
        new = sides.get(form.one("new") or f"text-{test.id}")
        if old is None or new is None:
            raise OutputError("one of the two is no longer there", "go back and choose again")
        rooms = self._room.shelf.rooms_of(test)
        has_rooms = form.has("rooms") and rooms.is_dir()
        out = str(self._room.shelf.out)
        return Differ(
            str(old[1]), str(new[1]), out, str(rooms) if has_rooms else "", form.has("shape")
        )
