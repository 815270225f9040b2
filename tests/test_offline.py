"""Libraries are told not to connect before they are loaded, and commands refuse connections."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from typing import TYPE_CHECKING

import pytest
from pausewright import cli
from pausewright.offline import LIBRARY_SETTINGS, connections_refused

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

NOBODY = ("127.0.0.1", 9)


def said_by(code: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run code in a new interpreter; warnings are errors."""
    return subprocess.run(
        [sys.executable, "-W", "error::RuntimeWarning", "-c", code],
        env={**os.environ, **environment}, capture_output=True, encoding="utf-8", check=False,
        timeout=60,
    )  # fmt: skip


def test_the_users_environment_does_not_count() -> None:
    """Settings to the contrary are replaced by the import, and programs that we start see ours."""
    child = f"import os; print([os.environ[n] for n in '{' '.join(LIBRARY_SETTINGS)}'.split()])"
    code = f"import pausewright, subprocess, sys\nsubprocess.run([sys.executable, '-c', {child!r}])"

    done = said_by(code, **dict.fromkeys(LIBRARY_SETTINGS, "0"))

    assert done.stdout.strip() == str(list(LIBRARY_SETTINGS.values()))


def test_any_module_tells_first() -> None:
    """Whichever module of ours a notebook imports, the settings are there before it."""
    done = said_by(
        "import pausewright.problems, os; print(os.environ['ORT_DISABLE_TELEMETRY'])",
        ORT_DISABLE_TELEMETRY="",
    )

    assert done.stdout.strip() == "1"


def test_a_runtime_that_came_first_is_told() -> None:
    """Who imported onnxruntime before us gets a warning, unless it was told already."""
    code = "import sys; sys.modules['onnxruntime'] = sys; import pausewright"

    late = said_by(code, ORT_DISABLE_TELEMETRY="0")
    told = said_by(code, ORT_DISABLE_TELEMETRY="1")

    assert "import pausewright first" in late.stderr
    assert (told.returncode, told.stderr) == (0, "")


@pytest.mark.parametrize(
    "connect",
    [
        lambda own: own.connect(NOBODY),
        lambda own: own.sendto(b"x", NOBODY),
        lambda own: own.bind(("127.0.0.1", 0)),
        lambda _: socket.getaddrinfo("localhost", 80),
        lambda _: socket.gethostbyname("localhost"),
    ],
)
def test_connections_are_refused_while_a_command_runs(
    connect: Callable[[socket.socket], object],
) -> None:
    """Looking names up, connecting, sending and listening all fail as without a network."""
    with (
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as own,
        connections_refused(),
        pytest.raises(ConnectionError, match="makes no connections"),
    ):
        connect(own)


def test_afterwards_connections_are_the_users_own() -> None:
    """A process that ran a command may listen again."""
    with connections_refused():
        pass
    with socket.socket(socket.AF_INET) as own:
        own.bind(("127.0.0.1", 0))


def test_a_command_that_connects_is_stopped(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`main` runs every command so: one sentence and no traceback."""
    monkeypatch.setattr("pausewright.cli.program.app", lambda **_: socket.create_connection(NOBODY))

    with pytest.raises(SystemExit) as stopped:
        cli.main()

    assert stopped.value.code == 2
    assert "Pausewright makes no connections" in capsys.readouterr().err


def test_no_voice_is_fetched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second engine's library fetches other voices when asked: it is refused, and says so."""
    voices = pytest.importorskip("hibari.voices")
    monkeypatch.setenv("HIBARI_HOME", str(tmp_path))

    with connections_refused(), pytest.raises(RuntimeError, match="could not download"):
        voices.voice_path("emma")
    with connections_refused(), pytest.raises(urllib.error.URLError):
        urllib.request.urlopen("http://127.0.0.1:9/voice.onnx")
