"""An interrupt while workers are started: it waits, and never reaches them."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
from typing import TYPE_CHECKING

import pytest
from pausewright.season.interrupts import interrupts_held

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(
    not hasattr(signal, "pthread_sigmask"), reason="no signal is held back here"
)
_HELD = "import signal; print(signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, ()))"
"""A program that says whether its interrupts are held (POSIX: exec keeps the mask)."""


def _child() -> str:
    return subprocess.run(
        [sys.executable, "-c", _HELD], capture_output=True, text=True, check=True
    ).stdout.strip()


def test_it_waits_and_is_raised_at_the_end() -> None:
    """What was started meanwhile is finished, and can be closed; in a process of its own."""
    code = (
        "import os, signal\n"
        "from pausewright.season.interrupts import interrupts_held\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "try:\n"
        "    with interrupts_held():\n"
        "        os.kill(os.getpid(), signal.SIGINT)\n"
        "        print('first')\n"
        "        print('second')\n"
        "    print('never')\n"
        "except KeyboardInterrupt:\n"
        "    print(signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, ()))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.stdout.split(), done.stderr) == (["first", "second", "False"], "")


def test_programs_that_start_meanwhile_never_get_it() -> None:
    """Those of its threads too, also later; others get theirs as ever."""
    later = threading.Event()
    said: list[str] = []

    def starts() -> None:
        later.wait(60)
        said.append(_child())

    with interrupts_held():
        said.append(_child())
        thread = threading.Thread(target=starts)
        thread.start()
    later.set()
    thread.join()
    assert said == ["True", "True"]
    assert _child() == "False"


def test_an_interrupt_while_workers_start_shows_no_traceback(tmp_path: Path) -> None:
    """It comes with the first worker's process, when dask cannot close it yet (AssertionError)."""
    code = (
        "import multiprocessing, os, signal, sys, threading, time\n"
        "from pathlib import Path\n"
        "from pausewright.season.dask_engine import OnThisMachine\n"
        "def interrupt():\n"
        "    while not multiprocessing.active_children():\n"
        "        time.sleep(0.01)\n"
        "    os.killpg(0, signal.SIGINT)\n"
        "if __name__ == '__main__':\n"
        "    signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # tests may ignore it
        "    threading.Thread(target=interrupt).start()\n"
        "    try:\n"
        "        with OnThisMachine(2, Path(sys.argv[1])):\n"
        "            time.sleep(60)\n"
        "    except KeyboardInterrupt:\n"
        "        print('stopped')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=False,
        start_new_session=True, timeout=120,
    )  # fmt: skip
    assert (done.stdout, done.stderr, done.returncode) == ("stopped\n", "", 0)
