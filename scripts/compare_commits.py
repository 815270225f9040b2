"""Plan and build the same scripts with two commits on this machine, and compare what came out.

    python3 scripts/compare_commits.py 9222149          that commit against the files as they are
    python3 scripts/compare_commits.py OLD NEW --only music
    python3 scripts/compare_commits.py 9222149 --plans  words and silences alone: nothing is voiced

The scripts are the demos, the demos of arrangements and the samples of the older commit, so that
both build the same words. Compared are the plan (every word that is said and every silence, in
order), the verdict of the check on each track, and the samples. A restructuring changes none of
them. Where a later change was meant to change how a voice sounds, `OTHER_SOUND` says so with the
reason: then plan and verdict must be alike, and the samples may differ. Anything else that differs
is listed and must be explained. Needs git and an environment that `scripts/test.py` made.
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import soundfile
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
OTHER_SOUND = {
    "iris": "speaks by a length of its own for each symbol, its first and last sounds not slowed",
}
"""Voices whose samples were changed on purpose since 9222149, with the reason."""
OTHER_VOICE = "a script that names no voice has one of its own language, where it had joe"

EDITION = re.compile("[0-9A-Z]{6}")
MOST_SHOWN = 12
"""Lines of what differs in one script."""

Step = tuple[str, str, str]
"""Kind of a step of the plan; what is said; its length in seconds where that is exact."""


class Outcome(NamedTuple):
    """What one commit made of one script."""

    plan: list[Step]
    """The problems of the script, as one step, if there is no plan."""
    exit_code: int
    """Of the build; 0 if nothing was built."""
    sounds: dict[str, str]
    """SHA-256 of each WAV file, by its place among the tracks."""
    verdicts: dict[str, tuple[int, str]]
    """Exit code and verdict of the check of each, run by itself."""


def main() -> int:
    """Build with both and compare; return 1 if anything differs."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("old", help="the older commit")
    parser.add_argument("new", nargs="?", default=HERE, help="the newer one; else the files here")
    parser.add_argument("--only", nargs="*", default=[], help="scripts whose names hold a word")
    parser.add_argument("--plans", action="store_true", help="words and silences; build nothing")
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
            compare = partial(alike, old=old, new=new, folder=folder, plans=chosen.plans)
            differing = [script for script in scripts if not compare(script)]
    print(
        f"\n{len(scripts) - len(differing)} of {len(scripts)} scripts alike, or other as was meant",
        flush=True,
    )
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


def alike(script: str, old: Path, new: Path, folder: Path, *, plans: bool) -> bool:
    """Plan, build and check one script with both commits; print and return whether all is alike."""
    start_s = time.monotonic()
    before = outcome(folder / "for-old" / script, old, folder / "out-old", plans=plans)
    after = outcome(folder / "for-new" / script, new, folder / "out-new", plans=plans)
    took_s = time.monotonic() - start_s
    if before == after:
        tracks = "" if plans else f", {len(before.sounds)} tracks"
        _say("alike", script, f"{len(before.plan)} steps{tracks}", took_s)
        return True
    stem = Path(script).stem
    had, voices = voices_of(folder / "out-old" / stem), voices_of(folder / "out-new" / stem)
    has_one_plan = before._replace(sounds={}) == after._replace(sounds={})
    has_one_list = before.sounds.keys() == after.sounds.keys()
    whys = [f"{voice} {OTHER_SOUND[voice]}" for voice in sorted(voices) if voice in OTHER_SOUND]
    if had != voices:
        whys = [OTHER_VOICE]
    if has_one_plan and has_one_list and whys:
        why = "; ".join([*whys, *farthest(folder / "out-old" / stem, folder / "out-new" / stem)])
        _say("as meant", script, f"plan and verdict alike, samples not: {why}", took_s)
        return True
    apart = farthest(folder / "out-old" / stem, folder / "out-new" / stem)
    _say("DIFFERENT", script, "; ".join(apart), took_s)
    print("\n".join(f"    {row}" for row in differences(before, after)[:MOST_SHOWN]), flush=True)
    return False


def _say(word: str, script: str, what: str, took_s: float) -> None:
    print(f"{word:12}{script} ({took_s:.0f} s) {what}", flush=True)


def farthest(old: Path, new: Path) -> list[str]:
    """Return of each track how far the samples of two builds lie apart, where not at all."""
    found = []
    for one, other in zip(tracks_of(old), tracks_of(new), strict=False):
        was, is_now = (soundfile.read(track, dtype="int16")[0] for track in (one, other))
        if was.shape != is_now.shape:
            found.append(f"{name_of(one)}: {len(was)} and {len(is_now)} frames")
        elif most := int(np.abs(was.astype(np.int32) - is_now).max(initial=0)):
            found.append(f"{name_of(one)}: as long, at most {most} of 32767 apart")
    return found


def tracks_of(folder: Path) -> list[Path]:
    """Return the WAV files of a build, in order."""
    return sorted(folder.glob("version-*/*.wav"))


def differences(one: Outcome, other: Outcome) -> list[str]:
    """Return what differs between two outcomes, a line each."""
    was, is_now = ([str(step) for step in outcome.plan] for outcome in (one, other))
    rows = list(difflib.unified_diff(was, is_now, lineterm="", n=0))[2:]
    for before, after in zip(one[1:], other[1:], strict=True):
        if before != after:
            rows += [str(before), str(after)]
    return rows


def outcome(script: Path, tree: Path, out: Path, *, plans: bool) -> Outcome:
    """Plan a script with a commit; unless `plans`, build it into WAV and check each track."""
    plan = planned(script, tree)
    if plans:
        return Outcome(plan, 0, {}, {})
    done = _python(
        tree, "-m", "pausewright", "build", str(script), "--out", str(out), "--format", "wav",
        "--quiet",
    )  # fmt: skip
    folder = out / script.stem
    tracks = tracks_of(folder)
    sounds = {name_of(track): hashlib.sha256(track.read_bytes()).hexdigest() for track in tracks}
    verdicts = {}
    for track in tracks:
        checked = _python(
            tree, "-m", "pausewright", "check", str(track), "--script", str(script), "--json"
        )
        with contextlib.suppress(ValueError):
            verdict = str(json.loads(checked.stdout).get("verdict"))
            verdicts[name_of(track)] = (checked.returncode, verdict)
    return Outcome(plan, done.returncode, sounds, verdicts)


def voices_of(folder: Path) -> set[str]:
    """Return the voices that the build records of a folder name."""
    records = [json.loads(file.read_text("utf-8")) for file in folder.rglob("build-record*.json")]
    return {voice["name"] for record in records for voice in record["voices"]}


def name_of(track: Path) -> str:
    """Return a track's name without its edition, which changes with the settings' usual values."""
    return "_".join(part for part in track.stem.split("_") if not EDITION.fullmatch(part))


def planned(script: Path, tree: Path) -> list[Step]:
    """Return what a commit would say and where it would be silent, in order."""
    done = _python(tree, "-m", "pausewright", "outline", str(script), "--json")
    try:
        steps = json.loads(done.stdout)["steps"]
    except (ValueError, KeyError, TypeError):
        return [("no plan", done.stdout + done.stderr, "")]
    return [
        (
            one["kind"],
            one["text"] if one["kind"] == "say" else "",
            one["length_s"] if one["is_exact"] else "",
        )
        for one in steps
    ]


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
