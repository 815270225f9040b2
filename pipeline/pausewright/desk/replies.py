"""Answers of the desk: its own pages, and files that were delivered, with policies of their own."""

from __future__ import annotations

import asyncio
import re
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from starlette.concurrency import iterate_in_threadpool
from starlette.responses import HTMLResponse, Response, StreamingResponse

from pausewright.pages.page import STYLE, page, page_part
from pausewright.pages.strip import STRIP_STYLE

if TYPE_CHECKING:
    import io
    from collections.abc import AsyncIterator, Callable, Iterator

_PACKAGE: Final = "pausewright.desk"
_READ_BYTES: Final = 1 << 18
_LOOK_S: Final = 0.05
"""Between two looks at a file that grows."""
_RANGE: Final = re.compile(r"bytes=(\d{0,15})-(\d{0,15})")

DELIVERED_PAGE: Final = (
    "sandbox allow-scripts allow-modals; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
"""Of pages that a build or a check wrote: what they may load they say themselves, and they reach
nothing of the desk."""
PAPER: Final = (
    "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"
)
"""Of PDF files, which the browser's own viewer shows (it brings a style of its own)."""
TYPES: Final = {
    ".html": "text/html; charset=utf-8",
    ".pdf": "application/pdf",
    ".mp3": "audio/mpeg",
    ".wav": "audio/wav",
    ".flac": "audio/flac",
    ".m4a": "audio/mp4",
    ".mp4": "video/mp4",
}
"""What a browser shows or plays itself; all else is text or is saved."""
_TEXTS: Final = frozenset({".txt", ".vtt", ".srt", ".json", ".csv", ".md", ".yaml"})


def shown(name: str, status: int = 200, **values: object) -> HTMLResponse:
    """Return a page of the desk; every value is shown as text."""
    return HTMLResponse(page(_PACKAGE, name, code="", **values), status)


def plain_page(status: int, sentence: str) -> HTMLResponse:
    """Return a page that says one thing and offers nothing."""
    return shown("plain.html", status, sentence=sentence, moves_to="")


def moving_page(to: str) -> HTMLResponse:
    """Return a page that moves on by itself: a redirect would arrive without a strict cookie."""
    return shown("plain.html", sentence="The desk opens.", moves_to=to)


def style() -> Response:
    """Return the style of all pages: that of the reports first."""
    return Response(
        page_part(_PACKAGE, STYLE, STRIP_STYLE, "desk.css", "words.css", "day.css"),
        media_type="text/css",
    )


def script() -> Response:
    """Return the script of all pages; each of them works without it."""
    text = page_part(_PACKAGE, "desk.js", "words.js", "player.js")
    return Response(text, media_type="text/javascript")


def delivered(file: io.BufferedReader, name: str, asked_range: str = "") -> Response:
    """Return a file that was delivered; `file` is closed when it was sent.

    Parameters
    ----------
    file : opened, from its beginning
    name : under which it is saved
    asked_range : the request's `Range`, of which one stretch is given (RFC 9110, 14.2)
    """
    ending = f".{name.rpartition('.')[2].lower()}"
    n_bytes = file.seek(0, 2)
    first, last, status = _stretch(asked_range, n_bytes)
    if status == 416:
        file.close()
        return Response(status_code=416, headers={"content-range": f"bytes */{n_bytes}"})
    is_text = ending in _TEXTS
    kind = TYPES.get(ending, "text/plain; charset=utf-8" if is_text else "application/octet-stream")
    how = "inline" if ending in TYPES or is_text else "attachment"
    headers = {
        "content-type": kind,
        "content-length": str(last - first),
        "content-disposition": f"{how}; filename*=UTF-8''{quote(name, safe='')}",
        "accept-ranges": "bytes",
        "content-security-policy": PAPER if ending == ".pdf" else DELIVERED_PAGE,
        "referrer-policy": "no-referrer",
    }
    if status == 206:
        headers["content-range"] = f"bytes {first}-{last - 1}/{n_bytes}"
    return StreamingResponse(
        iterate_in_threadpool(_parts(file, first, last)), status, headers=headers
    )


def growing_sound(
    open_file: Callable[[], io.BufferedReader], is_growing: Callable[[], bool]
) -> Response:
    """Return a WAV file that is still written to, sent as it grows.

    Parameters
    ----------
    open_file : opens it; what is opened ends where the file ends then, so it is opened again
    is_growing : whether something may still come
    """
    headers = {
        "content-type": TYPES[".wav"],
        "accept-ranges": "none",
        "content-security-policy": DELIVERED_PAGE,
        "referrer-policy": "no-referrer",
    }
    return StreamingResponse(_growing_parts(open_file, is_growing), headers=headers)


async def _growing_parts(
    open_file: Callable[[], io.BufferedReader], is_growing: Callable[[], bool]
) -> AsyncIterator[bytes]:
    at = 0
    while True:
        may_come = is_growing()  # asked first: what was written before its end is read
        part = await asyncio.to_thread(_part, open_file, at)
        at += len(part)
        if part:
            yield part
        elif may_come:
            await asyncio.sleep(_LOOK_S)
        else:
            return


def _part(open_file: Callable[[], io.BufferedReader], first: int) -> bytes:
    with open_file() as file:
        file.seek(first)
        return file.read(_READ_BYTES)


def _stretch(asked: str, n_bytes: int) -> tuple[int, int, int]:
    """Return the first byte, the one after the last, and the status."""
    found = _RANGE.fullmatch(asked)
    if found is None or not (found[1] or found[2]):
        return 0, n_bytes, 200
    if not found[1]:
        return max(0, n_bytes - int(found[2])), n_bytes, 206 if int(found[2]) else 416
    first = int(found[1])
    last = min(n_bytes, int(found[2]) + 1) if found[2] else n_bytes
    return first, last, 206 if first < last else 416


def _parts(file: io.BufferedReader, first: int, last: int) -> Iterator[bytes]:
    with file:
        file.seek(first)
        while first < last and (part := file.read(min(_READ_BYTES, last - first))):
            first += len(part)
            yield part
