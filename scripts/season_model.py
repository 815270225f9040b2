"""Reckons how long a season would take on more workers, from tasks that were measured.

    pausewright season FOLDER --measured tasks.jsonl
    python3 scripts/season_model.py tasks.jsonl [--tests 1000] [--overhead-ms 3] [--serial-ms 1.5]

Each test of the file is a graph: its tasks, what each took and which it waited for. They are
taken in turn until there are so many tests as asked; utterances that several tests share are
voiced once in each turn. A task begins when all before it are done, a worker is free and the
scheduler has handed it out, which it does for one task after the other. As in a season, a window
of tests is in work. It is a model: disks, networks and voices that wait for each other are not in
it but for what the measured times hold.
"""

from __future__ import annotations

import argparse
import heapq
import json
from collections import defaultdict, deque
from dataclasses import dataclass
from pathlib import Path
from typing import Final

WORKERS: Final = (1, 2, 4, 8, 16, 32, 64, 100)
WINDOW: Final = 2
"""Tests in work beside one for each worker: `pausewright.season.maker.WINDOW`."""


@dataclass(frozen=True, slots=True)
class Node:
    """A task of the model."""

    key: str
    took_s: float
    after: tuple[str, ...]


def read(file: Path) -> list[list[Node]]:
    """Return the tests of a file of measured tasks, each as its tasks."""
    tests: dict[str, list[Node]] = {}
    for line in file.read_text("utf-8").splitlines():
        one = json.loads(line)
        node = Node(one["key"], one["took_s"], tuple(one["after"]))
        tests.setdefault(one["test"], []).append(node)
    return list(tests.values())


def repeated(tests: list[list[Node]], n_tests: int) -> list[list[Node]]:
    """Return so many tests; each turn has keys of its own."""
    found = []
    for at in range(n_tests):
        turn, test = divmod(at, len(tests))
        found.append(
            [
                Node(f"{turn} {n.key}", n.took_s, tuple(f"{turn} {a}" for a in n.after))
                for n in tests[test]
            ]
        )
    return found


def critical_s(tests: list[list[Node]]) -> float:
    """Return the longest chain of tasks that wait for each other."""
    ends: dict[str, float] = {}
    for test in tests:
        for node in test:
            start = max((ends.get(one, 0.0) for one in node.after), default=0.0)
            ends[node.key] = max(ends.get(node.key, 0.0), start + node.took_s)
    return max(ends.values(), default=0.0)


def simulated_s(
    tests: list[list[Node]], n_workers: int, overhead_s: float, serial_s: float
) -> float:
    """Return when the last of all tests is done.

    Parameters
    ----------
    tests : in the order in which they are begun
    n_workers : that do one task at a time
    overhead_s : by which each task holds its worker longer than it works
    serial_s : by which the one scheduler is busy with each task
    """
    waiting = deque(tests)
    done: set[str] = set()
    left: dict[str, int] = {}
    unmet: dict[str, set[str]] = {}
    followers: defaultdict[str, list[Node]] = defaultdict(list)
    owners: defaultdict[str, list[int]] = defaultdict(list)
    ready: deque[Node] = deque()
    running: list[tuple[float, str]] = []
    n_free, n_open, now_s, handed_s, n_begun = n_workers, 0, 0.0, 0.0, 0
    tasks_left: dict[int, int] = {}
    while waiting or running or ready:
        while waiting and n_open < n_workers + WINDOW:
            n_begun += 1
            n_open += 1
            new = [node for node in waiting.popleft() if node.key not in done]
            tasks_left[n_begun] = len(new)
            if not new:
                n_open -= 1
            for node in new:
                owners[node.key].append(n_begun)
                if node.key in left:
                    continue
                left[node.key] = 1
                missing = {one for one in node.after if one not in done}
                unmet[node.key] = missing
                for one in missing:
                    followers[one].append(node)
                if not missing:
                    ready.append(node)
        while ready and n_free:
            node = ready.popleft()
            n_free -= 1
            handed_s = max(handed_s, now_s) + serial_s
            heapq.heappush(running, (handed_s + node.took_s + overhead_s, node.key))
        if not running:
            break
        now_s, key = heapq.heappop(running)
        n_free += 1
        done.add(key)
        for follower in followers.pop(key, ()):
            unmet[follower.key].discard(key)
            if not unmet[follower.key]:
                ready.append(follower)
        for owner in owners.pop(key, ()):
            tasks_left[owner] -= 1
            n_open -= tasks_left[owner] == 0
    return now_s


def main() -> None:
    """Print a row for each number of workers."""
    parser = argparse.ArgumentParser(description="A model of a season on more workers.")
    parser.add_argument("measured", type=Path)
    parser.add_argument("--tests", type=int, default=0, help="tests in all; 0: those of the file")
    parser.add_argument("--overhead-ms", type=float, default=3.0)
    parser.add_argument("--serial-ms", type=float, default=1.5)
    asked = parser.parse_args()
    tests = read(asked.measured)
    tests = repeated(tests, asked.tests or len(tests))
    seen: set[str] = set()
    work_s = 0.0
    for node in (node for test in tests for node in test):
        work_s += 0 if node.key in seen else node.took_s
        seen.add(node.key)
    print(
        f"{len(tests)} tests, {len(seen)} tasks, {work_s:.0f} s of work, "
        f"longest chain {critical_s(tests):.1f} s"
    )
    for n_workers in WORKERS:
        took_s = simulated_s(tests, n_workers, asked.overhead_ms / 1000, asked.serial_ms / 1000)
        share = work_s / took_s / n_workers
        print(f"{n_workers:4} workers: {took_s:9.1f} s, {share:6.1%} of them at work")


if __name__ == "__main__":
    main()
