"""Whole builds with the voice without a model, killed, run at once, and on a disk that is full.

    kills FOLDER SEED N     N builds killed at random
    pairs FOLDER N          N times two builds at once into one folder
    full FOLDER STEP WHERE  every STEP x 50 KB of room, from none to enough;
                            WHERE: "results", or "all" (kept takes too)

are what may follow `python -m support.processes.build_stops`; each prints a line of JSON.
Builds run in children of one process that has everything loaded.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pausewright.deliver.build import Options, build_versions
from pausewright.deliver.recheck import recheck
from pausewright.files.leftovers import leftovers, remove_leftovers
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import OutputError, PausewrightError

from support.processes.swap_stops import lay, stop_at
from support.scripts.short_scripts import SMALL
from support.scripts.versions import written
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.sound.track_files import Format

STEP_BYTES: Final = 50_000
_LATER: Final = SMALL.replace("boats", "ships")
_MINE: Final = {
    "notes.txt": "mine", "own/one.txt": "1", "version-A/mine.txt": "2", "confidential/n.txt": "3"
}  # fmt: skip
"""The user's own, between the results."""


def build(script: Path, out: Path | None = None, formats: tuple[Format, ...] = ("wav",)) -> None:
    """Build a script."""
    folder = script.parent
    engines = fake_engines(FakeEngine(ramp_s=0.02))
    options = Options(
        out or folder / "out", formats, engines=engines, profiles=fake_profiles(folder)
    )
    build_versions(script, options)


def build_until(call: int, script: Path) -> None:
    """Build a script and be killed at a call that changes the disk."""
    stop_at(call, "kill")
    build(script)


def started(work: Callable[[], object], log: Path) -> int:
    """Do something in a child; it ends with 2 and its sentence in `log` for a user's error."""
    child = os.fork()
    if child:
        return child
    code = 70
    try:
        work()
        code = 0
    except PausewrightError as error:
        log.write_text(error.message, "utf-8")
        code = 2
    finally:
        os._exit(code)


def done(work: Callable[[], object], log: Path) -> int:
    """Do something in a child and return its code; negative if it was killed."""
    return os.waitstatus_to_exitcode(os.waitpid(started(work, log), 0)[1])


def held(target: Path) -> dict[str, str]:
    """Return the hash of every file; of a record its text, without a key that knows its place."""
    found = {}
    for file in sorted(target.rglob("*")):
        path = file.relative_to(target).as_posix()
        if file.name.startswith("build-record_"):
            found[path] = str(json.loads(file.read_text("utf-8")) | {"build_key": ""})
        elif file.is_file():
            found[path] = sha256_of(file, kind=BUILT_FILE)
    return found


class Worlds:
    """Old results with files of the user's own between them, and what new ones look like."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.log = folder / "log"
        self.base = folder / "base"
        self.base.mkdir()
        script = written(self.base, SMALL, "")
        assert done(lambda: build(script), self.log) == 0
        self.old = held(self.base / "out" / "tide")
        again = folder / "again"
        shutil.copytree(self.base, again)
        self.n_calls = self._rebuilt(again)
        self.new = held(again / "out" / "tide")
        assert set(self.old) != set(self.new)
        script.write_text(_LATER, "utf-8")
        lay(self.base / "out" / "tide", _MINE)

    def _rebuilt(self, folder: Path) -> int:
        script = written(folder, _LATER, "")
        counts = folder.with_suffix(".calls")

        def work() -> None:
            n_calls = stop_at(0, "")
            build(script)
            counts.write_text(str(n_calls[0]), "utf-8")

        started_s = time.monotonic()
        assert done(work, self.log) == 0
        self.took_s = time.monotonic() - started_s
        return int(counts.read_text("utf-8"))

    def one(self, place: Path) -> Path:
        """Copy the old results to a place; return the script there."""
        shutil.rmtree(place, ignore_errors=True)
        shutil.copytree(self.base, place)
        return place / "tide.md"

    def state(self, out: Path) -> str:
        """Return "old" or "new", or what is wrong."""
        found = held(out / "tide")
        if not self.own_whole(out):
            return "the user's files are not whole"
        results = {path: sha for path, sha in found.items() if path not in _MINE}
        beside = sorted(one.name for one in out.iterdir())
        if beside != ["tide"]:
            return f"left: {beside}"
        return "old" if results == self.old else "new" if results == self.new else "mixed"

    def own_whole(self, out: Path) -> bool:
        """Return whether the user's own files are as they were."""
        target = out / "tide"
        return all((target / path).read_text("utf-8") == text for path, text in _MINE.items())


def kills(worlds: Worlds, seed: int, n_kills: int) -> dict[str, Any]:
    """Kill builds at a random call or after a random time, then let another command run."""
    chance = random.Random(seed)  # noqa: S311  nothing secret
    found: dict[str, Any] = {"n_kills": 0, "old": 0, "new": 0, "too_late": 0, "wrong": []}
    number = 0
    script = worlds.folder / "one" / "tide.md"
    out = script.parent / "out"
    while found["n_kills"] < n_kills:
        worlds.one(script.parent)
        if number % 2:
            at = chance.randint(1, worlds.n_calls)
            code = done(partial(build_until, at, script), worlds.log)
        else:
            child = started(lambda: build(script), worlds.log)
            time.sleep(chance.uniform(0, 1.1 * worlds.took_s))
            os.kill(child, signal.SIGKILL)
            code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        number += 1
        if code == 0:
            found["too_late"] += 1
            continue
        found["n_kills"] += 1
        if not worlds.own_whole(out):
            found["wrong"].append(f"{number}: the user's files, before the next command")
        name, command = (
            ("forget", lambda: remove_leftovers(leftovers([out]))),
            ("forget", lambda: remove_leftovers(leftovers([out]))),
            ("check", lambda: recheck(out / "tide")),
            ("build", lambda: build(script)),
        )[number % 4]
        code = done(command, worlds.log)
        if name == "forget":  # a claim without a stage is the next look's
            done(lambda: recheck(out / "tide", record=out / "none"), worlds.log)
        state = worlds.state(out)
        if code or state not in {"old", "new"} or (name == "build" and state != "new"):
            found["wrong"].append(f"{number}, then {name}: {code}, {state}")
        else:
            found[state] += 1
    return found


def pairs(worlds: Worlds, n_pairs: int) -> dict[str, Any]:
    """Start two builds at once that write different files; one waits or is refused."""
    found: dict[str, Any] = {"both": 0, "refused": 0, "wrong": []}
    wanted = {}
    kinds: tuple[Format, ...] = ("wav", "flac")
    for kind in kinds:
        script = worlds.one(worlds.folder / kind)
        assert done(partial(build, script, None, (kind,)), worlds.log) == 0
        wanted[kind] = held(script.parent / "out" / "tide")
    for number in range(n_pairs):
        script = worlds.one(worlds.folder / "one")
        logs = {kind: worlds.folder / f"log-{kind}" for kind in wanted}
        children = [started(partial(build, script, None, (kind,)), logs[kind]) for kind in kinds]
        codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
        refused = [logs[kind].read_text("utf-8") for kind, code in zip(wanted, codes, strict=True)
                   if code == 2]  # fmt: skip
        whole = held(script.parent / "out" / "tide") in wanted.values()
        beside = sorted(one.name for one in (script.parent / "out").iterdir())
        good = all("another command is writing" in said for said in refused)
        if (
            not whole
            or beside != ["tide"]
            or not set(codes) <= {0, 2}
            or 0 not in codes
            or not good
        ):
            found["wrong"].append(f"{number}: {codes}, {whole}, {beside}, {refused}")
        else:
            found["refused" if refused else "both"] += 1
    return found


def full(worlds: Worlds, step: int, where: str) -> dict[str, Any]:
    """Build on a disk of memory with more and more room, from none until it is enough."""
    disk = worlds.folder / "disk"
    disk.mkdir()
    n_base = sum(file.stat().st_size for file in worlds.base.rglob("*") if file.is_file())
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={n_base * 4 + 4_000_000}", "none", str(disk)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if mounted.returncode:
        return {"skip": mounted.stderr.strip() or "nothing can be mounted here"}
    found: dict[str, Any] = {"n_full": 0, "wrong": [], "sentences": {}}
    try:
        for room in range(0, 1000, step):
            (disk / "ballast").unlink(missing_ok=True)
            script = worlds.one(worlds.folder / "one" if where == "results" else disk / "one")
            out = disk / "out"
            shutil.rmtree(out, ignore_errors=True)
            shutil.copytree(worlds.base / "out", out)
            _fill(disk, room * STEP_BYTES)
            worlds.log.unlink(missing_ok=True)
            code = done(partial(build, script, out), worlds.log)
            state = worlds.state(out)
            if code == 0:
                found["enough_bytes"] = room * STEP_BYTES
                if state != "new":
                    found["wrong"].append(f"{room}: {state}")
                break
            said = worlds.log.read_text("utf-8") if worlds.log.exists() else ""
            found["n_full"] += 1
            kind = said.partition("’")[2]
            found["sentences"][kind] = found["sentences"].get(kind, 0) + 1
            parts = [one.name for one in script.parent.rglob("*.part")]
            if code != 2 or state != "old" or parts or not said or "\n" in said:
                found["wrong"].append(f"{room}: {code}, {state}, {parts}, {said}")
    finally:
        subprocess.run(["umount", str(disk)], check=False)
    return found


def _fill(disk: Path, n_free: int) -> None:
    """Fill a disk but for some bytes."""
    room = os.statvfs(disk)
    n_bytes = room.f_bavail * room.f_frsize - n_free
    with (disk / "ballast").open("wb") as file:
        os.posix_fallocate(file.fileno(), 0, max(1, n_bytes))


def main() -> None:
    """Do what the command line asks for."""
    what, folder, *rest = sys.argv[1:]
    worlds = Worlds(Path(folder))
    if what == "kills":
        found = kills(worlds, int(rest[0]), int(rest[1]))
    elif what == "pairs":
        found = pairs(worlds, int(rest[0]))
    elif what == "full":
        found = full(worlds, int(rest[0]), rest[1])
    else:
        raise OutputError(what)
    sys.stdout.write(json.dumps(found))


if __name__ == "__main__":
    main()
