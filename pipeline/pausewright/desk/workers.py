"""Workers: processes of our own that do what takes long, so that pages come at once.

A worker does one thing after another. It is ended with all that it started, by the system and at
once; what it was building is cleared away by whoever ended it (`jobs`).
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import Future
from pathlib import Path
from typing import TYPE_CHECKING, Final

import msgspec

from pausewright.desk.messages import (
    PATIENT,
    TOLD,
    Answer,
    Ask,
    Asked,
    Refused,
    Step,
    Told,
    line_of,
)

if TYPE_CHECKING:
    from collections.abc import Callable

_COMMAND: Final = (sys.executable, "-P", "-m", "pausewright.desk.worker")
"""`-P`: no module is taken from the folder of tests."""
ENDED: Final = Refused(
    "the program that did this ended before it was done, and nothing half-written was left",
    "try it again; if the machine has little free memory, close other programs first",
)
"""The answer to what a process owes that has ended by itself."""
_NO_WINDOW: Final = getattr(subprocess, "CREATE_NO_WINDOW", 0)


class Worker:
    """A process that answers asks in their order."""

    def __init__(self, *, is_patient: bool = False) -> None:
        """Start nothing yet, the first ask does; who is patient lets other processes go first."""
        self._command = (*_COMMAND, PATIENT) if is_patient else _COMMAND
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._waiting: dict[int, tuple[Future[Answer], Callable[[Step], None] | None]] = {}
        self._n = 0
        self._temporary: Path | None = None

    def ask(self, ask: Ask, tell: Callable[[Step], None] | None = None) -> Future[Answer]:
        """Have something done; `tell` is called with steps on the way, in another thread."""
        future: Future[Answer] = Future()
        with self._lock:
            process = self._running()
            self._n += 1
            self._waiting[self._n] = future, tell
            line = line_of(Asked(self._n, ask))
        try:
            if process.stdin is not None:
                process.stdin.write(line)
                process.stdin.flush()
        except OSError:  # it has just ended: who reads its answers says so
            pass
        return future

    def end(self) -> None:
        """End the process with all that it started, and forget what was asked."""
        with self._lock:
            process = self._process
        if process is not None:
            _kill(process)
            process.wait()

    @property
    def pid(self) -> int | None:
        """The number of the process, while there is one."""
        process = self._process
        return process.pid if process is not None and process.poll() is None else None

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        temporary = Path(tempfile.mkdtemp(prefix="pausewright-"))
        names = ("TMPDIR", "TEMP", "TMP")
        self._process = subprocess.Popen(  # noqa: S603  our own interpreter and module
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **dict.fromkeys(names, str(temporary))},
            start_new_session=True,
            creationflags=_NO_WINDOW,
        )
        threading.Thread(
            target=self._read, args=(self._process, temporary, self._n), daemon=True
        ).start()
        return self._process

    def _read(self, process: subprocess.Popen[bytes], temporary: Path, n_before: int) -> None:
        """Hand answers on until the process ends; then what it still owes is refused."""
        if process.stdout is not None:
            with contextlib.suppress(OSError, ValueError, msgspec.MsgspecError):
                for line in process.stdout:
                    self._take(TOLD.decode(line))
        _kill(process)
        process.wait()
        shutil.rmtree(temporary, ignore_errors=True)
        with self._lock:
            is_last = self._process is process
            lost = [n for n in self._waiting if n > n_before and is_last]
            owed = [self._waiting.pop(n)[0] for n in lost]
            if is_last:
                self._process = None
        for future in owed:
            future.set_result(ENDED)
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):
                    stream.close()

    def _take(self, told: Told) -> None:
        with self._lock:
            waiting = self._waiting.get(told.n)
            if told.answer is not None:
                self._waiting.pop(told.n, None)
        if waiting is None:
            return
        future, tell = waiting
        if told.step is not None and tell is not None:
            tell(told.step)
        if told.answer is not None:
            future.set_result(told.answer)


def _kill(process: subprocess.Popen[bytes]) -> None:
    """End a process and those that it started; nothing if it has ended."""
    if process.poll() is not None:
        return
    with contextlib.suppress(OSError):
        if sys.platform == "win32":
            process.kill()
        else:
            os.killpg(process.pid, signal.SIGKILL)
