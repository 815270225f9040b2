"""The pages `More`: a form for each command that has no better place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from starlette.exceptions import HTTPException
from starlette.routing import Route

from pausewright.desk.day_messages import Run
from pausewright.desk.forms import FORMS, SEASON
from pausewright.desk.frame import moved
from pausewright.desk.jobs import Job
from pausewright.desk.sent import sent_form
from pausewright.desk.uploads import plain_name
from pausewright.files.writing import put_new, unwritable
from pausewright.problems import OutputError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.forms import CommandForm, Field
    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.shelf import Shelved

_WAIT_S: Final = 0.1


class MorePages:
    """Answers of forms."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of these pages."""
        return [
            Route("/more", self.of_folder),
            Route("/more/{key}", self.run, methods=["POST"]),
            Route("/test/{test_id}/more", self.of_test),
            Route("/test/{test_id}/more/{key}", self.run, methods=["POST"]),
        ]

    async def of_folder(self, request: Request) -> Response:
        """Show the forms of the whole folder."""
        del request
        forms = [
            one for one in FORMS.values() if not one.of_test and not one.follows and not one.page
        ]
        return self._frame.show(
            "more.html",
            here="/more",
            forms=forms,
            action="/more",
            versions=(),
            choices=self._choices(forms),
            own=[],
        )

    async def of_test(self, request: Request) -> Response:
        """Show the forms of one test."""
        test = self._frame.test(request)
        looked = await self._room.looked(test, _WAIT_S)
        forms = [one for one in FORMS.values() if one.of_test and not one.follows]
        own = [
            (key, one_line(file.name))
            for key, file in self._room.shelf.own_files(test).items()
            if file.parent != self._room.shelf.day_of(test)
        ]
        return self._frame.of_test(
            "more_of_test.html",
            test,
            looked,
            page_of="more",
            forms=forms,
            action=f"/test/{test.id}/more",
            versions=[(one.label, one.name) for one in looked.versions] if looked else [],
            choices=self._choices(forms),
            own=own,
        )

    def _choices(self, forms: list[CommandForm]) -> dict[str, list[tuple[str, str]]]:
        """Return which files of the folder can be chosen, by the endings of a field."""
        found: dict[str, list[tuple[str, str]]] = {}
        shelf = self._room.shelf
        for field in (field for one in forms for field in one.fields if field.endings):
            key = " ".join(field.endings)
            if key not in found:
                files = shelf.files(field.endings)
                found[key] = [(own, one_line(shelf.named(file))) for own, file in files.items()]
        return found

    async def run(self, request: Request) -> Response:
        """Do what a form asks for."""
        form = FORMS.get(request.path_params["key"])
        is_of_test = "test_id" in request.path_params
        if form is None or form.of_test != is_of_test:
            raise HTTPException(404, "There is no such page.")
        test = self._frame.test(request) if is_of_test else None
        sent, handed_in = await sent_form(request, self._room)
        shelf = self._room.shelf
        names = {field.name for field in form.fields} | {"about"}
        ask = Run(
            form.key,
            str(test.script) if test else "",
            str(shelf.folder),
            str(shelf.out),
            {name: sent.all(name) for name in sorted(names) if sent.has(name)},
            {
                field.name: str(file)
                for field in form.fields
                if (file := self._file(field, sent, handed_in)) is not None
            },
        )
        job = Job("run", test.id if test else "", ask, None, _onwards(test, form))
        jobs = self._room.jobs
        begun = jobs.begin_sound(job) if form.is_short else jobs.begin(job)
        return moved(f"/job/{begun.id}")

    def _file(self, field: Field, sent: Form, handed_in: Mapping[str, Path]) -> Path | None:
        """Return the file of a field: handed in, or chosen in the folder; None for none.

        Raises
        ------
        OutputError
            If it is not there any more, or a file that is to be kept has a name that is taken.
        """
        if field.kind not in {"file", "kept"}:
            return None
        given = handed_in.get(field.name)
        if given is not None:
            return self._kept(given) if field.kind == "kept" else given
        key = sent.one(f"{field.name}-here")
        if not key:
            return None
        found = self._room.shelf.files(field.endings).get(key)
        if found is None:
            raise OutputError("this file is no longer in the folder", "go back and choose again")
        return found

    def _kept(self, given: Path) -> Path:
        """Give a file that was handed in its place in the folder."""
        place = self._room.shelf.folder / plain_name(given.name)
        try:
            put_new(given, place)
            given.unlink(missing_ok=True)
        except FileExistsError:
            raise OutputError(
                f"‘{place.name}’ is in the folder already and was left as it is",
                "choose it there, or give yours another name",
            ) from None
        except OSError as error:
            raise unwritable(place, error, "choose a folder that you may write to") from error
        return place


def _onwards(test: Shelved | None, form: CommandForm) -> tuple[tuple[str, str], ...]:
    if form.page == SEASON:
        return ((SEASON, "To all tests"),)
    return ((f"/test/{test.id}/more" if test else "/more", "Back to More"),)
