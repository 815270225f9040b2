"""Lines that decoders print by themselves do not reach the terminal."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import numpy as np
import pytest
from support.spoiling.files import write

if TYPE_CHECKING:
    from pathlib import Path

PROGRAM = (
    "import os, sys\n"
    "from pausewright.cli.library_lines import library_lines_dropped\n"
    "with library_lines_dropped():\n"
    "    os.write(2, b'a library\\n')\n"
    "    print('ours', file=sys.stderr)\n"
    "os.write(2, b'later\\n')\n"
)


@pytest.fixture
def damaged_mp3(tmp_path: Path) -> Path:
    """Return an MP3 with bytes changed in 20 places and its end cut off."""
    dice = np.random.default_rng(5)
    at = np.arange(44_100 * 20)
    wave = (0.1 * np.sin(at * 0.05) * (at % 44_100 < 22_050)).astype(np.float32)
    path = write(tmp_path, wave, 44_100, "mp3-96", name="tone")
    held = bytearray(path.read_bytes())
    for start in dice.integers(4_000, len(held) - 60_000, 20):
        held[start : start + 60] = dice.bytes(60)
    path.write_bytes(bytes(held[:-50_000]))
    return path


def test_a_library_is_silent_and_we_are_not() -> None:
    """What goes to the process's standard error is dropped, what Python prints is not."""
    done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, check=True)

    assert done.stderr.decode().split() == ["ours", "later"]


def test_a_damaged_track_prints_our_words_only(damaged_mp3: Path) -> None:
    """libmpg123 complains of this file by itself; `check` says it in findings alone."""
    read = "import soundfile, sys; soundfile.read(sys.argv[1])"
    raw = subprocess.run(
        [sys.executable, "-c", read, str(damaged_mp3)], capture_output=True, check=False
    )
    assert b"libmpg123" in raw.stderr or b"MPEG" in raw.stderr, "the library says nothing of it"

    command = [sys.executable, "-m", "pausewright", "check", str(damaged_mp3)]
    done = subprocess.run(command, capture_output=True, check=False)

    assert done.returncode == 1
    assert "NOT GOOD" in done.stdout.decode()
    assert "bytes of the file were changed" in done.stdout.decode()
    for line in done.stderr.decode().splitlines():
        assert line.startswith("checking"), line
