"""A desk in a process of its own, and a client that speaks to it without a browser.

The client is Python's own `http.client`; where a test sends what no client would, it writes bytes
to a socket.
"""

from __future__ import annotations

import contextlib
import http.client
import re
import signal
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

LAUNCH = "pausewright-desk.html"
PATIENCE_S = 120.0
FORM = "application/x-www-form-urlencoded"


@dataclass(frozen=True)
class Reply:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def text(self) -> str:
        """The body as text."""
        return self.body.decode("utf-8")


class Client:
    """A browser's part: it was let in, and sends what a browser sends."""

    def __init__(self, port: int, cookie: str) -> None:
        """Take the port and the cookie that letting in gave."""
        self.port = port
        self.cookie = cookie

    @property
    def origin(self) -> str:
        """The desk's own."""
        return f"http://127.0.0.1:{self.port}"

    def own(self) -> dict[str, str]:
        """Return the headers of a request from a page of the desk."""
        return {
            "Host": f"127.0.0.1:{self.port}",
            "Cookie": self.cookie,
            "Origin": self.origin,
            "Sec-Fetch-Site": "same-origin",
        }

    def ask(
        self, method: str, path: str, body: bytes = b"", headers: Mapping[str, str] | None = None
    ) -> Reply:
        """Send a request with exactly these headers (a page's own without them)."""
        return ask(self.port, method, path, body, self.own() if headers is None else headers)

    def get(self, path: str, **headers: str) -> Reply:
        """Get a page, with more headers."""
        own = self.own() | {name.replace("_", "-"): value for name, value in headers.items()}
        del own["Origin"]
        return ask(self.port, "GET", path, b"", own)

    def post(self, path: str, fields: Mapping[str, str] | Sequence[tuple[str, str]] = ()) -> Reply:
        """Send a form; a redirect is followed."""
        body = urlencode(fields).encode()
        reply = self.ask("POST", path, body, self.own() | {"Content-Type": FORM})
        if reply.status != 303:
            return reply
        return self.get(reply.headers["location"].partition("#")[0])  # a browser keeps the rest

    def read(self, path: str) -> str:
        """Get a page when nothing on it is still being read."""
        until_s = time.monotonic() + PATIENCE_S
        while "data-reload" in (text := self.get(path).text):
            assert time.monotonic() < until_s
            time.sleep(0.2)
        return text

    def done(self, path: str, fields: Mapping[str, str] | Sequence[tuple[str, str]] = ()) -> str:
        """Send a form that begins a job, and return the page of what came of it."""
        return self.get(self.started(path, fields)).text

    def started(self, path: str, fields: Mapping[str, str] | Sequence[tuple[str, str]] = ()) -> str:
        """Send a form that begins a job, wait for its end, and return the job's address."""
        body = urlencode(fields).encode()
        reply = self.ask("POST", path, body, self.own() | {"Content-Type": FORM})
        assert reply.status == 303, reply.text
        until_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < until_s:
            if "<progress" not in self.get(reply.headers["location"]).text:
                return reply.headers["location"]
            time.sleep(0.2)
        raise AssertionError(f"it did not end: {path}")

    def waited(self, path: str, pattern: str) -> str:
        """Get a page again and again until it shows what is waited for."""
        until_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < until_s:
            text = self.get(path).text
            if re.search(pattern, text):
                return text
            time.sleep(0.2)
        raise AssertionError(f"{pattern} did not appear in: {text}")


def ask(port: int, method: str, path: str, body: bytes, headers: Mapping[str, str]) -> Reply:
    """Send a request and return what comes back; `path` goes as it is."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in headers.items():
            connection.putheader(name, value)
        if body and "Content-Length" not in headers:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders()
        if body:
            with contextlib.suppress(OSError):  # it may be refused before all of it was sent
                connection.send(body)
        answer = connection.getresponse()
        found = {name.lower(): value for name, value in answer.getheaders()}
        return Reply(answer.status, found, answer.read())
    finally:
        connection.close()


def raw(port: int, content: bytes, *, wait_s: float = 30.0) -> bytes:
    """Write bytes to the desk's port and return all that comes back until it closes."""
    with socket.create_connection(("127.0.0.1", port), timeout=wait_s) as connection:
        connection.sendall(content)
        found = b""
        with contextlib.suppress(TimeoutError):
            while part := connection.recv(65_536):
                found += part
        return found


def way_in(folder: Path) -> tuple[int, str]:
    """Return port and key from the page that lets a browser in."""
    text = (folder / LAUNCH).read_text(encoding="utf-8")
    found = re.search(r"http://127\.0\.0\.1:(\d+)/open\?key=([\w-]+)", text)
    assert found is not None
    return int(found[1]), found[2]


def let_in(folder: Path) -> Client:
    """Go in as a browser does that opens the launcher's page."""
    port, key = way_in(folder)
    headers = {"Host": f"127.0.0.1:{port}", "Sec-Fetch-Site": "cross-site"}
    reply = ask(port, "GET", f"/open?key={key}", b"", headers)
    assert reply.status == 200, reply.text
    return Client(port, reply.headers["set-cookie"].partition(";")[0])


@contextlib.contextmanager
def started(folder: Path, *options: str) -> Iterator[subprocess.Popen[bytes]]:
    """Start a desk on a folder, and end it at the end."""
    command = [sys.executable, "-P", "-m", "pausewright", "desk", str(folder), "--no-browser"]
    process = subprocess.Popen(
        [*command, *options], stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    try:
        until_s = time.monotonic() + PATIENCE_S
        while not (folder / LAUNCH).exists():
            assert process.poll() is None, process.communicate()[0].decode()
            assert time.monotonic() < until_s
            time.sleep(0.05)
        yield process
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(20)
        process.kill()
        process.wait()
        if process.stdout is not None:
            process.stdout.close()


def children(pid: int) -> list[int]:
    """Return the processes that a process has started (Linux)."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            fields = stat.read_bytes().rpartition(b")")[2].split()
            if int(fields[1]) == pid and fields[0] != b"Z":  # proc(5): state, parent
                found.append(int(stat.parent.name))
    return found
