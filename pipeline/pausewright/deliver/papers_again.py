"""Papers alone: before a build the answer sheet, after it every paper again."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import (
    delivered,
    is_current,
    recorded_paths,
    refuse_long_name,
    staged,
)
from pausewright.deliver.outputs import papers_output, staff_papers_output
from pausewright.deliver.outputs.job import OutputFile, write_record
from pausewright.deliver.outputs.record_output import declared_silences, recorded_file
from pausewright.deliver.project import open_project
from pausewright.deliver.signed import read_signatures, signed_marks
from pausewright.deliver.version import made_versions
from pausewright.files.stage import settle
from pausewright.files.stage import staged as staged_alone
from pausewright.frozen import frozen
from pausewright.papers.answer_sheet import look_of
from pausewright.papers.timed.day_time import read_day_time
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.outputs.job import FileKind, Job, Output
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.problems import Problem
    from pausewright.records.shapes import BuildRecord

PAPERS: Final[tuple[Callable[[Job], Output], ...]] = (
    papers_output.write,
    staff_papers_output.write,
)
"""What writes papers from a version that is voiced and laid out, in the order of the build."""
PLAYED: Final[tuple[FileKind, ...]] = ("track", "sound-check")
"""What papers name: it stays as it is."""
ALONE: Final = "papers"
"""Ending of the folder of papers before a build, beside the folder of the build."""
_OURS: Final = re.compile(r"(?:answer-sheet|mark-scheme)_[^/_]+_[2-9A-HJ-NP-Z]{6}\.(?:pdf|txt)")


@frozen
class PapersWritten:
    """What became of the papers of a script."""

    folder: Path
    files: tuple[Path, ...]
    is_timed: bool
    """Whether there is a track, so that timed papers were written too."""
    warnings: tuple[Problem, ...]
    notes: tuple[str, ...]


def write_papers(script: Path, options: Options, names: Sequence[str] = ()) -> PapersWritten:
    """Write the papers of versions again.

    Before a build that is the answer sheet, in a folder of its own. After it all papers of the
    build are renewed in place, whole or not at all, with the build record; the track stays.

    Parameters
    ----------
    script : the script
    options : where the build lies; whether mark schemes and plain text are wanted; clock times
    names : names or labels of versions; none: all

    Raises
    ------
    ScriptError
        With all problems of the script, its arrangements and its papers.
    OutputError
        If clock times are asked for and there is no track; if a build is spoiled or was made from
        other settings.
    """
    folder = options.out / script.stem
    refuse_long_name(folder)
    if options.start:
        read_day_time(options.start)
    project = open_project(script, options.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    settle(folder)
    records = [delivered(folder, version.label, project.edition) for version in versions]
    built = [
        (version, record)
        for version, record in zip(versions, records, strict=True)
        if record is not None
    ]
    if not built:
        return _before_build(project, versions, options)
    if len(built) < len(versions):
        lost = next(v.label for v, r in zip(versions, records, strict=True) if r is None)
        raise OutputError(
            f"version {lost} is not built in this edition, and others are",
            "build the script, or name the versions that are built: --arrangement NAME",
        )
    return _after_build(project, built, options, folder)


# ---- before a build -------------------------------------------------------------------------


def _before_build(project: Project, versions: Sequence[Version], options: Options) -> PapersWritten:
    if options.start:
        raise OutputError(
            "clock times need a built track, and this edition is not built",
            f"first: pausewright build {project.script.path}",
        )
    target = options.out / f"{project.script.path.stem}-{ALONE}"

    def ours() -> set[str]:
        found = (path.relative_to(target).as_posix() for path in target.rglob("*"))
        return {path for path in found if _OURS.fullmatch(path.rpartition("/")[2])}

    files: list[Path] = []
    notes: list[str] = []
    with staged_alone(target, ours=ours) as stage:
        for version in versions:
            job = papers_output.SheetJob(
                version.script,
                version.label,
                project.edition,
                look_of(version.arrangement),
                stage,
                signed_marks(read_signatures(project.script.path)),
            )
            made = papers_output.sheets(job, options)
            files += [one.path.relative_to(stage) for one in made.files]
            notes += made.notes
    notes.append("papers with times come with the track: pausewright build")
    warnings = (*project.warnings, *(w for version in versions for w in version.warnings))
    return PapersWritten(
        target,
        tuple(target / file for file in files),
        is_timed=False,
        warnings=tuple(dict.fromkeys(warnings)),
        notes=tuple(notes),
    )


# ---- after a build --------------------------------------------------------------------------


def _after_build(
    project: Project,
    built: Sequence[tuple[Version, BuildRecord]],
    options: Options,
    folder: Path,
) -> PapersWritten:
    from pausewright.deliver.production import Production  # noqa: PLC0415  all that is heavy

    for version, record in built:
        if is_current(folder, version.label, record.build_key) is None:
            raise OutputError(
                f"a file of version {version.label} is not the one that was built",
                "build the script again",
            )
    versions = [version for version, _ in built]
    keys = {version.label: record.build_key for version, record in built}
    stay = recorded_paths(folder)
    files: list[Path] = []
    notes: list[str] = []
    with staged(folder, lambda: frozenset(stay)) as stage:
        production = Production(project, options, versions, keys=keys, folder=folder, stage=stage)
        for job, (version, record) in zip(production.jobs(), built, strict=True):
            _refuse_other_times(job, version, record)
            job.stage = stage
            job.files = [
                OutputFile(folder / path, kind) for kind in PLAYED for path, _ in record.paths(kind)
            ]
            made = [write(job) for write in PAPERS]
            new = [one for output in made for one in output.files]
            notes += [note for output in made for note in output.notes]
            kinds = {one.kind for one in new}
            old = [one for one in record.files if one.kind not in kinds]
            stay -= {one.path for one in record.files if one.kind in kinds}
            entries = [*old, *(recorded_file(one, stage) for one in new)]
            name = write_record(stage, version.label, record.with_files(entries))
            stay.discard(name.relative_to(stage).as_posix())
            files += [folder / one.path.relative_to(stage) for one in new]
    warnings = (*project.warnings, *(w for version in versions for w in version.warnings))
    return PapersWritten(
        folder,
        tuple(files),
        is_timed=True,
        warnings=tuple(dict.fromkeys(warnings)),
        notes=tuple(dict.fromkeys(notes)),
    )


def _refuse_other_times(job: Job, version: Version, record: BuildRecord) -> None:
    """Refuse papers for a track that was made from other settings than the version has now."""
    is_same = (
        record.arrangement == version.arrangement.name
        and record.track.n_samples == job.line.n_samples
        and record.declared == declared_silences(job.line)
    )
    if not is_same:
        raise OutputError(
            f"version {version.label} was built from other settings than the script has now",
            "build the script again",
        )
