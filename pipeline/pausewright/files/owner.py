"""Who is at work on something: a process of a machine since it was started, and whether it lives.

A number of a process is given again after its end, so the time of its start belongs to it, and
the start of the machine to both.
"""

from __future__ import annotations

import functools
import json
import os
import platform
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Final, Literal, TypeAlias

from pausewright.frozen import frozen

State: TypeAlias = Literal["living", "dead", "unknown", "elsewhere"]
"""Of an owner. "unknown": of this machine, which does not tell without a lock (Windows)."""

_BOOT: Final = Path("/proc/sys/kernel/random/boot_id")


@frozen
class Owner:
    """A process that made something."""

    host: str
    boot: str
    """Mark of the machine's last start; "" where the system has none (Windows): then a number
    that another process has by chance after a restart is told by its start alone."""
    pid: int
    started: str
    """When the process started, in the system's own words; "" where it does not tell: then
    another process with the same number passes for this one."""

    def as_text(self) -> str:
        """Return it as one line of JSON."""
        return json.dumps(asdict(self)) + "\n"


def owner_of(text: str) -> Owner | None:
    """Return the owner that `as_text` wrote, or None if it is none."""
    try:
        found = json.loads(text)
        return Owner(
            str(found["host"]), str(found["boot"]), int(found["pid"]), str(found["started"])
        )
    except (ValueError, TypeError, KeyError, RecursionError):
        return None


def this_process() -> Owner:
    """Return who we are."""
    pid = os.getpid()
    return Owner(platform.node(), _boot(), pid, _started(pid))


def state_of(owner: Owner) -> State:
    """Return whether an owner is still at work; nothing is known of other machines."""
    boot = _boot()
    if owner.boot != boot or not boot:
        if owner.host != platform.node():
            return "elsewhere"
        if owner.boot != boot:
            return "dead"
    if owner.pid == os.getpid():
        return "living" if owner.started == _started(owner.pid) else "dead"
    if sys.platform == "win32":  # to ask for a process there can end it
        return "unknown"
    try:
        os.kill(owner.pid, 0)
    except (ProcessLookupError, OverflowError):
        return "dead"
    except PermissionError:
        pass
    started = _started(owner.pid)
    return "dead" if started and owner.started and started != owner.started else "living"


@functools.cache
def _boot() -> str:
    """Return a mark of this start of the machine."""
    try:
        return _BOOT.read_text("ascii").strip()
    except OSError:
        return _said("sysctl", "-n", "kern.bootsessionuuid") if sys.platform == "darwin" else ""


def _started(pid: int) -> str:
    """Return when a process started; "ended" if it only waits to be cleared away."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text("utf-8", "replace").rpartition(")")[2].split()
    except OSError:
        return "" if sys.platform in {"win32", "linux"} else _said("ps", "-o", "lstart=", "-p", pid)
    return "ended" if fields[0] in {"Z", "X"} else fields[19]  # proc(5): state, starttime


def _said(program: str, *arguments: str | int) -> str:
    """Return what a program of the system says, in no language; "" if it says nothing."""
    try:
        done = subprocess.run(  # noqa: S603  fixed names
            [program, *map(str, arguments)],
            capture_output=True,
            text=True,
            timeout=10,
            check=False,
            env={**os.environ, "LC_ALL": "C", "TZ": "UTC"},
        )
    except (OSError, subprocess.SubprocessError):
        return ""
    return " ".join(done.stdout.split())
