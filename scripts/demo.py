"""Build one short demo test and say where to hear it, then the others; check every track.

    python3 scripts/demo.py

Needs only Python and pip; what else it needs goes into a virtual environment of its own. Exit
codes: 0 all good, 1 a build or a check failed, 2 something that a person must install is missing.
"""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any, Final

from bootstrap import ROOT, child_environment, program, ready, run_script

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

SCRIPTS: Final = ROOT / "demo_scripts"
OUT: Final = ROOT / "out"
SOUND: Final = {".mp3", ".wav", ".flac"}
AT_ONCE: Final = 2
"""Checks at the same time."""
MOST_LISTED: Final = 15
"""Tests that are listed at the end, so that all of it fits a screen of 24 lines."""


def main() -> int:
    """Build and check all demo scripts, a short one first; return the exit code."""
    if len(sys.argv) > 1:
        print((__doc__ or "").strip())
        return 0 if sys.argv[1] in {"-h", "--help"} else 2
    ready(["all"])
    scripts = shortest_first(SCRIPTS.glob("*.md"))
    if not scripts:
        print(f"error: {shown(SCRIPTS)} holds no script", file=sys.stderr)
        return 1
    start_s = time.monotonic()
    first, *others = scripts
    failed = _failed([first])
    if not failed:
        print(f"\nThe first test is ready; {len(others)} more are built now, all together.")
        print(f"{where_to_look(OUT / first.stem)}\n", flush=True)
    failed += _failed(others)
    print("\n" + "\n".join(last_words(scripts, failed, time.monotonic() - start_s)))
    return 1 if failed else 0


def shortest_first(scripts: Iterable[Path]) -> list[Path]:
    """Return the scripts by name, with the one of the fewest bytes before the others."""
    by_name = sorted(scripts)
    first = min(by_name, key=lambda script: script.stat().st_size, default=None)
    return sorted(by_name, key=lambda script: script != first)


def last_words(scripts: Sequence[Path], failed: Sequence[Path], took_s: float) -> list[str]:
    """Return what stands on the screen at the end: what to hear, and how to go on."""
    good = [script for script in scripts if script not in failed]
    shown_here = sorted(good)[:MOST_LISTED]
    rows = [f"{len(good)} of {len(scripts)} demo tests built and checked in {took_s:.0f} s"]
    if failed:
        names = ", ".join(script.stem for script in failed)
        rows.append(f"FAILED: {names}; what went wrong stands above")
    rows += [f"  listen  {shown(track)}" for script in shown_here for track in _first_track(script)]
    if len(good) > len(shown_here):
        rows.append(f"  and {len(good) - len(shown_here)} more in {shown(OUT)}")
    return [
        *rows,
        "Beside each track lies its room screen (a tour of one minute: docs/room-screen.md);",
        "papers lie in print, reports in confidential.",
        "The tool itself, in any window from now on (type a command in place of --help):",
        *start_lines(program("pausewright")),
    ]


def start_lines(file: Path, system: str = os.name) -> list[str]:
    """Return what to type to start a program of the environment, whatever the folder."""
    if system != "nt":
        return [f"  {shlex.quote(str(file))} --help"]
    if " " not in str(file):
        return [f"  {file} --help"]
    return [f'  & "{file}" --help   (PowerShell)', f'  "{file}" --help   (Command Prompt)']


def shown(path: Path) -> str:
    """Return a path as a person in the project's folder would type it."""
    return str(path.relative_to(ROOT)) if path.is_relative_to(ROOT) else str(path)


def tracks(folder: Path) -> list[Path]:
    """Return the delivered tracks of one test, in order."""
    found = (f for f in folder.glob("version-*/*") if f.suffix.lower() in SOUND)
    return sorted(f for f in found if not f.stem.endswith("_sound-check"))


def where_to_look(folder: Path) -> str:
    """Return what a person would open of one test: listen, read, look."""
    found = [("play", f) for f in sorted(folder.glob("version-*/*_room-screen.html"))]
    found += [("listen", track) for track in tracks(folder)]
    found += [("look", f) for f in sorted(folder.glob("version-*/*.vtt"))]
    found += [("look", f) for f in sorted(folder.glob("print/*/*")) if f.is_file()]
    found += [("read", f) for f in sorted(folder.glob("confidential/check-report_*.txt"))]
    return "\n".join([shown(folder), *(f"  {what:8}{shown(file)}" for what, file in found)])


def _first_track(script: Path) -> list[Path]:
    return tracks(OUT / script.stem)[:1]


def measured(report: dict[str, Any]) -> str:
    """Return one line about a check report in JSON: what was compared and the worst of it."""
    held = [row for row in report["silences"] if row["difference_s"] is not None]
    worst_ms = max((abs(row["difference_s"]) for row in held), default=0.0) * 1000
    loudness, peak = report["levels"]["loudness_lufs"], report["levels"]["true_peak_dbtp"]
    levels = "silent" if None in (loudness, peak) else f"{loudness:.1f} LUFS, {peak:.1f} dBTP"
    return (
        f"{report['verdict']}: {len(report['questions'])} questions, "
        f"{len(held)} silences measured, the furthest off by {worst_ms:.1f} ms; {levels}"
    )


def _failed(scripts: Sequence[Path]) -> list[Path]:
    """Build scripts in one call, check each track as a person would; return those that failed."""
    if not scripts:
        return []
    built = _pausewright("build", *map(shown, scripts), "--out", shown(OUT))
    if built.returncode and len(scripts) > 1:  # one at a time tells which of them
        return [failed for script in scripts for failed in _failed([script])]
    if built.returncode:
        print(f"{shown(scripts[0])}\n{built.stdout}", flush=True)
        return list(scripts)
    failed = []
    with ThreadPoolExecutor(AT_ONCE) as pool:
        for script, rows in zip(scripts, pool.map(_check, scripts), strict=True):
            print("\n".join([shown(script), *(f"          {row}" for row, _ in rows)]), flush=True)
            if not (rows and all(is_good for _, is_good in rows)):
                failed.append(script)
    return failed


def _check(script: Path) -> list[tuple[str, bool]]:
    """Return for each track of a script what its check says, and whether it is good."""
    rows = []
    for track in tracks(OUT / script.stem):
        done = _pausewright("check", shown(track), "--script", shown(script), "--json", "--quiet")
        is_report = done.returncode in {0, 1} and done.stdout.startswith("{")
        row = measured(json.loads(done.stdout)) if is_report else done.stdout
        rows.append((row, done.returncode == 0))
    return rows


def _pausewright(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the command in the project's folder; keep its output, let its progress be seen."""
    return subprocess.run(
        [str(program("pausewright")), *arguments],
        cwd=ROOT,
        env=child_environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        encoding="utf-8",
        errors="replace",
        check=False,
    )


if __name__ == "__main__":
    run_script(main)
