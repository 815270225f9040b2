"""How a desk begins and ends: one a folder, found again, by itself when nobody uses it."""

from __future__ import annotations

import http.client
import shlex
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest
from pausewright.desk import replies, start
from pausewright.desk.app import _end_when_idle
from pausewright.desk.room import Room
from pausewright.desk.shortcut import launcher_text, write_launcher
from pausewright.offline import connections_refused, loopback_allowed
from pausewright.problems import OutputError
from support.desks.client import LAUNCH
from support.event_loops import run_apart

if TYPE_CHECKING:
    from pathlib import Path

    from support.desks.folder import Place


def test_a_second_start_finds_the_first(place: Place) -> None:
    """It says so, names the page, ends well, and the first goes on."""
    command = [sys.executable, "-P", "-m", "pausewright", "desk", str(place.folder)]
    done = subprocess.run(
        [*command, "--no-browser"], capture_output=True, text=True, timeout=240, check=False
    )

    assert done.returncode == 0, done.stderr
    assert "is open already" in done.stdout
    assert str(place.folder / LAUNCH) in done.stdout
    assert place.client.get("/").status == 200


def test_a_page_that_somebody_else_put_there_is_not_opened(place: Place, tmp_path: Path) -> None:
    """A second start opens the desk's own page only, and only where its desk answers."""
    text = (place.folder / LAUNCH).read_text(encoding="utf-8")
    page = tmp_path / LAUNCH
    page.write_text(text, encoding="utf-8")
    assert start._is_open(page)

    for other in (
        text.replace("</body>", "<script>x()</script></body>"),
        text.replace(f":{place.client.port}/", ":1/"),
        text.replace("127.0.0.1", "tests.example"),
        "",
    ):
        page.write_text(other, encoding="utf-8")
        assert not start._is_open(page)


def test_what_is_no_folder_is_refused(tmp_path: Path) -> None:
    """In one sentence, before anything is opened."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    for one in ("file", "none"):
        with pytest.raises(OutputError, match="is no folder"):
            start.open_desk(tmp_path / one, opens_browser=False)
        with pytest.raises(OutputError, match="is no folder"):
            write_launcher(tmp_path / one)


def test_it_ends_when_nobody_uses_it(tmp_path: Path) -> None:
    """After the time that is set, and not before."""
    room = Room(tmp_path)
    ended: list[float] = []
    began_s = time.monotonic()

    run_apart(_end_when_idle(room, lambda: ended.append(time.monotonic()), 0.3))

    assert len(ended) == 1
    assert ended[0] - began_s >= 0.3


def test_only_this_machine_can_be_reached(place: Place) -> None:
    """The socket is bound to 127.0.0.1 (proc_net_tcp(5): 0100007F in hexadecimal)."""
    if sys.platform != "linux":
        pytest.skip("/proc is read")
    port = f":{place.client.port:04X}"
    with open("/proc/net/tcp", encoding="ascii") as file:  # noqa: PTH123
        listening = [row.split()[1] for row in file if row.split()[3] == "0A"]
    assert [one for one in listening if one.endswith(port)] == [f"0100007F{port}"]


def test_the_gate_opens_for_this_machine_alone() -> None:
    """While a desk is open, other addresses are refused as ever; without one this is too."""
    import socket  # noqa: PLC0415  nothing else here may

    def bound(host: str) -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as one:
            one.bind((host, 0))

    with connections_refused():
        with pytest.raises(ConnectionError):
            bound("127.0.0.1")
        with loopback_allowed():
            bound("127.0.0.1")
            with pytest.raises(ConnectionError):
                bound("0.0.0.0")  # noqa: S104  refused
            with pytest.raises(ConnectionError):
                socket.getaddrinfo("localhost", 80)
            with pytest.raises(ConnectionError), socket.socket() as one:
                one.connect(("192.0.2.1", 80))  # RFC 5737: for documentation


def test_launchers_name_the_folder_as_it_is() -> None:
    """Blanks, quotes and signs that a shell or a desktop acts on."""
    from pathlib import PurePosixPath  # noqa: PLC0415

    odd = '/tests/a b\'c "d" $HOME `x` 100% \\e'
    folder = PurePosixPath(odd)
    mac = launcher_text(folder, "darwin", "/py thon")  # type: ignore[arg-type]
    line = mac.splitlines()[1].removeprefix("nohup ").removesuffix(" >/dev/null 2>&1 &")
    assert shlex.split(line) == ["/py thon", "-P", "-m", "pausewright.cli.window", odd]

    linux = launcher_text(folder, "linux", "/python")  # type: ignore[arg-type]
    row = next(one for one in linux.splitlines() if one.startswith("Exec="))
    # Desktop Entry Specification 1.5, "The Exec key" and "Possible value types"
    told = row.rpartition(' "')[2].removesuffix('"')
    assert told == '/tests/a b\'c \\\\"d\\\\" \\\\$HOME \\\\`x\\\\` 100%% \\\\\\\\e'

    windows = launcher_text(folder, "win32", "C:\\py\\python.exe")  # type: ignore[arg-type]
    assert "pythonw.exe" in windows
    assert "100%%" in windows


def test_a_launcher_is_written(tmp_path: Path) -> None:
    """It can be started, and a second time takes its place."""
    file = write_launcher(tmp_path, "darwin")
    assert write_launcher(tmp_path, "darwin") == file
    if sys.platform != "win32":
        assert file.stat().st_mode & 0o111
        assert subprocess.run(["sh", "-n", str(file)], check=False).returncode == 0


@pytest.mark.parametrize(
    ("asked", "status", "stretch"),
    [
        ("", 200, (0, 10)),
        ("bytes=0-", 206, (0, 10)),
        ("bytes=2-4", 206, (2, 5)),
        ("bytes=-3", 206, (7, 10)),
        ("bytes=-30", 206, (0, 10)),
        ("bytes=8-99", 206, (8, 10)),
        ("bytes=10-", 416, None),
        ("bytes=5-2", 416, None),
        ("bytes=-0", 416, None),
        ("bytes=0-1,3-4", 200, (0, 10)),
        ("lines=1-2", 200, (0, 10)),
    ],
)
def test_a_stretch_of_a_sound_is_given(
    tmp_path: Path, asked: str, status: int, stretch: tuple[int, int] | None
) -> None:
    """RFC 9110, 14.1.2 and 14.2: what players ask for when somebody moves on in a track."""
    (tmp_path / "a.mp3").write_bytes(b"0123456789")

    with (tmp_path / "a.mp3").open("rb") as file:
        reply = replies.delivered(file, "a.mp3", asked)

        assert reply.status_code == status
        if stretch is None:
            assert reply.headers["content-range"] == "bytes */10"
            return
        first, last = stretch
        assert reply.headers["content-length"] == str(last - first)
        if status == http.client.PARTIAL_CONTENT:
            assert reply.headers["content-range"] == f"bytes {first}-{last - 1}/10"
        assert b"".join(replies._parts(file, first, last)) == b"0123456789"[first:last]


def test_a_built_page_reaches_nothing_of_the_desk(tmp_path: Path) -> None:
    """It runs in a sandbox, whose origin is none, so that it cannot ask as the desk's page does."""
    (tmp_path / "a.html").write_bytes(b"<p>x")

    with (tmp_path / "a.html").open("rb") as file:
        reply = replies.delivered(file, "a.html")

    policy = reply.headers["content-security-policy"]
    assert policy.startswith("sandbox ")
    assert "allow-same-origin" not in policy
