"""Build every demo test, check every track, and say where to listen, read and look.

    python3 scripts/demo.py

Needs only Python and pip; what else it needs goes into a virtual environment of its own. Exit
codes: 0 all good, 1 a build or a check failed, 2 something that a person must install is missing.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from typing import TYPE_CHECKING, Any, Final

from bootstrap import ROOT, child_environment, program, ready, run_script

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

SCRIPTS: Final = ROOT / "demo_scripts"
OUT: Final = ROOT / "out"
SOUND: Final = {".mp3", ".wav", ".flac"}


def main() -> int:
    """Build and check all demo scripts; return the exit code."""
    if len(sys.argv) > 1:
        print((__doc__ or "").strip())
        return 0 if sys.argv[1] in {"-h", "--help"} else 2
    ready(["all"])
    scripts = sorted(SCRIPTS.glob("*.md"))
    if not scripts:
        print(f"error: {shown(SCRIPTS)} holds no script", file=sys.stderr)
        return 1
    start_s = time.monotonic()
    failed = []
    for number, script in enumerate(scripts, 1):
        print(f"\n---- {number} of {len(scripts)}: {shown(script)}", flush=True)
        failed += [] if _build(script) and _check(script) else [script]
    for script in scripts:
        if script not in failed:
            print("\n" + where_to_look(OUT / script.stem))
    n_good = len(scripts) - len(failed)
    print(f"\n{n_good} of {len(scripts)} demo tests built and checked", end="")
    print(f" in {time.monotonic() - start_s:.0f} s")
    for script in failed:
        print(f"FAILED: {shown(script)}; what went wrong stands above")
    return 1 if failed else 0


def shown(path: Path) -> str:
    """Return a path as a person in the project's folder would type it."""
    return str(path.relative_to(ROOT)) if path.is_relative_to(ROOT) else str(path)


def tracks(folder: Path) -> list[Path]:
    """Return the delivered tracks of one test, in order."""
    return sorted(f for f in folder.glob("version-*/*") if f.suffix.lower() in SOUND)


def where_to_look(folder: Path) -> str:
    """Return what a person would open of one test: listen, read, look."""
    found = [("listen", track) for track in tracks(folder)]
    found += [("look", f) for f in sorted(folder.glob("version-*/*.vtt"))]
    found += [("look", f) for f in sorted(folder.glob("print/*/*")) if f.is_file()]
    found += [("read", f) for f in sorted(folder.glob("confidential/check-report_*.txt"))]
    return "\n".join([shown(folder), *(f"  {what:8}{shown(file)}" for what, file in found)])


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


def _build(script: Path) -> bool:
    return _pausewright("build", shown(script), "--out", shown(OUT)).returncode == 0


def _check(script: Path) -> bool:
    found = tracks(OUT / script.stem)
    good = bool(found)
    for track in found:
        start_s = time.monotonic()
        print(f"checking {shown(track)} on its own", flush=True)
        done = _pausewright("check", shown(track), "--script", shown(script), "--json", keep=True)
        if done.returncode in {0, 1} and done.stdout.startswith("{"):
            print(f"  {measured(json.loads(done.stdout))} ({time.monotonic() - start_s:.1f} s)")
        good = good and done.returncode == 0
    return good


def _pausewright(*arguments: str, keep: bool = False) -> subprocess.CompletedProcess[str]:
    """Run the command as a user would, in the project's folder; `keep` its output unshown."""
    command: Sequence[str] = [str(program("pausewright")), *arguments]
    if not keep:
        print("$ pausewright " + " ".join(arguments), flush=True)
    return subprocess.run(
        command, cwd=ROOT, env=child_environment(), stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE if keep else None, encoding="utf-8", errors="replace", check=False,
    )  # fmt: skip


if __name__ == "__main__":
    run_script(main)
