"""One script to a folder that can be handed over: voiced, laid, written, then checked.

Everything is done in a folder beside the target, which is put into place only when the
independent check has passed on the delivered files.
"""

from __future__ import annotations

import shutil
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.deliver.build_options import Built, CheckFailedError, Options, Progress
from pausewright.deliver.build_plan import plan_build
from pausewright.deliver.heard import heard_sentence
from pausewright.deliver.output_folder import record_files, staged
from pausewright.files.writing import is_private, make_folder
from pausewright.records.record_files import read_as, read_record
from pausewright.records.shapes import RunningTimes
from pausewright.video.video_kinds import refuse_unable

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from pausewright.deliver.build_plan import BuildPlan
    from pausewright.deliver.production import Production
    from pausewright.deliver.version import Version
    from pausewright.records.shapes import BuildRecord

__all__ = ["Built", "CheckFailedError", "Options", "Progress", "build", "build_versions"]


def build(script_path: Path, options: Options) -> Built:
    """Build one version of a script into `options.out`/(name of the script).

    Raises
    ------
    ScriptError
        With all problems of the script.
    PausewrightError
        If a voice, a sound or an output is at fault.
    CheckFailedError
        If the check fails; nothing is delivered then.
    """
    return build_versions(script_path, options, [options.arrangement])[0]


def build_versions(
    script_path: Path, options: Options, names: Sequence[str] = ()
) -> tuple[Built, ...]:
    """Build versions of a script into `options.out`/(name of the script).

    Parameters
    ----------
    script_path : the script
    options : how to build; its `arrangement` is not looked at
    names : names or labels of arrangements; none: all that are declared

    Returns
    -------
    tuple of Built
        In the order of the declarations. A version that is current is not built again.

    Raises
    ------
    ScriptError
        With all problems of the script and of the arrangements.
    PausewrightError
        If a voice, a sound or an output is at fault.
    CheckFailedError
        If the check of one version fails; nothing is delivered then.
    """
    return build_planned(plan_build(script_path, options, names), options)


def build_planned(plan: BuildPlan, options: Options) -> tuple[Built, ...]:
    """Build what is due of a plan; return all its versions, and raise as `build_versions` does."""
    built = {
        version.label: _built_before(plan, version, plan.before[version.label])
        for version in plan.versions
        if version.label in plan.before
    }
    if plan.due:
        built |= _built_now(plan, options)
    return tuple(built[version.label] for version in plan.versions)


def voice_planned(plans: Sequence[BuildPlan], options: Options) -> tuple[int, int]:
    """Voice for several plans together; see `production.voice_plans`."""
    due = [plan for plan in plans if plan.due]
    if not due:
        return 0, 0
    _, voice_plans = _heavy()
    return voice_plans(due, options)


def _heavy() -> tuple[type[Production], Callable[[Sequence[BuildPlan], Options], tuple[int, int]]]:
    """Return what builds and what voices; a build that finds all current loads neither."""
    from pausewright.deliver.production import Production, voice_plans  # noqa: PLC0415  as said

    return Production, voice_plans


def _built_now(plan: BuildPlan, options: Options) -> dict[str, Built]:
    """Build versions and put them in place, beside those that stay."""
    refuse_unable(options.videos)
    folder = plan.folder
    production_of, _ = _heavy()
    project = plan.project
    labels = {one.label for one in project.arrangements} - {one.label for one in plan.due}
    with staged(folder, lambda: files_to_keep(folder, project.edition, labels)) as stage:
        production = production_of(
            plan.project, options, plan.due, keys=plan.keys, folder=folder, stage=stage
        )
        return {one.label: _moved(one, stage, folder) for one in production.built()}


def _moved(one: Built, stage: Path, folder: Path) -> Built:
    """Move what one version is into the stage of all; return it as it will lie in `folder`."""
    files = [file.relative_to(one.folder) for file in one.files]
    for file in files:
        source, target = one.folder / file, stage / file
        make_folder(target.parent, private=is_private(source.parent))
        source.replace(target)
    shutil.rmtree(one.folder)
    return replace(one, folder=folder, files=tuple(folder / file for file in files))


def _built_before(plan: BuildPlan, version: Version, record: BuildRecord) -> Built:
    folder = plan.folder
    own = f"confidential/build-record_{version.label}.json"
    files = tuple(folder / path for path in sorted([*(e.path for e in record.files), own]))
    return Built(
        folder,
        version.label,
        plan.project.edition,
        files,
        checks=(),
        warnings=(*plan.project.warnings, *version.warnings),
        notes=(),
        is_fresh=False,
        length_s=Fraction(record.track.n_samples, record.track.rate_hz),
        heard_by=record.heard_by if record.signed else _heard_by_now(plan, record),
    )


def _heard_by_now(plan: BuildPlan, record: BuildRecord) -> str:
    """Return how much of a track that was built before has been played by now."""
    found = record.paths("running-times")
    times = read_as(plan.folder / found[0][0], RunningTimes) if found else None
    return heard_sentence(plan.project.script.path, times)


def files_to_keep(folder: Path, edition: str, labels: AbstractSet[str]) -> frozenset[str]:
    """Return the files that stay: those of versions with these labels and of this edition."""
    stay: set[str] = set()
    for file in record_files(folder):
        record = read_record(file)
        if record and record.version_label in labels and record.edition == edition:
            stay.add(file.relative_to(folder).as_posix())
            stay.update(entry.path for entry in record.files)
    return frozenset(stay)
