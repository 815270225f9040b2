"""The desk's beginning and end: one desk a folder, a local socket, a page that lets in."""

from __future__ import annotations

import contextlib
import http.client
import logging
import os
import re
import socket
import sys
import webbrowser
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import uvicorn

from pausewright.desk.app import IDLE_S, desk_app
from pausewright.desk.guard import OPEN, Door
from pausewright.desk.room import Room
from pausewright.desk.shelf import ROOMS
from pausewright.files.claim import ClaimedError, claimed
from pausewright.files.leftovers import leftovers, remove_leftovers
from pausewright.files.writing import unwritable, write_file
from pausewright.intake.file_kinds import VOICE_PROFILE
from pausewright.intake.plain_file import file_text, resolved
from pausewright.offline import loopback_allowed
from pausewright.problems import OutputError, PausewrightError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

Found: TypeAlias = Literal["new", "open"]

LAUNCH: Final = "pausewright-desk.html"
"""In the folder of the tests while the desk is open, for its owner only: the page that lets a
browser in. It does not begin with a dot, and lies where the tests do, as browsers that run in
confinement open nothing else."""
_HOST: Final = "127.0.0.1"
_PAGE: Final = """\
<!DOCTYPE html>
<html lang="en-GB"><head><meta charset="utf-8"><meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0; url={address}"><title>Desk</title></head>
<body><p><a href="{address}">Open the desk</a></p></body></html>
"""
_ADDRESS: Final = re.compile(rf"http://{re.escape(_HOST)}:(\d{{2,5}}){OPEN}\?key=([\w-]{{40,60}})")
_PATIENCE_S: Final = 3.0


def open_desk(
    folder: Path,
    *,
    opens_browser: bool = True,
    idle_s: float = IDLE_S,
    told: Callable[[Path, Found], None] = lambda _page, _found: None,
) -> None:
    """Open the desk of a folder, and return when it has ended.

    Where one is open on the folder already, its page is opened instead. `told` is called with the
    page that lets a browser in, and whether the desk is new or was open.

    Raises
    ------
    OutputError
        If the folder is none, cannot be written, or another machine or account has a desk on it.
    """
    folder = resolved(folder)
    if not folder.is_dir():
        raise OutputError(f"‘{folder}’ is no folder", "name the folder that your tests lie in")
    launch = folder / LAUNCH
    try:
        with claimed(folder / "desk", 0):
            _serve(folder, launch, idle_s, opens_browser=opens_browser, told=told)
    except ClaimedError as busy:
        if not _is_open(launch):
            raise OutputError(
                "another machine or account has a desk open on this folder, or another command "
                "is starting one",
                "end it there first: two desks on one folder would take work from each other",
            ) from busy
        told(launch, "open")
        if opens_browser:
            webbrowser.open(launch.as_uri())
    except OSError as error:
        raise unwritable(folder, error, "choose a folder that you may write to") from error


def _serve(
    folder: Path,
    launch: Path,
    idle_s: float,
    *,
    opens_browser: bool,
    told: Callable[[Path, Found], None],
) -> None:
    logging.getLogger("uvicorn").disabled = True  # it quotes what pages say
    logging.getLogger("uvicorn.error").disabled = True
    room = Room(folder)
    room.clear()
    with contextlib.suppress(PausewrightError, OSError):
        found = leftovers((folder, room.shelf.out, folder / ROOMS))
        remove_leftovers(one for one in found if one.kind == "stage" and not one.note)
    with loopback_allowed(), _listening() as listening:
        port = listening.getsockname()[1]
        door = Door(port, lambda key: _write_launch(launch, port, key))
        config = uvicorn.Config(
            desk_app(room, door, lambda: _end(server), idle_s),
            loop="asyncio",
            http="h11",
            ws="none",
            lifespan="on",
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            timeout_graceful_shutdown=2,
        )
        server = uvicorn.Server(config)
        try:
            told(launch, "new")
            if opens_browser:
                webbrowser.open(launch.as_uri())
            with contextlib.suppress(KeyboardInterrupt):
                server.run(sockets=[listening])
        finally:
            room.end()
            with contextlib.suppress(OSError):
                launch.unlink(missing_ok=True)


def _end(server: uvicorn.Server) -> None:
    server.should_exit = True


def _listening() -> socket.socket:
    """Return a socket on which only this machine can reach us, at a port that the system chose."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        exclusive = getattr(socket, "SO_EXCLUSIVEADDRUSE", None)
        if exclusive is not None:  # Windows lets others take a port that is not held so
            listening.setsockopt(socket.SOL_SOCKET, exclusive, 1)
        listening.bind((_HOST, 0))
        listening.listen(128)
    except BaseException:
        listening.close()
        raise
    return listening


def _write_launch(launch: Path, port: int, key: str) -> None:
    address = f"http://{_HOST}:{port}{OPEN}?key={key}"
    write_file(launch, _PAGE.format(address=address), private=True)


def _is_open(launch: Path) -> bool:
    """Return whether a page is the one of a desk of ours that answers."""
    try:
        text = file_text(launch, VOICE_PROFILE, launch.parent)
        is_own = sys.platform == "win32" or launch.lstat().st_uid == os.geteuid()
    except (PausewrightError, OSError):
        return False
    found = _ADDRESS.search(text)
    if found is None or not is_own or text != _PAGE.format(address=found[0]):
        return False
    connection = http.client.HTTPConnection(_HOST, int(found[1]), timeout=_PATIENCE_S)
    try:
        with loopback_allowed():
            connection.sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
            connection.sock.settimeout(_PATIENCE_S)
            connection.sock.connect((_HOST, int(found[1])))
            connection.request("GET", "/desk.css")
            return connection.getresponse().status == 200
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()
