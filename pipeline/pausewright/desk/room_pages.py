"""The page of rooms and sticks: who sits where, what goes where, sticks written and read back."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import TYPE_CHECKING, Final

from starlette.routing import Route

from pausewright.deliver.needs_list import COLUMNS
from pausewright.deliver.needs_table import (
    MOST_ROWS,
    NeedsRow,
    NeedsTable,
    needs_file,
    read_table,
    take_list,
    write_table,
)
from pausewright.deliver.output_folder import slug
from pausewright.desk.day_messages import (
    LayOut,
    LookAtRooms,
    Pack,
    ReadStick,
    WriteStick,
)
from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.messages import Refused, RoomsLooked
from pausewright.desk.sent import sent_form
from pausewright.desk.shelf import file_id
from pausewright.desk.text_pages import READING_S
from pausewright.desk.uploads import plain_name
from pausewright.problems import OutputError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.day_messages import Laid
    from pausewright.desk.frame import Form, Frame
    from pausewright.desk.messages import Looked
    from pausewright.desk.shelf import Shelved

_NEW_ROWS: Final = 5
_YES: Final = frozenset({"yes", "y", "true", "1", "x"})


class RoomPages:
    """Answers about rooms and sticks."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of these pages."""
        test = "/test/{test_id}/rooms"
        return [
            Route(test, self.rooms),
            Route(f"{test}/list", self.save_list, methods=["POST"]),
            Route(f"{test}/upload", self.upload, methods=["POST"]),
            Route(f"{test}/lay", self.lay_out, methods=["POST"]),
            Route(f"{test}/stick", self.write, methods=["POST"]),
            Route(f"{test}/read", self.read, methods=["POST"]),
            Route(f"{test}/pack", self.pack, methods=["POST"]),
        ]

    async def rooms(self, request: Request) -> Response:
        """Show who sits where, what is laid out, and sticks."""
        test = self._frame.test(request)
        return await self._show(test)

    async def _show(self, test: Shelved, message: str = "", status: int = 200) -> Response:
        read = self._room.known(test) or await self._room.looked(test, READING_S)
        table = NeedsTable((), "")
        try:
            table = await asyncio.to_thread(read_table, needs_file(test.script))
        except OutputError as error:
            message = message or f"{error.message}: {error.hint}"
        found = await self._looked_at(test, read)
        looked = await self._room.looked(test, 0)
        rooms = found if isinstance(found, RoomsLooked) else None
        refused = found if isinstance(found, Refused) else None
        laid = rooms.laid if rooms else ()
        is_old = read is not None and any(one.edition != read.edition for one in laid)
        return self._frame.of_test(
            "rooms.html",
            test,
            looked,
            status,
            page_of="rooms",
            message=one_line(message),
            refused=refused,
            rows=_rows(table),
            mark=table.mark,
            list_name=one_line(needs_file(test.script).name),
            rooms=rooms,
            declared=read.arrangements if read else (),
            edition=read.edition if read else "",
            players=_players(laid),
            is_old=is_old,
            next_step=_next(looked, rooms, has_list=bool(table.rows), is_old=is_old),
            columns=_HEADS,
        )

    async def _looked_at(self, test: Shelved, read: Looked | None) -> object:
        """Return what is laid out, or why nothing can be; None while the test is being read."""
        if read is None:
            return None
        if not read.edition:
            own = read.problems[0].message if read.problems else "the script cannot be read"
            return Refused(own, "", read.problems)
        rooms = self._room.shelf.rooms_of(test)
        ask = LookAtRooms(str(needs_file(test.script)), str(rooms), read.arrangements)
        return await self._room.ask(ask)

    async def save_list(self, request: Request) -> Response:
        """Save the table."""
        test = self._frame.test(request)
        form = await form_of(request, (len(COLUMNS) + 1) * (MOST_ROWS + _NEW_ROWS) + 10)
        file = needs_file(test.script)
        try:
            rows = _sent_rows(form)
            await asyncio.to_thread(write_table, file, rows, form.one("mark"))
        except OutputError as error:
            return await self._show(test, f"{error.message}: {error.hint}", 409)
        return moved(f"/test/{test.id}/rooms")

    async def upload(self, request: Request) -> Response:
        """Take a list from a spreadsheet."""
        test = self._frame.test(request)
        form, files = await sent_form(request, self._room)
        try:
            if "list" not in files:
                raise OutputError("no file is chosen", "choose one first")
            take_list(needs_file(test.script), files["list"], in_place=form.has("in_place"))
        except OutputError as error:
            return await self._show(test, f"{error.message}: {error.hint}", 409)
        finally:
            for one in files.values():
                one.unlink(missing_ok=True)
        return moved(f"/test/{test.id}/rooms")

    async def lay_out(self, request: Request) -> Response:
        """Lay out the rooms."""
        test = self._frame.test(request)
        form = await form_of(request)
        ask = LayOut(
            str(test.script),
            str(needs_file(test.script)),
            str(self._room.shelf.out),
            str(self._room.shelf.rooms_of(test)),
            form.one("start").strip(),
        )
        return self._begin("rooms", test, ask, "Write the sticks")

    async def write(self, request: Request) -> Response:
        """Write a folder to a stick."""
        test = self._frame.test(request)
        form = await form_of(request)
        source = await self._laid(test, form.one("what"))
        ask = WriteStick(str(source), str(_stick(form)), replace=form.has("replace"))
        return self._begin("stick", test, ask, "The next stick")

    async def read(self, request: Request) -> Response:
        """Read a stick back."""
        test = self._frame.test(request)
        form = await form_of(request)
        ask = ReadStick(str(self._room.shelf.rooms_of(test)), str(_stick(form)))
        return self._begin("read", test, ask, "The next stick")

    async def pack(self, request: Request) -> Response:
        """Pack a room into the folder of the tests."""
        test = self._frame.test(request)
        form = await form_of(request)
        source = await self._laid(test, form.one("what"))
        name = plain_name(form.one("as") or f"{test.name}_{slug(source.name)}.zip")
        ask = Pack(str(source), str(self._room.shelf.folder / name), form.one("password"))
        return self._begin("pack", test, ask, "Back to rooms and sticks")

    async def _laid(self, test: Shelved, key: str) -> Path:
        """Return a laid-out folder by its id.

        Raises
        ------
        OutputError
            If it is no longer there.
        """
        found = await self._looked_at(test, await self._room.looked(test, READING_S))
        laid = found.laid if isinstance(found, RoomsLooked) else ()
        for one in laid:
            if file_id(one.path) == key:
                return self._room.shelf.rooms_of(test) / one.path
        raise OutputError("this is no longer laid out", "go back and choose again")

    def _begin(
        self, kind: str, test: Shelved, ask: LayOut | WriteStick | ReadStick | Pack, words: str
    ) -> Response:
        onwards = ((f"/test/{test.id}/rooms#sticks", words),)
        return moved(f"/job/{self._room.jobs.begin(Job(kind, test.id, ask, None, onwards)).id}")


_HEADS: Final = {
    "candidate": "Candidate's code",
    "arrangement": "Version",
    "room": "Room",
    "headphones": "Headphones",
    "reader": "Reader",
}


def _stick(form: Form) -> Path:
    """Return the folder that is chosen, or else written.

    Raises
    ------
    OutputError
        If neither is, or it is no whole path.
    """
    given = form.one("other").strip() or form.one("stick")
    if not given:
        raise OutputError("no stick is chosen", "choose one, or write its folder")
    path = Path(given)
    if "\0" in given or not path.is_absolute():
        raise OutputError(f"‘{one_line(given)}’ is no whole path", "write it from its beginning on")
    return path


def _rows(table: NeedsTable) -> list[dict[str, str]]:
    """Return the rows of the form, with some new ones."""
    rows = [{"at": str(one.at), **one.cells} for one in table.rows]
    for one in rows:
        one["headphones"] = "yes" if one["headphones"].lower() in _YES else one["headphones"]
    new = {"at": "-1", **dict.fromkeys(COLUMNS, "")}
    return rows + [dict(new) for _ in range(_NEW_ROWS)]


def _sent_rows(form: Form) -> list[NeedsRow]:
    """Return the rows that a form sent.

    Raises
    ------
    OutputError
        If they are more than a table takes, or do not fit together.
    """
    places = form.all("at")
    columns = {name: form.all(name) for name in COLUMNS}
    if any(len(cells) != len(places) for cells in columns.values()):
        raise OutputError("the table came damaged", "go back and save it again")
    if len(places) > MOST_ROWS + _NEW_ROWS:
        raise OutputError(
            f"a list of more than {MOST_ROWS} rows is changed in a spreadsheet", "hand it in as CSV"
        )
    rows = []
    for n, place in enumerate(places):
        cells = {name: " ".join(columns[name][n].split()) for name in COLUMNS}
        if not (cells["candidate"] or cells["room"] or cells["reader"]):
            continue  # a row in which only what is chosen beforehand stands
        rows.append(NeedsRow(int(place) if place.isdigit() else -1, cells))
    return rows


def _players(laid: tuple[Laid, ...]) -> list[dict[str, object]]:
    """Return what goes where: each room, with its players."""
    rooms: dict[str, dict[str, object]] = {}
    for one in laid:
        row = {
            "key": file_id(one.path),
            "name": f"player {one.player}" if one.player else "the whole room",
            "versions": ", ".join(one.labels),
            "how": "loudspeaker" if one.by_loudspeaker else "headphones",
            "edition": one.edition,
            "megabytes": f"{one.n_bytes / 1e6:.1f}",
        }
        if not one.player:
            rooms[one.room] = {**row, "room": one.room, "players": []}
        else:
            players = rooms[one.room]["players"] if one.room in rooms else []
            if isinstance(players, list):
                players.append(row)
    return list(rooms.values())


def _next(looked: Looked | None, rooms: RoomsLooked | None, *, has_list: bool, is_old: bool) -> str:
    """Return which part of the page comes next."""
    if looked is None or rooms is None:
        return ""
    if not has_list or rooms.n_errors:
        return "list"
    if rooms.laid and not is_old:
        return "sticks"
    return "rooms" if any(one.files for one in looked.versions) else "make"
