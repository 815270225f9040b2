"""Measures seasons on this machine, in pieces; each prints what it found beside the aim.

    python3 scripts/season_figures.py FOLDER                     all pieces, as the aims say
    python3 scripts/season_figures.py FOLDER --expect            only how long each would take
    python3 scripts/season_figures.py FOLDER --tests 200 --only efficiency,again

| piece | |
|---|---|
| machine | what two processors of this machine do at once, of twice one: no season can be better |
| efficiency | `--tests` generated tests in 5 arrangements on 1 and on 2 workers |
| again | the same command once more, nothing changed; needs what `efficiency` left in FOLDER |
| bytes | the same tests by `build`, every file compared; needs what `efficiency` left |
| overhead | tasks that do nothing, on 2 workers |
| real | `--real-tests` tests with a real voice on 1, 2 and 4 workers: bytes and memory |
| cold | `--cold-tests` tests with a real voice: `build` one after another, and a season |

`efficiency`, `again` and `bytes` speak with the voice without a model of the tests. Lines are kept
in FOLDER/figures.txt too. Run it where nothing else runs: seconds are those of the clock, beside
those of all processors, so that a machine that does other work is seen. Linux only: what processes
take is read in /proc.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import statistics
import subprocess
import sys
import threading
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from bootstrap import ROOT
from make_season import write_season
from pausewright.season.asks import Voiced
from pausewright.season.dask_engine import OnThisMachine
from pausewright.season.graph import Task
from pausewright.season.run import WORK

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

N_EMPTY: Final = 300
"""Tasks that do nothing."""
LOOKED_S: Final = 1.0
TICKS_A_S: Final = os.sysconf("SC_CLK_TCK")
MODULES: Final = {False: "pausewright", True: "support.seasons.no_models"}
"""The program, with a real voice or with one without a model."""
TEST_S: Final = {True: 4.3, False: 15.0}
"""Seconds of a processor for one short test in five versions, without a model and with one: from a
busy machine, for guesses alone."""
START_S: Final = {"season": 20.0, "build": 4.0}
"""The same for the start of a command and of its workers."""
BURNT: Final = 12_000_000
"""Steps of a loop that a processor is kept busy with."""


@dataclass
class Took:
    """What a command took."""

    wall_s: float = 0.0
    worked_s: float = 0.0
    """Of all processors, its children counted."""
    own_s: float = 0.0
    """Of the command alone, without its children."""
    peak_mb: dict[int, float] = field(default_factory=dict)
    """Largest memory of each of its processes, by its number."""
    said: str = ""


def _children(pid: int) -> list[int]:
    """Return the processes that a process has started and that run."""
    found: list[int] = []
    for thread in Path(f"/proc/{pid}/task").glob("*/children"):
        with contextlib.suppress(OSError):
            found += map(int, thread.read_text("utf-8").split())
    return found


def _look(pid: int) -> tuple[float, float]:
    """Return the seconds that a process has worked, and its memory's peak in MB; 0 if it ended."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
        status = Path(f"/proc/{pid}/status").read_text("utf-8")
    except OSError:
        return 0.0, 0.0
    peak = status.partition("VmHWM:")[2].split()
    return (int(stat[11]) + int(stat[12])) / TICKS_A_S, int(peak[0]) / 1000 if peak else 0.0


def _watch(pid: int, took: Took, is_over: threading.Event) -> None:
    """Note what a command and its children take, until it is over."""
    while not is_over.wait(LOOKED_S):
        for one in (pid, *_children(pid)):
            worked_s, peak_mb = _look(one)
            if one == pid:
                took.own_s = max(took.own_s, worked_s)
            took.peak_mb[one] = max(took.peak_mb.get(one, 0.0), peak_mb)


def took(command: list[str]) -> Took:
    """Run a command that must succeed."""
    found, is_over, before, started_s = Took(), threading.Event(), os.times(), time.monotonic()
    running = subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8")
    watch = threading.Thread(target=_watch, args=(running.pid, found, is_over))
    watch.start()
    try:
        found.said, _ = running.communicate()
    finally:
        is_over.set()
        watch.join()
    found.wall_s, after = time.monotonic() - started_s, os.times()
    found.worked_s = sum(after[2:4]) - sum(before[2:4])
    if running.returncode:
        raise SystemExit(f"{' '.join(command)} failed")
    return found


class Figures:
    """Pieces on one folder."""

    def __init__(self, asked: argparse.Namespace) -> None:
        """Take what is asked for."""
        self._asked = asked
        self._folder: Path = asked.folder

    def say(self, line: str) -> None:
        """Print a line and keep it."""
        print(line, flush=True)
        with (self._folder / "figures.txt").open("a", encoding="utf-8") as kept:
            kept.write(line + "\n")

    def _program(self, *arguments: str, fake: bool) -> list[str]:
        return [sys.executable, "-m", MODULES[fake], *arguments]

    def _season(self, name: str, n_workers: int, *, fake: bool, more: Iterable[str] = ()) -> Took:
        """Make the season of a folder with so many workers."""
        how = ("--out", str(self._folder / f"out-{name}"), "--workers", str(n_workers), "--json")
        return took(self._program("season", str(self._folder / name), *how, *more, fake=fake))

    def _written(self, name: str, n_tests: int) -> list[Path]:
        """Write tests into a folder that must be new; return their scripts."""
        season = self._folder / name
        if season.exists():
            raise SystemExit(f"{season} is there: remove it, or name another folder")
        write_season(season, n_tests, [self._asked.voice])
        return sorted(season.rglob("*.md"))

    def machine(self) -> None:
        """Say what two processors do at once."""
        with ProcessPoolExecutor(2) as pool:
            list(pool.map(_burn, [1000, 1000]))
            started_s = time.monotonic()
            pool.submit(_burn, BURNT).result()
            one_s, started_s = time.monotonic() - started_s, time.monotonic()
            list(pool.map(_burn, [BURNT, BURNT]))
            share = one_s / (time.monotonic() - started_s)
        self.say(f"machine: two processors at once do {share:.2f} of twice what one does alone")

    def efficiency(self) -> None:
        """Make the same season on one worker and on two."""
        n_tests, first = self._asked.tests, {}
        for n_workers in (1, 2):
            self._written(f"on-{n_workers}", n_tests)
            file = self._folder / f"measured-{n_workers}.jsonl"
            one = self._season(
                f"on-{n_workers}", n_workers, fake=True, more=("--measured", str(file))
            )
            first[n_workers], told = one, json.loads(one.said)
            self.say(
                f"efficiency: {n_tests} tests on {n_workers}: {one.wall_s:.1f} s by the clock, "
                f"{one.worked_s:.1f} s of processors, {one.own_s:.1f} of them by the command; "
                f"{told['n_tasks']} tasks, {told['n_uses']} uses of {told['n_utterances']} "
                f"utterances, {told['n_voiced']} voiced"
            )
            kept = {"wall_s": one.wall_s, "worked_s": one.worked_s}
            (self._folder / f"first-{n_workers}.json").write_text(json.dumps(kept), "utf-8")
        self.say(
            f"efficiency: {first[1].wall_s / first[2].wall_s / 2:.3f} from 1 to 2 workers, start "
            f"and end counted; by processors {first[1].worked_s / first[2].worked_s:.3f} (aim 0.9)"
        )

    def again(self) -> None:
        """Make the season of two workers again, with nothing changed."""
        first = json.loads((self._folder / "first-2.json").read_text("utf-8"))
        one = self._season("on-2", 2, fake=True)
        told = json.loads(one.said)
        self.say(
            f"again: {told['n_current']} current, {told['n_made']} made: {one.wall_s:.1f} s, "
            f"{one.wall_s / first['wall_s']:.2%} of the first by the clock, "
            f"{one.worked_s / first['worked_s']:.2%} by processors (aim 2 %)"
        )

    def bytes(self) -> None:
        """Build the tests one by one, and compare every file with those of both seasons."""
        scripts = sorted((self._folder / "on-1").rglob("*.md"))[:: self._asked.every]
        out = self._folder / "out-built"
        for script in scripts:
            took(self._program("build", str(script), "--out", str(out), "--quiet", fake=True))
        for name in ("on-1", "on-2"):
            self._compare("bytes", out, name, [script.stem for script in scripts])

    def _compare(self, piece: str, out: Path, name: str, tests: list[str]) -> None:
        """Compare every file of tests in two folders of results, with its rights."""
        n_files, wrong = 0, []
        for test in tests:
            mine, theirs = _files(out / test), _files(self._folder / f"out-{name}" / test)
            n_files += len(mine)
            wrong += [f"{test}/{one}" for one in mine.keys() | theirs.keys()
                      if mine.get(one) != theirs.get(one)]  # fmt: skip
        self.say(
            f"{piece}: {n_files - len(wrong)} of {n_files} files of {len(tests)} tests equal in "
            f"{out.name} and out-{name} {sorted(wrong)[:5] or ''}"
        )

    def overhead(self) -> None:
        """Measure tasks that do nothing: one after the other, and many at once."""
        with OnThisMachine(2, self._folder / "overhead") as engine:
            single = []
            for at in range(N_EMPTY):
                task = Task(f"one-{at}", "kept", Voiced(0))
                started_s = time.monotonic()
                engine.add([task])
                while engine.next(5) is None:
                    pass
                single.append(time.monotonic() - started_s)
                engine.drop([task.key])
            tasks = [Task(f"many-{at}", "kept", Voiced(0)) for at in range(N_EMPTY)]
            started_s, before_s = time.monotonic(), time.process_time()
            engine.add(tasks)
            n_ended = 0
            while n_ended < N_EMPTY:
                n_ended += engine.next(5) is not None
            many_ms = 1000 * (time.monotonic() - started_s) / N_EMPTY
            own_ms = 1000 * (time.process_time() - before_s) / N_EMPTY
        self.say(
            f"overhead: {N_EMPTY} empty tasks on 2 workers: one after the other "
            f"{1000 * statistics.median(single):.1f} ms each in the median (aim 5), together "
            f"{many_ms:.1f} ms each; {own_ms:.1f} ms of a processor in the command"
        )

    def real(self) -> None:
        """Make a season with a real voice on 1, 2 and 4 workers."""
        tests: list[str] = []
        for n_workers in (1, 2, 4):
            name = f"real-{n_workers}"
            tests = [one.stem for one in self._written(name, self._asked.real_tests)]
            one = self._season(name, n_workers, fake=False)
            peaks = sorted((round(mb) for mb in one.peak_mb.values()), reverse=True)
            self.say(
                f"real: {len(tests)} tests on {n_workers}: {one.wall_s:.1f} s by the clock, "
                f"{one.worked_s:.1f} s of processors; memory of its processes at most "
                f"{peaks[: n_workers + 1]} MB"
            )
        for n_workers in (2, 4):
            self._compare("real", self._folder / "out-real-1", f"real-{n_workers}", tests)

    def cold(self) -> None:
        """Compare a season on two workers with `build`, one test after another."""
        fake, n = self._asked.cold_fake, self._asked.cold_tests
        singly = self._builds("cold-singly", n, ("--workers", "1"), fake=fake)
        usual = self._builds("cold-usual", n, (), fake=fake)
        self._written("cold", n)
        season = self._season("cold", 2, fake=fake)
        idle_s = len(os.sched_getaffinity(0)) * usual.wall_s - usual.worked_s
        aim = 0.9 * (1 + idle_s / usual.worked_s)
        self.say(
            f"cold: {n} tests: build --workers 1 {singly.wall_s:.1f} s, build {usual.wall_s:.1f} s "
            f"(work {usual.worked_s:.1f} s, processors idle {idle_s:.1f} s), season on two "
            f"{season.wall_s:.1f} s, {season.worked_s:.1f} s of processors"
        )
        self.say(
            f"cold: {singly.wall_s / season.wall_s:.2f} × build --workers 1 (aim 1.6); "
            f"{usual.wall_s / season.wall_s:.2f} × build (aim {aim:.2f})"
        )

    def _builds(self, name: str, n_tests: int, more: Iterable[str], *, fake: bool) -> Took:
        """Build tests one after another, each by a command of its own, as a person does."""
        found = Took()
        for script in self._written(name, n_tests):
            out = ("--out", str(self._folder / f"out-{name}"), "--quiet")
            one = took(self._program("build", str(script), *out, *more, fake=fake))
            found.wall_s += one.wall_s
            found.worked_s += one.worked_s
        return found

    def expected_s(self) -> dict[str, float]:
        """Return about how long each piece takes on two quiet processors."""
        asked = self._asked
        fake_s, real_s = asked.tests * TEST_S[True], asked.real_tests * TEST_S[False]
        cold_s = asked.cold_tests * TEST_S[asked.cold_fake]
        starts_s = asked.cold_tests * START_S["build"]
        return {
            "machine": 10,
            "efficiency": 1.5 * fake_s + 2 * START_S["season"],
            "again": 5 + 0.03 * asked.tests,
            "bytes": (fake_s + asked.tests * START_S["build"]) / asked.every,
            "overhead": 30,
            "real": 2 * real_s + 3 * START_S["season"],
            "cold": 2.3 * cold_s + 2 * starts_s + START_S["season"],
        }


def _burn(n_steps: int) -> int:
    total = 0
    for at in range(n_steps):
        total += at & 3
    return total


def _files(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Return bytes and rights of every file of a test."""
    return {
        file.relative_to(folder).as_posix(): (file.read_bytes(), file.stat().st_mode)
        for file in sorted(folder.rglob("*"))
        if file.is_file() and WORK not in file.parts
    }


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Figures of a season.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", default="", help="pieces, with commas; all without it")
    parser.add_argument("--tests", type=int, default=200)
    parser.add_argument("--every", type=int, default=1, help="bytes: only each so many-th test")
    parser.add_argument("--real-tests", type=int, default=10)
    parser.add_argument("--cold-tests", type=int, default=50)
    parser.add_argument("--cold-fake", action="store_true", help="cold without a model")
    parser.add_argument("--voice", default="joe")
    parser.add_argument("--expect", action="store_true", help="only say how long it would take")
    asked = parser.parse_args()
    figures = Figures(asked)
    expected_s = figures.expected_s()
    pieces = [one for one in asked.only.split(",") if one] or list(expected_s)
    if wrong := set(pieces) - expected_s.keys():
        parser.error(f"no such piece: {', '.join(sorted(wrong))}")
    paths = [str(ROOT / one) for one in ("pipeline", "voices", "tests", "scripts")]
    os.environ["PYTHONPATH"] = os.pathsep.join([*paths, os.environ.get("PYTHONPATH", "")])
    if not asked.expect:
        asked.folder.mkdir(parents=True, exist_ok=True)
        load = os.getloadavg()[0]
        figures.say(f"# {time.strftime('%Y-%m-%d %H:%M')}, load before {load:.1f}")
    for name in pieces:
        print(f"# {name}: about {expected_s[name] / 60:.1f} min on two quiet processors")
        if not asked.expect:
            run: Callable[[], Any] = getattr(figures, name)
            run()


if __name__ == "__main__":
    main()
