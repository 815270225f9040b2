"""Several scripts in one call: read first, voiced together, then each built for itself.

All problems of all scripts are told before anything is voiced. What several scripts of a folder say
in one voice is voiced once, by all workers, so that one clock shows the time left for all of them.
A script whose check fails is not delivered; the others are.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.deliver.build import build_planned, voice_planned
from pausewright.deliver.build_options import CheckFailedError
from pausewright.deliver.build_plan import plan_build
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import SCRIPT
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import FileError, OutputError, Problems

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.build_options import Built, Options
    from pausewright.deliver.build_plan import BuildPlan

_HEAD: Final = b"---"
"""The first line of every script, before its settings."""


@frozen
class ScriptBuilt:
    """What came of one script."""

    script: Path
    built: tuple[Built, ...]
    """Its versions; empty if the check failed."""
    failed: tuple[CheckResult, ...] = ()
    """The results of a check that failed; nothing was delivered then."""


@frozen
class SetBuilt:
    """What came of all scripts."""

    scripts: tuple[ScriptBuilt, ...]
    n_voiced: int = 0
    """Utterances that were voiced for all of them together; 0 for a single script."""
    n_kept: int = 0
    """Utterances that were there already."""

    @property
    def is_several(self) -> bool:
        """Whether there was more than one script."""
        return len(self.scripts) > 1


def scripts_of(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Return the scripts that are named, each once: files, and those that lie in folders.

    In a folder every `.md` file is a script that begins with settings (`---`), sorted by name.

    Raises
    ------
    FileError
        If a folder holds none.
    """
    found: dict[Path, Path] = {}
    for path in paths:
        if not path.is_dir():
            found.setdefault(path.absolute(), path)
            continue
        inside = [file for file in sorted(path.glob("*.md")) if is_script(file)]
        if not inside:
            raise FileError(
                f"no script lies in the folder {path}",
                "name a folder with .md files that begin with settings between two lines of ---",
            )
        for file in inside:
            found.setdefault(file.absolute(), file)
    return tuple(found.values())


def build_scripts(scripts: Sequence[Path], options: Options, names: Sequence[str] = ()) -> SetBuilt:
    """Build versions of scripts, each into `options.out`/(name of the script).

    Parameters
    ----------
    scripts : as `scripts_of` gives them
    options : how to build; its `arrangement` is not looked at
    names : names or labels of arrangements, which each script must declare; none: all

    Raises
    ------
    ScriptError
        With all problems of all scripts.
    PausewrightError
        If a voice, a sound or an output is at fault; scripts that were built before stay delivered.
    """
    refuse_one_folder(scripts)
    plans = _plans(scripts, options, names)
    if len(plans) == 1:
        return SetBuilt((_built(plans[0], options),))
    n_voiced, n_kept = voice_planned(plans, options)
    quiet = replace(options, progress=None)
    done = []
    for plan in plans:
        done.append(_built(plan, quiet))
        options.tell("scripts", len(done), len(plans))
    return SetBuilt(tuple(done), n_voiced, n_kept)


def is_script(file: Path) -> bool:
    """Return whether a file begins as scripts do; one that cannot be read is taken for one."""
    try:
        return file_bytes(file, SCRIPT).removeprefix(b"\xef\xbb\xbf").startswith(_HEAD)
    except FileError:
        return True  # reading it as a script says what is wrong


def refuse_one_folder(scripts: Sequence[Path]) -> None:
    """Refuse two scripts whose results would lie in one folder: raises OutputError."""
    names: dict[str, Path] = {}
    for script in scripts:
        other = names.setdefault(script.stem.casefold(), script)
        if other != script:
            raise OutputError(
                f"{other} and {script} would be built into one folder",
                "rename one of them, or build them apart with another --out",
            )


def _plans(scripts: Sequence[Path], options: Options, names: Sequence[str]) -> list[BuildPlan]:
    plans: list[BuildPlan] = []
    problems = Problems()
    for script in scripts:
        with problems.collected():
            plans.append(plan_build(script, options, names))
    problems.raise_errors()
    return plans


def _built(plan: BuildPlan, options: Options) -> ScriptBuilt:
    script = plan.project.script.path
    try:
        return ScriptBuilt(script, build_planned(plan, options))
    except CheckFailedError as failed:
        return ScriptBuilt(script, (), failed.checks)
