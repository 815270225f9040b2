"""A folder of results swapped for new ones, and stopped at every call that changes the disk.

This is how SQLite tests what a crash or a failing disk does ("How SQLite Is Tested", sections on
crash, I/O error and out-of-memory testing, sqlite.org/testing.html): the same work is done again
and again, each time stopped one call later. Python reports each of its calls to the system to an
audit hook before it makes them; the hook ends the process there, or lets the call fail.

    python swap_stops.py FOLDER HOW STEP AGAIN [--no-links]

prints a line of JSON: what was found at each STEPth place; at each AGAINth of them the next command
is stopped as well, at each of its calls. It imports nothing heavy and runs one thread
when it forks, so that a stop costs milliseconds.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import signal
import stat
import sys
from pathlib import Path
from typing import Final

from pausewright.deliver.output_folder import staged
from pausewright.files.stage import settle
from pausewright.problems import OutputError

CALLS: Final = frozenset(
    {"os.rename", "os.link", "os.remove", "os.rmdir", "os.mkdir", "os.chmod", "os.truncate"}
)
"""Audit events of calls that change the disk; `open` counts too where it may write."""

OLD: Final = {
    "version-A/tide_A_OLD1.wav": "old track",
    "version-A/tide_A_OLD1_packing-list.json": "old list",
    "version-A/room.html": "old page",
    "version-C/tide_C_OLD1.wav": "old track of a version that goes",
    "print/candidates/answer-sheet_A.txt": "old sheet",
    "print/staff/running-sheet_A.txt": "old running sheet",
    "confidential/transcript-full_A.txt": "old transcript",
}
NEW: Final = {
    "version-A/tide_A_NEW2.wav": "new track",
    "version-A/tide_A_NEW2_packing-list.json": "new list",
    "version-A/room.html": "new page",
    "version-D/deep/tide_D_NEW2.wav": "new track of a version that comes",
    "version-D/tide_D_NEW2.srt": "new captions",
    "print/candidates/answer-sheet_A.txt": "new sheet",
    "print/staff/running-sheet_A.txt": "new running sheet",
    "confidential/transcript-full_A.txt": "new transcript",
}
KEPT: Final = {
    "version-B/tide_B_OLD1.wav": "another version's",
    "confidential/b.txt": "and its words",
}
OWN: Final = {
    "notes.txt": "mine", "version-A/mine.wav": "my own recording",
    "version-C/deep/mine.txt": "mine, in a folder of results", "confidential/names.txt": "secret",
    "my folder/one.txt": "1",
}  # fmt: skip
RECORD: Final = "confidential/build-record_{}.json"


def record(files: dict[str, str]) -> str:
    """Return as much of a build record as the swap reads."""
    return json.dumps({"files": [{"path": path} for path in files]})


def lay(folder: Path, files: dict[str, str]) -> None:
    """Write files."""
    for path, text in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text, encoding="utf-8")


def world(folder: Path) -> Path:
    """Make an output folder with results of two versions and files of the user's own."""
    target = folder / "out" / "tide"
    lay(target, {**OLD, **KEPT, **OWN})
    lay(target, {RECORD.format("A"): record(OLD), RECORD.format("B"): record(KEPT)})
    (target / "link of mine").symlink_to("notes.txt")
    (target / "confidential").chmod(0o700)
    return target


def build(target: Path) -> None:
    """Swap the old results for the new ones."""
    kept = frozenset({*KEPT, RECORD.format("B")})
    with staged(target, lambda: kept) as stage:
        lay(stage, NEW)
        lay(stage, {RECORD.format("A"): record(NEW)})
        (stage / "confidential").chmod(0o700)


def held(target: Path) -> dict[str, str]:
    """Return every file in the target with its text."""
    return {
        file.relative_to(target).as_posix(): file.read_text("utf-8")
        for file in sorted(target.rglob("*"))
        if file.is_file() and not file.is_symlink()
    }


def own_inodes(target: Path) -> dict[str, int]:
    """Return which files the user's own are: one that was moved away and back is another's."""
    return {path: (target / path).lstat().st_ino for path in (*OWN, "link of mine")}


def whole(target: Path) -> str:
    """Return "old" or "new" if the target holds exactly those results, else what it holds."""
    found = held(target)
    always = {**KEPT, **OWN, RECORD.format("B"): record(KEPT)}
    if found == {**OLD, RECORD.format("A"): record(OLD), **always}:
        return "old"
    if found == {**NEW, RECORD.format("A"): record(NEW), **always}:
        return "new"
    return f"mixed: {sorted(found.items())}"


def wrong_after(target: Path, inodes: dict[str, int]) -> str:
    """Return what is not as it must be once the next command ran; "" if all is well."""
    state = whole(target)
    if state not in {"old", "new"}:
        return state
    if own_inodes(target) != inodes:
        return "a file of the user's was moved"
    beside = sorted(one.name for one in target.parent.iterdir())
    if beside != ["tide"]:
        return f"left: {beside}"
    mode = stat.S_IMODE((target / "confidential").stat().st_mode)
    return "" if mode == 0o700 else f"confidential is {mode:o}"


def stop_at(number: int, how: str) -> list[int]:
    """Have the process stopped, or its calls fail, at a call; return a list that counts them.

    `how` is "kill", "once" (that call fails) or "full" (from then on all that need room fail).
    """
    n_calls = [0]

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        if event == "open":
            flags = arguments[2]
            if not isinstance(flags, int) or not flags & (os.O_WRONLY | os.O_RDWR):
                return
        elif event not in CALLS:
            return
        n_calls[0] += 1
        if number and n_calls[0] == number and how == "kill":
            os.kill(os.getpid(), signal.SIGKILL)
        if number and n_calls[0] == number and how == "once":
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        if number and n_calls[0] >= number and how == "full" and event not in _NEED_NO_ROOM:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    sys.addaudithook(hook)
    return n_calls


_NEED_NO_ROOM: Final = frozenset({"os.remove", "os.rmdir", "os.chmod", "os.truncate"})


def in_child(work: object) -> int:
    """Do something in a process of its own; return its status as `waitpid` gives it."""
    child = os.fork()
    if child == 0:
        code = 70
        try:
            assert callable(work)
            code = work() or 0
        except OutputError:
            code = 2
        finally:
            os._exit(code)
    return os.waitpid(child, 0)[1]


def counted(target: Path) -> int:
    """Return how many calls a swap that is not stopped makes."""
    reader, writer = os.pipe()

    def work() -> None:
        n_calls = stop_at(0, "")
        build(target)
        os.write(writer, str(n_calls[0]).encode())

    assert in_child(work) == 0
    os.close(writer)
    return int(os.read(reader, 100))


def main() -> None:
    """Stop at each place, then let the next command run; print what was found."""
    folder, how, step, again = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    if "--no-links" in sys.argv:

        def no_links(*_: object, **__: object) -> None:
            raise OSError(errno.ENOTSUP, os.strerror(errno.ENOTSUP))

        os.link = no_links
    n_calls = counted(world(folder / "all"))
    found = {"n_calls": n_calls, "n_stops": 0, "n_again": 0, "old": 0, "new": 0}
    wrong = []
    for number in range(1, n_calls + 1, step):
        target = world(folder / str(number))
        inodes = own_inodes(target)

        def work(target: Path = target, number: int = number) -> None:
            stop_at(number, how)
            build(target)

        status = in_child(work)
        found["n_stops"] += 1
        if how == "kill" and not (os.WIFSIGNALED(status) and os.WTERMSIG(status) == 9):
            wrong.append(f"{number}: not stopped ({status})")
        elif how != "kill" and (not os.WIFEXITED(status) or os.WEXITSTATUS(status) not in {0, 2}):
            wrong.append(f"{number}: ended with {status}")
        if own_inodes(target) != inodes:
            wrong.append(f"{number}: a file of the user's was moved")
        elif how == "once" and whole(target) not in {"old", "new"}:
            wrong.append(f"{number}: a call that failed once left {whole(target)}")
        if found["n_stops"] % again == 0:
            found["n_again"] += stopped_again(target, inodes, wrong, number)
        elif in_child(lambda target=target: settle(target)) != 0:
            wrong.append(f"{number}: the next command failed")
        bad = wrong_after(target, inodes)
        if bad:
            wrong.append(f"{number}: {bad}")
        else:
            found[whole(target)] += 1
        shutil.rmtree(folder / str(number))
    sys.stdout.write(json.dumps({**found, "wrong": wrong[:10], "n_wrong": len(wrong)}))


def stopped_again(target: Path, inodes: dict[str, int], wrong: list[str], number: int) -> int:
    """Have the next command stopped too, later and later, until it comes to its end."""
    again = 0
    while True:
        again += 1

        def work(again: int = again) -> None:
            stop_at(again, "kill")
            settle(target)

        status = in_child(work)
        if own_inodes(target) != inodes:
            wrong.append(f"{number}, then {again}: a file of the user's was moved")
        if status == 0:
            return again - 1
        if again > 1000 or not os.WIFSIGNALED(status):
            wrong.append(f"{number}, then {again}: ended with {status}")
            return again


if __name__ == "__main__":
    main()
