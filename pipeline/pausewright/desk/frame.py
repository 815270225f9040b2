"""What pages of the desk are made with: the frame around each, forms, tests by their ids."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from urllib.parse import parse_qsl

from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse

from pausewright.desk import replies
from pausewright.desk.sentences import HEADINGS
from pausewright.problems import OutputError
from pausewright.shown_text import harmless

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.messages import Looked
    from pausewright.desk.room import Room
    from pausewright.desk.shelf import Shelved

_MOST_FIELDS: Final = 400
_FORM: Final = "application/x-www-form-urlencoded"


class Form:
    """The fields that a form sent."""

    def __init__(self, rows: list[tuple[str, str]]) -> None:
        """Take names and values in their order."""
        self._rows = rows

    def one(self, name: str) -> str:
        """Return the first value of a field; "" if there is none."""
        return next((value for key, value in self._rows if key == name), "")

    def all(self, name: str) -> tuple[str, ...]:
        """Return all values of a field."""
        return tuple(value for key, value in self._rows if key == name)

    def fields(self) -> dict[str, str]:
        """Return all fields, of those of one name the first."""
        return dict(reversed(self._rows))

    def has(self, name: str) -> bool:
        """Return whether a box is ticked."""
        return any(key == name for key, _ in self._rows)


async def form_of(request: Request, most_fields: int = _MOST_FIELDS) -> Form:
    """Return the fields of a form.

    Raises
    ------
    OutputError
        If it is none, or has too many fields.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip() != _FORM:
        raise OutputError("this is no form of the desk", "go back and try it again")
    try:
        body = (await request.body()).decode("utf-8")
        rows = parse_qsl(body, keep_blank_values=True, max_num_fields=most_fields)
    except ValueError as error:
        raise OutputError("the form came damaged", "go back and try it again") from error
    return Form(rows)


def moved(address: str) -> RedirectResponse:
    """Return an answer that leads to a page after something was done."""
    return RedirectResponse(address, 303)


class Frame:
    """Shows pages in the frame of the desk."""

    def __init__(self, room: Room) -> None:
        """Take what all pages share."""
        self.room = room

    def show(self, name: str, status: int = 200, *, here: str = "", **values: object) -> Response:
        """Return a page; `here` is the address that its navigation marks."""
        running = self.room.jobs.heavy
        busy = None
        if running is not None and running.state == "running":
            test = self.room.shelf.test(running.test) if running.test else None
            whose = f" ({test.name})" if test else ""
            busy = {"id": running.id, "words": f"{HEADINGS[running.kind][0]}{whose}."}
        values = {"shown_job": "", **values}
        folder = harmless(str(self.room.shelf.folder))
        return replies.shown(name, status, here=here, busy=busy, folder=folder, **values)

    def test(self, request: Request) -> Shelved:
        """Return the test that an address names.

        Raises
        ------
        HTTPException
            404, if the folder holds none with this id.
        """
        found = self.room.shelf.test(request.path_params["test_id"])
        if found is None:
            raise HTTPException(404, "This test is no longer in the folder, or has another name.")
        return found

    def of_test(
        self,
        name: str,
        test: Shelved,
        looked: Looked | None,
        status: int = 200,
        *,
        page_of: str,
        **values: object,
    ) -> Response:
        """Return a page of one test."""
        return self.show(
            name,
            status,
            here="/",
            test_id=test.id,
            title=self.room.title(test, looked),
            looked=looked,
            page_of=page_of,
            **values,
        )
