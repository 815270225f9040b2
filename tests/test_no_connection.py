"""No connection, ever: what every command asks of the kernel, watched by strace (strace.io).

In the long set each process is held open until 15 s after its work: onnxruntime 1.32, left to
itself, looked its maker's server up within 9 s. The ordinary tests watch two commands for a
moment; that runtime opens its folder in the user's cache at once, which they would see.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import typer
from pausewright.cli import app
from pausewright.offline import LIBRARY_SETTINGS
from support.places import TESTS
from support.processes.every_command import (
    ALL,
    BUILD,
    FORGET,
    FROM_PYTHON,
    LATER,
    OTHERS,
    Case,
    lay_out,
)
from support.processes.watched_process import Watched, watch, why_not

WHY_NOT = why_not()
pytestmark = pytest.mark.skipif(
    bool(WHY_NOT), reason=f"nobody watched what commands ask of the network: {WHY_NOT}"
)

HELD = TESTS / "support" / "processes" / "held_open.py"
AT_THE_SAME_TIME = 3
HELD_S = 15
HAS_EAR = importlib.util.find_spec("faster_whisper") is not None
OPPOSITE = dict.fromkeys(LIBRARY_SETTINGS, "0")
"""What a user's environment may say; it must not count."""
IN_A_CHILD = (
    "import subprocess, sys; "
    "subprocess.run([sys.executable, '-c', 'import socket; socket.socket(socket.AF_INET6)'])"
)
FONTS_AT_HOME = (".fonts", ".fontconfig", ".cache/fontconfig", ".local/share/fonts")
"""Where fontconfig, with which ffmpeg finds letters for videos, looks and keeps its list."""


class Desk:
    """A user's folders: work, home and temporary files, all empty at first."""

    def __init__(self, folder: Path) -> None:
        """Make them."""
        self.work = folder / "work"
        self.home = folder / "home"
        self.temporary = folder / "temporary"
        self.logs = folder / "logs"
        for one in (self.work, self.home, self.temporary, self.logs):
            one.mkdir()
        kept = {"PATH", "PYTHONPATH", "VIRTUAL_ENV", "LD_LIBRARY_PATH"}
        self.environment = {
            **{name: value for name, value in os.environ.items() if name in kept},
            **OPPOSITE,
            "HOME": str(self.home),
            "TMPDIR": str(self.temporary),
            "LANG": "C.UTF-8",
        }

    def watch(self, how: str, *arguments: str, held_s: float = 0, stdin: str = "") -> Watched:
        """Run a command or code here, watched."""
        return watch(
            [sys.executable, "-P", HELD, str(held_s), how, *arguments],
            self.work,
            Path(tempfile.mkdtemp(dir=self.logs)),
            environment=self.environment,
            stdin=stdin,
        )

    def faults(self, done: Watched) -> list[str]:
        """Return what a process did that it must not do."""
        fonts = [self.home / one for one in FONTS_AT_HOME] if "ffmpeg" in str(done.programs) else []
        return [*done.sockets, *done.unknown_files([self.work, self.temporary, *fonts])]

    def leftovers(self) -> list[str]:
        """Return what lies where nothing may be left."""
        return [
            str(one)
            for place in (self.home, self.temporary)
            for one in place.rglob("*")
            if not one.is_dir() and "fontconfig" not in one.parts
        ]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Return a user's folders."""
    return Desk(tmp_path)


def test_every_command_is_watched() -> None:
    """A command that is new has to be put among the cases."""
    commands = typer.main.get_command(app)
    assert isinstance(commands, typer.core.TyperGroup)

    watched = {case.command for case in ALL if not case.arguments.startswith("-")}

    assert watched - {"code"} == set(commands.commands)


@pytest.mark.parametrize(
    ("code", "seen"),
    [
        ("import socket; socket.socket(socket.AF_INET, socket.SOCK_DGRAM)", "AF_INET"),
        ("import socket; socket.socket(socket.AF_UNIX).connect_ex('/run/x')", "AF_UNIX"),
        (IN_A_CHILD, "AF_INET6"),
        ("import ctypes; ctypes.CDLL(None).socket(2, 1, 0)", "AF_INET"),
        ("import pathlib; pathlib.Path.home().joinpath('.cache').mkdir()", "home/.cache"),
        ("open('../elsewhere', 'w')", "/elsewhere"),
        ("open('/etc/passwd')", "/etc/passwd"),
        ("import os; os.symlink('/', 'way'); open('way/etc/passwd')", "way/etc/passwd"),
        ("import os; os.listdir('/etc')", "/etc"),
    ],
)  # fmt: skip
def test_what_is_forbidden_is_seen(desk: Desk, code: str, seen: str) -> None:
    """Sockets of every family, in children and in compiled code too, and files elsewhere."""
    faults = desk.faults(desk.watch("code", code))

    assert len(faults) >= 1
    assert seen in faults[0]


def test_pairs_and_own_files_are_allowed(desk: Desk) -> None:
    """Socket pairs, own and temporary files, and names in the folder around are no fault."""
    code = "import socket, tempfile; socket.socketpair(); tempfile.TemporaryFile(); open('a', 'w')"
    code += "; import os; os.listdir('..')"

    assert desk.faults(desk.watch("code", code)) == []


@pytest.mark.voice
def test_a_voiced_build_stays_at_home(desk: Desk) -> None:
    """A build from Python with both voices and a check: no socket, no file elsewhere."""
    lay_out(desk.work)

    done = desk.watch("code", FROM_PYTHON)

    assert done.exit_code == 0, done.said
    assert desk.faults(done) == []
    assert desk.leftovers() == []


@pytest.mark.long
@pytest.mark.voice
@pytest.mark.timeout(1800)
def test_no_command_connects(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """Every command, held open for 15 s: no socket, no file elsewhere, nothing left behind."""
    lay_out(desk.work)
    rows: list[str] = []
    faults: list[str] = []

    def run(case: Case) -> None:
        words = case.words(desk.work)
        done = desk.watch(case.how, *words, held_s=HELD_S, stdin=case.stdin)
        found = desk.faults(done)
        if done.exit_code != case.exit_code:
            found.append(f"exit code {done.exit_code}: {done.said[-2000:]}")
        rows.append(
            f"{len(done.sockets):3} sockets  {len(done.files):6} files, {len(found)} unknown  "
            f"{case.arguments}  ({', '.join(done.programs)})"
        )
        faults.extend(f"{case.arguments}: {fault}" for fault in found)

    run(BUILD)
    with ThreadPoolExecutor(AT_THE_SAME_TIME) as pool:
        list(pool.map(run, (case for case in OTHERS if HAS_EAR or not case.needs_ear)))
    for case in (*LATER, FORGET):
        run(case)
    if not HAS_EAR:
        rows.append("the machine's ear is not installed: its commands were not watched")
    with capsys.disabled():
        sys.stdout.write("\n".join(("", *rows, "")))

    assert faults == []
    assert desk.leftovers() == []
