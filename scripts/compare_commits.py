"""Build the same scripts with two commits on this machine, and compare sound and verdicts.

    python3 scripts/compare_commits.py 9222149          that commit against the files as they are
    python3 scripts/compare_commits.py OLD NEW --only music

The scripts are the demos, the demos of arrangements and the samples of the older commit, so that
both build the same words. A restructuring changes none of their samples; what it does change is
listed and must be explained. Needs git and an environment that `scripts/test.py` made.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bootstrap import ROOT, program, run_script

if TYPE_CHECKING:
    from collections.abc import Iterator

HERE = "the files as they are"
SAMPLES = ("support.scripts.sample_sounds", "sample_sounds")
"""The module that lays samples out: as it is called here, and in older commits."""
LAY_OUT = (
    "import sys; from pathlib import Path; from importlib import import_module; "
    "import_module(sys.argv[1]).lay_out(Path(sys.argv[2]))"
)


class Outcome(NamedTuple):
    """What one commit made of one script."""

    exit_code: int
    sounds: dict[str, str]
    """SHA-256 of each WAV file, by its path in the output folder."""
    verdicts: dict[str, tuple[int, str]]
    """Exit code and verdict of the check of each, run by itself."""


def main() -> int:
    """Build with both and compare; return 1 if anything differs."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("old", help="the older commit")
    parser.add_argument("new", nargs="?", default=HERE, help="the newer one; else the files here")
    parser.add_argument("--only", nargs="*", default=[], help="scripts whose names hold a word")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="pausewright-commits-") as name:
        folder = Path(name)
        with (
            checked_out(chosen.old, folder / "old") as old,
            checked_out(chosen.new, folder / "new") as new,
        ):
            scripts = [
                script
                for script in lay_out(old, folder / "for-old")
                if not chosen.only or any(word in script for word in chosen.only)
            ]
            shutil.copytree(folder / "for-old", folder / "for-new")
            differing = [script for script in scripts if not alike(script, old, new, folder)]
    print(f"\n{len(scripts) - len(differing)} of {len(scripts)} scripts alike", flush=True)
    if differing:
        print("different: " + ", ".join(differing))
    return 1 if differing or not scripts else 0


@contextlib.contextmanager
def checked_out(commit: str, folder: Path) -> Iterator[Path]:
    """Give a folder with the files of a commit."""
    if commit == HERE:
        yield ROOT
        return
    _git("worktree", "add", "--detach", "--quiet", str(folder), commit)
    try:
        yield folder
    finally:
        _git("worktree", "remove", "--force", str(folder))


def lay_out(tree: Path, folder: Path) -> list[str]:
    """Copy a commit's demos and samples with their sounds; return the scripts' paths in it."""
    shutil.copytree(tree / "demo_scripts", folder / "demo")
    (folder / "samples").mkdir()
    name = next(
        name
        for name in SAMPLES
        if (tree / "tests" / name.replace(".", "/")).with_suffix(".py").exists()
    )
    _python(tree, "-c", LAY_OUT, name, str(folder / "samples"))
    found = [*folder.glob("demo/*.md"), *folder.glob("demo/arrangements/*.md")]
    found += folder.glob("samples/**/[a-z]-*.md")
    return sorted(script.relative_to(folder).as_posix() for script in found)


def alike(script: str, old: Path, new: Path, folder: Path) -> bool:
    """Build and check one script with both commits; print and return whether all is alike."""
    start_s = time.monotonic()
    before = outcome(folder / "for-old" / script, old, folder / "out-old")
    after = outcome(folder / "for-new" / script, new, folder / "out-new")
    took_s = time.monotonic() - start_s
    print(f"{'alike' if before == after else 'DIFFERENT':10}{script} ({took_s:.0f} s)", flush=True)
    if before != after:
        for one, other in zip(before, after, strict=True):
            if one != other:
                print(f"    {one}\n    {other}", flush=True)
    return before == after


def outcome(script: Path, tree: Path, out: Path) -> Outcome:
    """Build a script with a commit into WAV, check every track again, and say what came out."""
    done = _python(
        tree, "-m", "pausewright", "build", str(script), "--out", str(out), "--format", "wav",
        "--quiet",
    )  # fmt: skip
    folder = out / script.stem
    tracks = sorted(folder.glob("version-*/*.wav"))
    sounds = {
        track.relative_to(folder).as_posix(): hashlib.sha256(track.read_bytes()).hexdigest()
        for track in tracks
    }
    verdicts = {}
    for track in tracks:
        checked = _python(
            tree, "-m", "pausewright", "check", str(track), "--script", str(script), "--json"
        )
        with contextlib.suppress(ValueError):
            verdict = str(json.loads(checked.stdout).get("verdict"))
            verdicts[track.name] = (checked.returncode, verdict)
    return Outcome(done.returncode, sounds, verdicts)


def _python(tree: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run Python with the code of one tree."""
    paths = [str(tree / part) for part in ("pipeline", "voices", "tests")]
    return subprocess.run(
        [str(program("python")), *arguments],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths), "PYTHONSAFEPATH": "1"},
        stdin=subprocess.DEVNULL, capture_output=True, encoding="utf-8", errors="replace",
        check=False, cwd=tree,
    )  # fmt: skip


def _git(*arguments: str) -> None:
    subprocess.run(["git", *arguments], cwd=ROOT, check=True, stdin=subprocess.DEVNULL)


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    run_script(main)
