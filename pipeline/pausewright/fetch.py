"""Fetching a file from the network: the one module that connects, when a person adds a voice.

A file comes to a part beside its place (`NAME.part`), in pieces, and gets its name only when its
size and its hash are the ones that were stated before. What broke off is gone on with at the next
call; whether its beginning is right is known at the end by the hash. Nothing is asked of a server
but the file, and nothing of the machine is told but the name of this program.
"""

from __future__ import annotations

import contextlib
import hashlib
import http.client
import time
import urllib.error
import urllib.parse
import urllib.request
from typing import TYPE_CHECKING, Final, Literal, Protocol

from pausewright.files.writing import put
from pausewright.frozen import frozen
from pausewright.offline import connections_allowed
from pausewright.problems import VoiceError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

SILENT_S: Final = 20.0
"""A server that says nothing for so long is given up."""
SLOWEST_BYTES_PER_S: Final = 2_000
"""A server that is slower than this over `SILENT_S` is given up: some trickle for ever."""
PIECE_BYTES: Final = 2**16
MOST_REDIRECTS: Final = 5
OWN_NAME: Final = "pausewright"
AGAIN: Final = "call the command again: it goes on where it broke off"


@frozen
class Wanted:
    """A file as its publisher states it."""

    address: str
    n_bytes: int
    """Its size; `most` for a file whose size nobody states."""
    hash_name: Literal["sha256", "md5", ""]
    """Empty for a file that nobody states a hash of."""
    digest: str
    is_most: bool = False
    """Whether the file may be shorter."""


class _Answer(Protocol):
    """What a server sends."""

    status: int

    def read(self, n_bytes: int, /) -> bytes: ...
    def getheader(self, name: str, /) -> str | None: ...


class _Redirects(urllib.request.HTTPRedirectHandler):
    """Goes where a server says, but never from a sealed connection to an open one."""

    max_redirections = MOST_REDIRECTS

    def redirect_request(
        self,
        req: urllib.request.Request,
        fp: object,
        code: int,
        msg: str,
        headers: object,
        newurl: str,
    ) -> urllib.request.Request | None:
        """Return the next request; raise URLError if the address must not be followed."""
        scheme = urllib.parse.urlsplit(newurl).scheme
        if scheme != "https" and scheme != urllib.parse.urlsplit(req.full_url).scheme:
            raise urllib.error.URLError(f"it leads to {scheme}, which is not sealed")
        return super().redirect_request(req, fp, code, msg, headers, newurl)  # type: ignore[arg-type]


def fetched(
    wanted: Wanted, file: Path, progress: Callable[[int, int], None] = lambda _done, _all: None
) -> None:
    """Fetch a file; it appears under its name only if it is the wanted one.

    `progress` is called with bytes that are there and in all.

    Raises
    ------
    VoiceError
        If it cannot be fetched, or is another file than the stated one.
    OSError
        If it cannot be written.
    """
    part = file.with_name(f"{file.name}.part")
    with connections_allowed():
        _fetch_rest(wanted, part, progress)
    n_bytes = part.stat().st_size
    if n_bytes != wanted.n_bytes and not wanted.is_most:
        raise VoiceError(
            f"{file.name} broke off after {n_bytes:,} of {wanted.n_bytes:,} bytes", AGAIN
        )
    if wanted.hash_name and _digest(part, wanted.hash_name) != wanted.digest:
        part.unlink()
        raise VoiceError(
            f"{file.name} is not the file that its publisher states (another {wanted.hash_name})",
            "nothing was kept; try again later, or tell the publisher",
        )
    put(part, file)


def _fetch_rest(wanted: Wanted, part: Path, progress: Callable[[int, int], None]) -> None:
    """Bring what is missing of a file to its part."""
    have = part.stat().st_size if part.is_file() else 0
    if have > wanted.n_bytes or wanted.is_most:
        part.unlink(missing_ok=True)
        have = 0
    if have == wanted.n_bytes:
        return
    host = urllib.parse.urlsplit(wanted.address).hostname
    opener = _opener()
    opener.addheaders = [("User-Agent", OWN_NAME), ("Accept-Encoding", "identity")]
    if have:
        opener.addheaders.append(("Range", f"bytes={have}-"))
    try:
        with contextlib.closing(opener.open(wanted.address, timeout=SILENT_S)) as answer:
            goes_on = answer.status == http.client.PARTIAL_CONTENT and (
                answer.getheader("Content-Range") or ""
            ).startswith(f"bytes {have}-")
            with part.open("ab" if goes_on else "wb") as opened:
                for piece in _pieces(answer, host):
                    if opened.tell() + len(piece) > wanted.n_bytes:
                        raise _TooLongError
                    opened.write(piece)
                    progress(opened.tell(), wanted.n_bytes)
    except _TooLongError:
        part.unlink()
        raise VoiceError(
            f"{host} sends more than the {wanted.n_bytes:,} bytes that {part.stem} has",
            "nothing was kept; try again later, or tell the publisher",
        ) from None
    except (
        urllib.error.URLError,
        http.client.HTTPException,
        TimeoutError,
        ConnectionError,
    ) as fault:
        raise VoiceError(
            f"{part.stem} cannot be fetched from {host} ({_why(fault)})", AGAIN
        ) from fault


def _opener() -> urllib.request.OpenerDirector:
    """Return what opens addresses of the web and nothing else; a school's proxy is used."""
    opener = urllib.request.OpenerDirector()
    for handler in (
        urllib.request.ProxyHandler(),
        urllib.request.HTTPHandler(),
        urllib.request.HTTPSHandler(),
        urllib.request.HTTPDefaultErrorHandler(),
        urllib.request.HTTPErrorProcessor(),
        _Redirects(),
    ):
        opener.add_handler(handler)
    return opener


class _TooLongError(Exception):
    """More comes than was stated."""


def _pieces(answer: _Answer, host: str | None) -> Iterator[bytes]:
    """Give what a server sends, as long as it comes fast enough."""
    since_s, n_bytes = time.monotonic(), 0
    while piece := answer.read(PIECE_BYTES):
        yield piece
        n_bytes += len(piece)
        took_s = time.monotonic() - since_s
        if took_s > SILENT_S:
            if n_bytes < SLOWEST_BYTES_PER_S * took_s:
                raise TimeoutError(f"{host} sends next to nothing")
            since_s, n_bytes = time.monotonic(), 0


def _why(fault: Exception) -> str:
    if isinstance(fault, urllib.error.HTTPError):
        return f"it answers {fault.code}"
    reason = getattr(fault, "reason", fault)
    return str(getattr(reason, "strerror", None) or reason or type(fault).__name__)


def _digest(file: Path, name: Literal["sha256", "md5"]) -> str:
    with file.open("rb") as opened:
        return hashlib.file_digest(
            opened, lambda: hashlib.new(name, usedforsecurity=False)
        ).hexdigest()
