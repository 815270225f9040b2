"""Who is at work is told from who was; a folder is claimed by one command at a time."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from pausewright.files import owner as owners
from pausewright.files.claim import ClaimedError, claimed, is_stale
from pausewright.files.owner import Owner, owner_of, state_of, this_process

if TYPE_CHECKING:
    from pathlib import Path

posix = pytest.mark.skipif(sys.platform == "win32", reason="Windows tells by the lock alone")
HOLD = (
    "import sys, time; from pathlib import Path; from pausewright.files.claim import claimed\n"
    "with claimed(Path(sys.argv[1])):\n    print('held', flush=True)\n    time.sleep(60)\n"
)


def holding(target: Path) -> subprocess.Popen[str]:
    """Return a process that holds a folder."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(target)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    return process


def end(process: subprocess.Popen[str]) -> None:
    """Kill a process and wait for it."""
    process.kill()
    process.communicate()


def test_this_process_lives_and_its_text_comes_back() -> None:
    """What is written of an owner is read again; what is no owner is none."""
    me = this_process()

    assert state_of(me) == "living"
    assert owner_of(me.as_text()) == me
    for text in ("", "{", "[]", "null", '{"host": 1}', '{"host": "", "boot": "", "pid": "x"}'):
        assert owner_of(text) is None


@posix
def test_dead_processes_are_told_from_living_ones() -> None:
    """Another start, another boot of the machine or no such process: dead. Only waiting: dead."""
    me = this_process()
    assert state_of(replace(me, started="1")) == "dead"
    assert state_of(replace(me, boot="another")) == "dead"
    child = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    its = replace(me, pid=child.pid, started=owners._started(child.pid))
    assert state_of(its) == "living"
    assert state_of(replace(its, started="1")) == "dead"
    child.kill()
    os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT)
    assert state_of(its) == "dead"
    child.communicate()
    assert state_of(its) == "dead"


def test_other_machines_are_not_judged() -> None:
    """Nothing is known of a process elsewhere; the same boot is the same machine, renamed."""
    me = this_process()
    assert state_of(replace(me, host="elsewhere", boot="another")) == "elsewhere"
    if me.boot:
        assert state_of(replace(me, host="elsewhere")) == "living"


@posix
def test_without_proc_the_process_list_tells(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where there is no /proc, `ps` gives the start of a process, and of no other."""
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(owners, "Path", lambda _: owners._BOOT / "none")
    me = owners._started(os.getpid())

    assert len(me.split()) == 5  # "Sun Nov 29 04:12:47 2026": lstart, ps(1)
    assert state_of(Owner(this_process().host, this_process().boot, os.getpid(), me)) == "living"
    assert owners._started(4_000_000) == ""


def test_a_claimed_folder_is_refused_with_one_sentence(tmp_path: Path) -> None:
    """Who comes second is told who is at work, and may go on once it is done."""
    target = tmp_path / "tide"
    process = holding(target)
    try:
        with (
            pytest.raises(ClaimedError, match=f"now \\(process {process.pid}\\)$") as caught,
            claimed(target, 0.1),
        ):
            pass
        assert caught.value.hint == "wait until it has ended, then run this again"
        assert not is_stale(target)
    finally:
        end(process)
    assert is_stale(target)
    with claimed(target, 0):
        assert [one.name for one in tmp_path.iterdir()] == [".tide.pausewright-claim"]
    assert list(tmp_path.iterdir()) == []


def test_a_claim_holds_against_the_same_process(tmp_path: Path) -> None:
    """Two builds of one program do not mix either."""
    with claimed(tmp_path / "tide"):
        with pytest.raises(ClaimedError), claimed(tmp_path / "tide", 0.05):
            pass
        with claimed(tmp_path / "tides", 0):
            pass


def test_another_machine_keeps_its_claim(tmp_path: Path) -> None:
    """A claim that another machine left is not taken over, but what to do is said."""
    file = tmp_path / ".tide.pausewright-claim"
    file.write_text(Owner("elsewhere", "another", 7, "1").as_text(), "utf-8")

    with (
        pytest.raises(ClaimedError, match="machine ‘elsewhere’") as caught,
        claimed(tmp_path / "tide", 0),
    ):
        pass
    assert str(file) in caught.value.hint
    assert owner_of(file.read_text("utf-8")) is not None


@posix
def test_without_locks_the_owner_decides(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a file system that knows no locks a living owner is respected, a dead one is not."""
    import fcntl  # noqa: PLC0415  not on Windows

    def no_locks(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(fcntl, "flock", no_locks)
    with (
        claimed(tmp_path / "tide"),
        pytest.raises(ClaimedError),
        claimed(tmp_path / "tide", 0),
    ):
        pass
    dead = replace(this_process(), started="1")
    (tmp_path / ".tide.pausewright-claim").write_text(dead.as_text(), "utf-8")
    with claimed(tmp_path / "tide", 0):
        pass
    assert list(tmp_path.iterdir()) == []
