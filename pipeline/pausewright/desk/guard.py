"""Who may speak to the desk: this machine's own browser that was let in, from our own pages only.

The rules are those of RFC 6265 (section 8: cookies ignore ports, so they prove little), of the
Fetch standard (`Origin`) and of the Fetch Metadata draft of the W3C (`Sec-Fetch-Site`).
"""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import time
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING, Final

from pausewright.desk.replies import plain_page

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

KEY_BYTES: Final = 32
"""256 bits, of the launch key and of a session."""
OPEN: Final = "/open"
"""The address that lets a browser in."""
MOST_FORM_BYTES: Final = 64_000_000
"""Of what a form sends: the largest script, each sign of it written as three."""
MOST_UPLOAD_BYTES: Final = 2_000_000_000
"""Of a file to be checked: three hours of WAV in two channels are 1.9 GB."""
STYLE: Final = "/desk.css"
"""Of the pages that refuse somebody too."""
UPLOAD: Final = "/check/upload"
LARGE: Final = frozenset({UPLOAD, "/more/draft"})
"""Addresses to which recordings and tracks are handed in."""
PATIENCE_S: Final = 20.0
"""Within these, and ten thousand bytes a second more, a request must have come."""
_BYTES_PER_S: Final = 10_000
_HOST: Final = "127.0.0.1"

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "media-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'; require-trusted-types-for 'script'"
)
"""Of every page of the desk; pages that were delivered bring their own (`replies`)."""
HEADERS: Final = {
    "content-security-policy": POLICY,
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
}
"""`same-origin`, as without a referrer a browser would not say where a form comes from."""


class Door:
    """The keys of a desk: one that lets a browser in, once, and those that were let in."""

    def __init__(self, port: int, new_key: Callable[[str], None] = lambda _: None) -> None:
        """Make the first launch key; `new_key` is told every key that is made."""
        self.port = port
        self.cookie = f"desk-{port}"
        self._new_key = new_key
        self._sessions: list[str] = []
        self._key = ""
        self._renew()

    @property
    def host(self) -> str:
        """What a request must have as its host."""
        return f"{_HOST}:{self.port}"

    @property
    def key(self) -> str:
        """The launch key that lets the next browser in."""
        return self._key

    def let_in(self, key: str) -> str | None:
        """Return a new session for the launch key, which is used up; None for any other."""
        if not secrets.compare_digest(key.encode("utf-8", "replace"), self._key.encode()):
            return None
        self._renew()
        session = secrets.token_urlsafe(KEY_BYTES)
        self._sessions.append(session)
        return session

    def knows(self, session: str) -> bool:
        """Return whether a browser was let in with this session."""
        given = session.encode("utf-8", "replace")
        return any(secrets.compare_digest(given, one.encode()) for one in self._sessions)

    def _renew(self) -> None:
        self._key = secrets.token_urlsafe(KEY_BYTES)
        self._new_key(self._key)


class TooMuchError(Exception):
    """More came than is taken, or too slowly: a status and a sentence, which the app answers."""

    def __init__(self, status: int, sentence: str) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence


class Guard:
    """Lets requests through to the desk, or answers them itself."""

    def __init__(self, app: ASGIApp, door: Door, seen: Callable[[], None]) -> None:
        """Stand before `app`; `seen` is called for every request that is let through."""
        self._app = app
        self._door = door
        self._seen = seen

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Judge one request."""
        if scope["type"] != "http":
            return
        refused = self._refusal(scope)
        if refused is not None:
            await plain_page(*refused)(scope, receive, _with_headers(send))
            return
        self._seen()
        with contextlib.suppress(Exception):  # the app has told and reported it
            await self._app(scope, _bounded(scope, receive), _with_headers(send))

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        """Return status and sentence where a request is not let through."""
        headers = _Headers(scope)
        if headers.all("host") != [self._door.host]:
            return 421, "This address is not the desk's. Start the desk by its own launcher."
        method, path = scope["method"], scope["path"]
        if method not in {"GET", "HEAD", "POST"}:
            return 405, "The desk does not take this kind of request."
        site = headers.one("sec-fetch-site")
        if path in {OPEN, STYLE} and method == "GET":  # from the launcher's file: another site
            return None
        if not self._door.knows(_cookie(headers.one("cookie"), self._door.cookie)):
            return 403, (
                "This browser was not let in, or the desk was started again. Start the desk by its "
                "launcher, or run pausewright desk again: it opens the page that lets you in."
            )
        if site not in {"", "same-origin", "none"}:
            return 403, "Another page asked for this. Open the desk in a window of its own."
        if method == "POST":
            origins = headers.all("origin")
            is_own = origins == [f"http://{self._door.host}"]
            if not (is_own or (not origins and site == "same-origin")):
                return 403, "This did not come from a page of the desk, so it was not done."
        return self._size_refusal(headers, path)

    @staticmethod
    def _size_refusal(headers: _Headers, path: str) -> tuple[int, str] | None:
        length = headers.one("content-length")
        if not length:
            return None
        if not (length.isascii() and length.isdigit()):
            return 400, "The request does not say how long it is."
        return _too_large() if int(length) > _most_bytes(path) else None


class _Headers:
    """The headers of a request, by small names."""

    def __init__(self, scope: Scope) -> None:
        self._rows = [(k.decode("latin-1"), v.decode("latin-1")) for k, v in scope["headers"]]

    def all(self, name: str) -> list[str]:
        return [value for key, value in self._rows if key == name]

    def one(self, name: str) -> str:
        return ", ".join(self.all(name))


def _cookie(header: str, name: str) -> str:
    try:
        found = SimpleCookie(header).get(name)
    except CookieError:
        return ""
    return found.value if found is not None else ""


def _most_bytes(path: str) -> int:
    return MOST_UPLOAD_BYTES if path in LARGE else MOST_FORM_BYTES


def _too_large() -> tuple[int, str]:
    return 413, (
        f"The file is larger than {MOST_UPLOAD_BYTES // 1_000_000_000} GB, the most that the desk "
        "takes in. Put it into the folder of the tests: it can be chosen there."
    )


def _bounded(scope: Scope, receive: Receive) -> Receive:
    """Return what gives a request's body, no more of it and no slower than is taken."""
    most = _most_bytes(scope["path"])
    began_s = time.monotonic()
    n_bytes = 0
    is_whole = False

    async def bounded() -> Message:
        nonlocal n_bytes, is_whole
        if is_whole:  # what is waited for now is that somebody goes away
            return await receive()
        left_s = PATIENCE_S + n_bytes / _BYTES_PER_S - (time.monotonic() - began_s)
        try:
            message = await asyncio.wait_for(receive(), max(0.01, left_s))
        except TimeoutError:
            raise TooMuchError(408, "It took too long to come. Try it again.") from None
        n_bytes += len(message.get("body", b""))
        if n_bytes > most:
            raise TooMuchError(*_too_large())
        is_whole = not message.get("more_body", False)
        return message

    return bounded


def _with_headers(send: Send) -> Send:
    """Return what sends answers with the desk's headers, where they bring none of their own."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {key.lower() for key, _ in message["headers"]}
            added = [
                (key.encode(), value.encode())
                for key, value in HEADERS.items()
                if key.encode() not in own
            ]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return sending
