"""The page on which a delivered file is checked: one of the folder, or one that is handed in."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING, Final

from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.messages import Check
from pausewright.desk.uploads import Upload
from pausewright.files.writing import make_folder
from pausewright.problems import OutputError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame


_FILES: Final = {
    "captions": (".vtt", ".srt"),
    "record": (".json",),
    "standard": (".mp3", ".wav", ".flac"),
    "needs": (".csv",),
}
"""Options that name a file, and how such files end."""
_MORE: Final = (*_FILES, "readers", "arrangement", "room", "password", "recognise")
"""Options that are seldom wanted."""


class CheckPages:
    """Answers about checking."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    async def choose(self, request: Request) -> Response:
        """Show what can be checked."""
        del request
        return await self._choose()

    async def _choose(self, message: str = "", status: int = 200) -> Response:
        folder = self._room.shelf.folder
        tests = self._room.shelf.tests()
        return self._frame.show(
            "check.html",
            status,
            here="/check",
            message=message,
            others=self._others(),
            tests=[
                {"id": one.id, "title": self._room.title(one, await self._room.looked(one, 0.0))}
                for one in tests
            ],
            deliveries=[
                (key, one_line(_name(path, folder)))
                for key, path in self._room.shelf.deliveries().items()
            ],
        )

    async def of_folder(self, request: Request) -> Response:
        """Check something of the folder."""
        form = await form_of(request)
        path = self._room.shelf.deliveries().get(form.one("what"))
        if path is None:
            return await self._choose("This is no longer in the folder: choose again.", 404)
        more = self._more({name: form.one(name) for name in _MORE if form.one(name)})
        return self._begin(path, form.one("test"), more, is_blind=form.has("blind"))

    async def upload(self, request: Request) -> Response:
        """Check a file that is handed in."""
        place = self._room.held() / secrets.token_hex(8)
        make_folder(place, private=True)
        upload = Upload(place)
        try:
            await upload.take(request)
            if upload.file is None:
                raise OutputError("no file is chosen", "choose one first")
        except OutputError as error:
            self._remove(place)
            return await self._choose(f"{one_line(error.message)}: {one_line(error.hint)}", 400)
        except BaseException:
            self._remove(place)
            raise
        fields = upload.fields
        more = self._more({name: fields[name] for name in _MORE if fields.get(name)})
        return self._begin(upload.file, fields.get("test", ""), more, is_blind="blind" in fields)

    def _others(self) -> dict[str, list[tuple[str, str]]]:
        """Return which files of the folder can be compared with, by the option's name."""
        shelf = self._room.shelf
        return {
            name: [(key, one_line(shelf.named(file))) for key, file in shelf.files(ends).items()]
            for name, ends in _FILES.items()
        }

    def _more(self, given: dict[str, str]) -> dict[str, str]:
        """Return seldom options, files as paths.

        Raises
        ------
        OutputError
            If a file is no longer there.
        """
        for name, endings in _FILES.items():
            if name in given:
                found = self._room.shelf.files(endings).get(given[name])
                if found is None:
                    raise OutputError("a file to compare with is no longer there", "choose again")
                given[name] = str(found)
        return given

    @staticmethod
    def _remove(place: Path) -> None:
        for one in place.iterdir():
            one.unlink(missing_ok=True)
        place.rmdir()

    def _begin(self, path: Path, test_id: str, more: dict[str, str], *, is_blind: bool) -> Response:
        test = self._room.shelf.test(test_id) if test_id else None
        page = self._room.held() / f"{secrets.token_hex(8)}.html"
        script = str(test.script) if test else ""
        ask = Check(str(path), script, str(page), is_blind=is_blind, more=more)
        job = Job("check", test.id if test else "", ask, page)
        return moved(f"/job/{self._room.jobs.begin(job).id}")


def _name(path: Path, folder: Path) -> str:
    shown = path.relative_to(folder).as_posix()
    return f"{shown}/ (the whole folder)" if path.is_dir() else shown
