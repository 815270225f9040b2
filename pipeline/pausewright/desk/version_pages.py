"""Pages of what a test becomes: making its versions, papers and files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from starlette.exceptions import HTTPException

from pausewright.desk import replies
from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.messages import Choices, Make, Print
from pausewright.desk.sentences import KINDS, PLACES, STATES
from pausewright.desk.shelf import file_id
from pausewright.problems import OutputError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.messages import Looked, Version
    from pausewright.desk.shelf import Shelved

_WAIT_S: Final = 0.1
_READING_S: Final = 20.0
_FORMATS: Final = ("mp3", "wav", "flac")
_VIDEOS: Final = ("burned-in", "switchable")
_ALONE: Final = "-papers"


class VersionPages:
    """Answers about what is made of tests."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    # ---- making --------------------------------------------------------------------------

    async def make(self, request: Request) -> Response:
        """Show how a test can be made."""
        test = self._frame.test(request)
        looked = await self._room.looked(test, _WAIT_S)
        return self._frame.of_test("make.html", test, looked, page_of="make", states=STATES)

    async def begin_making(self, request: Request) -> Response:
        """Make versions of a test."""
        test = self._frame.test(request)
        form = await form_of(request)
        shelf = self._room.shelf
        ask = Make(str(test.script), str(shelf.out), _choices(form))
        return moved(f"/job/{self._room.jobs.begin(Job('make', test.id, ask)).id}")

    # ---- papers and files ----------------------------------------------------------------

    async def papers(self, request: Request) -> Response:
        """Show papers and files, by version and by whom they are for."""
        test = self._frame.test(request)
        looked = await self._room.looked(test, _WAIT_S)
        versions = looked.versions if looked else ()
        before = [(file_id(one.name), one_line(one.name)) for one in self._sheets_before(test)]
        is_made = any(one.files for one in versions)
        return self._frame.of_test(
            "papers.html",
            test,
            looked,
            page_of="papers",
            states=STATES,
            groups=[_group(one) for one in versions if one.files],
            is_made=is_made,
            made_before=[] if is_made else before,
        )

    async def write_papers(self, request: Request) -> Response:
        """Write the papers again."""
        test = self._frame.test(request)
        form = await form_of(request)
        looked = await self._room.looked(test, _READING_S)
        built = [one.label for one in looked.versions if one.files] if looked else []
        chosen = form.all("arrangement")
        ask = Print(
            str(test.script),
            str(self._room.shelf.out),
            tuple(one for one in built if one in chosen) if chosen else tuple(built),
            form.one("start").strip(),
            mark_scheme=form.has("mark_scheme"),
            text_papers=form.has("text_papers"),
        )
        return moved(f"/job/{self._room.jobs.begin(Job('papers', test.id, ask)).id}")

    async def file(self, request: Request) -> Response:
        """Give a file that a build wrote; only what its records list can be named."""
        test = self._frame.test(request)
        looked = await self._room.looked(test, _READING_S)
        path = self._listed(test, looked).get(request.path_params["file_id"])
        if path is None:
            raise HTTPException(404, "This file is no longer there. Look at the list again.")
        opened = self._room.shelf.opened(path)
        return replies.delivered(opened, path.name, request.headers.get("range", ""))

    def _listed(self, test: Shelved, looked: Looked | None) -> dict[str, Path]:
        folder = self._room.shelf.out / test.name
        listed = [one.path for v in (looked.versions if looked else ()) for one in v.files]
        found = {file_id(path): folder / path for path in listed}
        return {file_id(one.name): one for one in self._sheets_before(test)} | found

    def _sheets_before(self, test: Shelved) -> list[Path]:
        """Return the answer sheets that were written without a track."""
        folder = self._room.shelf.out / f"{test.name}{_ALONE}"
        found = sorted(folder.rglob("answer-sheet_*.pdf"))
        return [one for one in found if not one.is_symlink()]


def _choices(form: Form) -> Choices:
    """Return what a form asks for.

    Raises
    ------
    OutputError
        If it asks for no version, no format, or one that there is not.
    """
    formats, videos = form.all("format"), form.all("video")
    if not form.all("version"):
        raise OutputError("no version is chosen", "go back and choose one")
    if not formats or set(formats) - set(_FORMATS) or set(videos) - set(_VIDEOS):
        raise OutputError("no kind of sound file is chosen", "go back and choose one, as MP3")
    return Choices(
        form.all("version"),
        formats,
        videos,
        is_inline=form.has("inline"),
        splits=form.has("splits"),
        text_papers=form.has("text_papers"),
        mark_scheme=form.has("mark_scheme"),
    )


def _group(version: Version) -> dict[str, object]:
    """Return the files of a version by whom they are for."""
    return {"label": version.label, "state": version.state, "places": list(_places(version))}


def _places(version: Version) -> Iterator[tuple[str, list[tuple[str, str, str]]]]:
    for place, head in PLACES.items():
        files = [
            (file_id(one.path), KINDS.get(one.kind, one.kind), one.path.rpartition("/")[2])
            for one in version.files
            if one.place == place
        ]
        if files:
            yield head, files
