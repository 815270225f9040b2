"""Fetching a voice from a local server that misbehaves: nothing wrong is ever kept.

The server is Python's `http.server`; what it does wrong is what the standard of HTTP lets a
broken network look like (RFC 9110: cut bodies, ranges, redirects).
"""

from __future__ import annotations

import hashlib
import socket
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING

import pytest
from pausewright import fetch
from pausewright.fetch import Wanted, fetched
from pausewright.offline import connections_refused
from pausewright.problems import VoiceError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

CONTENT = hashlib.sha256(b"seed").digest() * 8_192
"""262,144 bytes."""
CUT_AT = 100_000


class _Handler(BaseHTTPRequestHandler):
    """Answers by the path that is asked for."""

    ranges: list[str | None]

    def do_GET(self) -> None:
        """Behave or misbehave."""
        self.ranges.append(self.headers.get("Range"))
        getattr(self, f"_{self.path.strip('/').replace('-', '_')}")()

    def log_message(self, *_: object) -> None:
        """Say nothing."""

    def _send(self, body: bytes, status: int = 200, stated: int | None = None, **more: str) -> None:
        self.send_response(status)
        self.send_header("Content-Length", str(len(body) if stated is None else stated))
        for name, value in more.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        self.wfile.write(body)

    def _good(self) -> None:
        start = int((self.headers.get("Range") or "bytes=0-")[6:-1])
        if start:
            told = f"bytes {start}-{len(CONTENT) - 1}/{len(CONTENT)}"
            self._send(CONTENT[start:], 206, Content_Range=told)
        else:
            self._send(CONTENT)

    def _without_ranges(self) -> None:
        self._send(CONTENT)

    def _cut(self) -> None:
        self._send(CONTENT[:CUT_AT], stated=len(CONTENT))

    def _wrong_bytes(self) -> None:
        self._send(bytes(len(CONTENT)))

    def _endless(self) -> None:
        self.send_response(200)
        self.end_headers()
        try:
            for _ in range(10_000):
                self.wfile.write(bytes(65_536))
        except OSError:
            return

    def _silent(self) -> None:
        self.send_response(200)
        self.send_header("Content-Length", str(len(CONTENT)))
        self.end_headers()
        self.wfile.write(CONTENT[:10])
        self.wfile.flush()
        self.server.stop.wait(5)  # type: ignore[attr-defined]

    def _round_and_round(self) -> None:
        self._send(b"", 302, Location="/round-and-round")

    def _elsewhere(self) -> None:
        self._send(b"", 302, Location="/good")

    def _to_a_file(self) -> None:
        self._send(b"", 302, Location="file:///etc/passwd")

    def _missing(self) -> None:
        self._send(b"", 404)

    def _another_range(self) -> None:
        self._send(CONTENT[5:], 206, Content_Range=f"bytes 5-{len(CONTENT) - 1}/{len(CONTENT)}")


class Server(ThreadingHTTPServer):
    """A server on this machine; `ranges` are those that were asked for."""

    def __init__(self) -> None:
        """Listen on a free port."""
        self.stop = threading.Event()
        self.ranges: list[str | None] = []
        super().__init__(("127.0.0.1", 0), type("Handler", (_Handler,), {"ranges": self.ranges}))

    def wanted(self, path: str, **changed: object) -> Wanted:
        """Return the file at a path, stated truly but for what is changed."""
        stated = {"n_bytes": len(CONTENT), "digest": hashlib.sha256(CONTENT).hexdigest(), **changed}
        return Wanted(f"http://127.0.0.1:{self.server_port}/{path}", hash_name="sha256", **stated)  # type: ignore[arg-type]


@pytest.fixture
def server() -> Iterator[Server]:
    """Serve until the test ends."""
    with Server() as one:
        thread = threading.Thread(target=one.serve_forever, args=(0.01,))
        thread.start()
        yield one
        one.stop.set()
        one.shutdown()
        thread.join()


@pytest.mark.parametrize("path", ["good", "without-ranges", "elsewhere"])
def test_a_good_file_comes_whole(server: Server, tmp_path: Path, path: str) -> None:
    """Also over a redirect; the progress ends at all of its bytes."""
    steps: list[tuple[int, int]] = []

    fetched(server.wanted(path), tmp_path / "a.onnx", lambda n, n_all: steps.append((n, n_all)))

    assert (tmp_path / "a.onnx").read_bytes() == CONTENT
    assert steps[-1] == (len(CONTENT), len(CONTENT))
    assert [one.name for one in tmp_path.iterdir()] == ["a.onnx"]


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("wrong-bytes", "is not the file that its publisher states"),
        ("endless", "sends more than"),
        ("round-and-round", "cannot be fetched"),
        ("to-a-file", "it answers 302"),
        ("missing", "it answers 404"),
    ],
)
def test_a_wrong_file_is_not_kept(server: Server, tmp_path: Path, path: str, said: str) -> None:
    """One sentence, no file under its name, no part that a later call would go on with."""
    with pytest.raises(VoiceError, match=said):
        fetched(server.wanted(path), tmp_path / "a.onnx")

    assert list(tmp_path.iterdir()) == []


def test_another_hash_than_stated_is_refused(server: Server, tmp_path: Path) -> None:
    """The bytes are those of the server, the hash is another."""
    with pytest.raises(VoiceError, match="another sha256"):
        fetched(server.wanted("good", digest="0" * 64), tmp_path / "a.onnx")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("path", ["good", "without-ranges", "another-range"])
def test_what_broke_off_is_gone_on_with(server: Server, tmp_path: Path, path: str) -> None:
    """The second call asks for the rest; a server that sends all of it again is taken at its word.

    One that sends another range than was asked for gives a file that is not kept.
    """
    with pytest.raises(VoiceError, match=r"100,000 of 262,144 bytes|cannot be fetched"):
        fetched(server.wanted("cut"), tmp_path / "a.onnx")
    assert (tmp_path / "a.onnx.part").stat().st_size == CUT_AT

    if path == "another-range":
        with pytest.raises(VoiceError):
            fetched(server.wanted(path), tmp_path / "a.onnx")
        assert not (tmp_path / "a.onnx").exists()
    else:
        fetched(server.wanted(path), tmp_path / "a.onnx")
        assert (tmp_path / "a.onnx").read_bytes() == CONTENT
    assert server.ranges[1] == f"bytes={CUT_AT}-"


def test_a_silent_server_is_given_up(
    server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a time without a byte; what came is kept for the next call."""
    monkeypatch.setattr(fetch, "SILENT_S", 0.3)

    with pytest.raises(VoiceError, match="cannot be fetched"):
        fetched(server.wanted("silent"), tmp_path / "a.onnx")

    assert not (tmp_path / "a.onnx").exists()


def test_a_full_disk_leaves_no_file(
    server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the system refuses is raised as it is; the command makes a sentence of it."""

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(fetch, "put", full)
    with pytest.raises(OSError, match="No space left"):
        fetched(server.wanted("good"), tmp_path / "a.onnx")
    assert not (tmp_path / "a.onnx").exists()


def test_only_a_fetch_connects_where_connections_are_refused(
    server: Server, tmp_path: Path
) -> None:
    """Inside a command nothing connects but this thread, and only while it fetches."""
    with connections_refused():
        with pytest.raises(ConnectionError), socket.socket() as one:
            one.connect(("127.0.0.1", server.server_port))
        fetched(server.wanted("good"), tmp_path / "a.onnx")
        with pytest.raises(ConnectionError), socket.socket() as one:
            one.connect(("127.0.0.1", server.server_port))
