"""A swap stopped at every call to the system: the user's files whole, old or new results whole."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from pausewright.files.stage import settle
from support.amounts import cases
from support.places import TESTS
from support.processes.swap_stops import own_inodes, whole, world, wrong_after

if TYPE_CHECKING:
    from collections.abc import Iterator

pytestmark = pytest.mark.skipif(
    not hasattr(sys, "addaudithook") or sys.platform == "win32", reason="stops need fork and kill"
)
SCRIPT = TESTS / "support" / "processes" / "swap_stops.py"
ONE_SWAP = (
    "import sys; from pathlib import Path; sys.path.insert(0, sys.argv[2]); "
    "from swap_stops import build; build(Path(sys.argv[1]))"
)
CHANGING = (
    "rename,renameat,renameat2,link,linkat,unlink,unlinkat,rmdir,mkdir,mkdirat,chmod,fchmod,"
    "fchmodat,ftruncate,fsync,flock,write"
)
"""Calls to the kernel that change the disk, or say when it is to be changed."""


@pytest.fixture
def quick_folder(tmp_path: Path) -> Iterator[Path]:
    """Return a folder in memory where there is one: thousands of flushes wait for no disk."""
    memory = Path("/dev/shm") / tmp_path.name  # noqa: S108  removed below
    try:
        memory.mkdir()
    except OSError:
        yield tmp_path
        return
    yield memory
    shutil.rmtree(memory, ignore_errors=True)


def stops(folder: Path, *arguments: str) -> dict[str, Any]:
    """Return what the stops came to."""
    done = subprocess.run(
        [sys.executable, str(SCRIPT), str(folder), *arguments],
        capture_output=True, text=True, check=False, timeout=280,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    sys.stdout.write(f"{arguments}: {found}\n")
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize("links", [(), ("--no-links",)], ids=["links", "no links"])
@pytest.mark.parametrize("how", ["kill", "once", "full"])
def test_a_swap_that_is_stopped_anywhere_leaves_old_or_new(
    quick_folder: Path, how: str, links: tuple[str, ...]
) -> None:
    """Killed, or with a call that fails, at each place: all is whole once the next command ran.

    The long set stops at every place, and the next command at every one of its own too.
    """
    step, again = cases(9, 1), cases(6, 1)
    found = stops(quick_folder, how, str(step), str(again), *links)

    assert found["wrong"] == []
    assert found["n_calls"] >= 60
    assert found["n_stops"] == found["old"] + found["new"] == -(-found["n_calls"] // step)
    assert found["old"] > 0
    assert found["new"] > 0
    assert found["n_again"] > 0 or how != "kill"


def test_the_stops_find_a_swap_without_a_journal(quick_folder: Path) -> None:
    """The test can fail: where no swap is ever taken back, mixed results are found."""
    forgetful = quick_folder / "forgetful.py"
    forgetful.write_text(
        "import sys; sys.argv = ['swap_stops.py', *sys.argv[1:]]\n"
        f"sys.path.insert(0, {str(SCRIPT.parent)!r})\n"
        "from pausewright.files import stage, swap\n"
        "swap.take_back = stage.take_back = lambda *_: None\n"
        "stage.is_half_way = lambda _: False\n"
        "import swap_stops\nswap_stops.main()\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, str(forgetful), str(quick_folder), "kill", "7", "100"],
        capture_output=True, text=True, check=False, timeout=280,
    )  # fmt: skip

    found = json.loads(done.stdout)
    assert "mixed" in str(found["wrong"])


def _traced(target: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["strace", "-f", "-qq", "-e", f"trace={CHANGING}", *arguments,
         sys.executable, "-c", ONE_SWAP, str(target), str(SCRIPT.parent)],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip


@pytest.mark.skipif(shutil.which("strace") is None, reason="needs strace (package strace)")
def test_killed_by_strace_at_each_call_to_the_kernel(quick_folder: Path) -> None:
    """An outside tool kills at the n-th call of each kind, as the kernel counts them."""
    log = quick_folder / "log"
    _traced(world(quick_folder / "counted"), "-o", str(log))
    calls = Counter(re.findall(r"^\d+ +(\w+)\(", log.read_text(), re.MULTILINE))
    places = [(name, n) for name, n_all in sorted(calls.items()) for n in range(1, n_all + 1)]
    assert len(places) >= 60
    counts: Counter[str] = Counter()
    for at in range(0, len(places), cases(16, 1)):
        name, number = places[at]
        target = world(quick_folder / str(at))
        inodes = own_inodes(target)
        done = _traced(
            target, "-o", str(log), "-e", f"inject={name}:signal=KILL:when={number}"
        )  # fmt: skip
        if done.returncode == 0:  # strace counts in each thread, and flushes have several
            assert name == "fsync"
            counts["not reached"] += 1
        assert own_inodes(target) == inodes, (name, number)
        settle(target)
        assert wrong_after(target, inodes) == "", (name, number)
        counts[whole(target)] += 1

    sys.stdout.write(f"{dict(calls)}, {len(places)} places: {dict(counts)}\n")
    assert counts["old"] > 0
