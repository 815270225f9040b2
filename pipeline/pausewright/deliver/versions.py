"""Versions of one script: voiced once for all, written and checked side by side."""

from __future__ import annotations

import shutil
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.background import warn_of_background
from pausewright.arrange.declarations import named
from pausewright.deliver.build import (
    RATE_HZ,
    Built,
    CheckFailedError,
    Options,
    Progress,
    VersionBuilder,
    build_key,
    voice_lufs,
)
from pausewright.deliver.output_folder import is_current, record_files, refuse_long_name, staged
from pausewright.deliver.project import check_voices, open_project
from pausewright.deliver.rooms import delivered
from pausewright.deliver.version import make_version
from pausewright.files.stage import settle
from pausewright.files.writing import is_private, make_folder
from pausewright.problems import Problems, ScriptError
from pausewright.records.record_files import read_record
from pausewright.video.video_kinds import refuse_unable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from pathlib import Path

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.checker.standard import MeasuredTrack
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Timeline
    from pausewright.records.shapes import BuildRecord
    from pausewright.voice.studio import Studio


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
    folder = options.out / script_path.stem
    refuse_long_name(folder)
    project = open_project(script_path, options.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    settle(folder)
    keys = {version.label: build_key(project, options, version) for version in versions}
    current = {
        version.label: is_current(folder, version.label, keys[version.label])
        for version in versions
    }
    due = [version for version in versions if current[version.label] is None]
    built: dict[str, Built] = {}
    if due:
        refuse_unable(options.videos)
        due_labels = {version.label for version in due}
        with staged(folder, lambda: _files_to_keep(project, folder, due_labels)) as stage:
            for one in _Team(project, options, due, keys, folder, stage).built():
                files = [file.relative_to(one.folder) for file in one.files]
                _moved(one.folder, stage, files)
                whole = tuple(folder / file for file in files)
                built[one.label] = replace(one, folder=folder, files=whole)
    for version in versions:
        record = current[version.label]
        if record is not None:
            built[version.label] = _nothing_to_do(project, folder, version, record)
    return tuple(built[version.label] for version in versions)


def made_versions(project: Project, names: Sequence[str] = ()) -> tuple[Version, ...]:
    """Return versions of a project by name or label; all of them without names.

    Raises
    ------
    ScriptError
        With all problems, if the declaration of one of them cannot be carried out.
    ArrangementError
        If a name is not declared.
    """
    chosen = [named(project.arrangements, name) for name in names]
    wanted = [one for one in project.arrangements if not names or one in chosen]
    versions = tuple(_made(project, one) for one in wanted)
    problems = Problems()
    for version in versions:
        problems.extend(version.problems)
        if version.arrangement.changes:
            check_voices(version.worded, project.profiles, problems, known=project.problems)
    if problems.errors:
        raise ScriptError((*project.problems, *problems.all))
    return versions


def timelines(
    project: Project, options: Options, versions: Sequence[Version]
) -> tuple[Timeline, ...]:
    """Return where everything lies on the tracks of versions; words are voiced that are not kept.

    Nothing else is written. The standard version, if it is among them, is the first.

    Raises
    ------
    ScriptError
        If sounds or utterances are at fault.
    """
    nowhere = options.out / project.script.path.stem
    keys = {version.label: "" for version in versions}
    return _Team(project, options, versions, keys, nowhere, nowhere).timelines()


def _made(project: Project, arrangement: Arrangement) -> Version:
    version = make_version(project.script, project.worded, arrangement)
    recorded = {name for name, one in project.profiles.items() if one.engine == "recorded"}
    found = Problems()
    warn_of_background(version.worded, arrangement, recorded, found)
    return replace(version, problems=(*version.problems, *found.all))


def _files_to_keep(project: Project, folder: Path, due: Iterable[str]) -> frozenset[str]:
    """Return the files of other versions that stay: of this edition, and still declared."""
    labels = {one.label for one in project.arrangements} - set(due)
    kept: set[str] = set()
    for file in record_files(folder):
        record = read_record(file)
        if record and record.version_label in labels and record.edition == project.edition:
            kept.add(file.relative_to(folder).as_posix())
            kept.update(entry.path for entry in record.files)
    return frozenset(kept)


def _moved(part: Path, stage: Path, files: Iterable[Path]) -> None:
    """Move what one version is into the folder that holds all of them."""
    for file in files:
        make_folder((stage / file).parent, private=is_private((part / file).parent))
        (part / file).replace(stage / file)
    shutil.rmtree(part)


def _nothing_to_do(project: Project, folder: Path, version: Version, record: BuildRecord) -> Built:
    own = f"confidential/build-record_{version.label}.json"
    files = tuple(folder / path for path in sorted([*(e.path for e in record.files), own]))
    length_s = Fraction(record.track.n_samples, record.track.rate_hz)
    return Built(
        folder, version.label, project.edition, files, (),
        (*project.warnings, *version.warnings), (), is_fresh=False, length_s=length_s,
    )  # fmt: skip


def _delivered(project: Project, folder: Path) -> Mapping[str, MeasuredTrack]:
    """Return the standard track of this edition that was delivered before, measured."""
    from pausewright.checker.standard import measured_track  # noqa: PLC0415  loads numpy

    standard = named(project.arrangements)
    record = delivered(folder, standard.label, project.edition)
    tracks = [folder / path for path, _ in record.paths("track")] if record else []
    return {
        track.suffix: measured_track(track, project.worded) for track in tracks if track.is_file()
    }


class _Team:
    """Builders of several versions that share what is voiced."""

    def __init__(
        self,
        project: Project,
        options: Options,
        versions: Sequence[Version],
        keys: dict[str, str],
        folder: Path,
        stage: Path,
    ) -> None:
        self._project = project
        self._options = options
        self._is_alone = len(versions) == 1
        self._studios: dict[float, Studio] = {}
        self._standard: Future[Mapping[str, MeasuredTrack]] = Future()
        if versions[0].arrangement.changes:
            self._standard.set_result(_delivered(project, folder))
        quiet = replace(options, progress=options.progress if self._is_alone else None)
        self._builders = [
            VersionBuilder(
                project,
                quiet,
                version,
                self._studio(version),
                keys[version.label],
                stage / f"part-{at}",
            )
            for at, version in enumerate(versions)
        ]

    def built(self) -> list[Built]:
        """Voice for all, write and check each; raise if one check fails.

        A version is written and checked while the next is voiced: what one of the two leaves of
        the processors, the other takes.
        """
        for builder in self._builders:
            builder.refuse_bad_sounds()
        found: dict[int, Built] = {}
        jobs: dict[Future[Built], int] = {}
        pool = ThreadPoolExecutor(self._options.workers, thread_name_prefix="version")
        try:
            for at, builder in enumerate(self._builders):
                report = builder.voice()
                taker = self._taker(builder)
                jobs[pool.submit(builder.run, report, self._standard.result, taker)] = at
            for job in as_completed(jobs):
                found[jobs[job]] = job.result()
                self._tell("versions", len(found), len(jobs))
        finally:
            # whoever still waits for a standard track that will not come goes on without it
            if not self._standard.done():
                self._standard.set_result({})
            pool.shutdown(cancel_futures=True)
        built = [found[at] for at in range(len(found))]
        if not all(one.is_good for one in built):
            raise CheckFailedError([check for one in built for check in one.checks])
        return built

    def timelines(self) -> tuple[Timeline, ...]:
        """Voice for all, and return where everything lies on each track."""
        for builder in self._builders:
            builder.refuse_bad_sounds()
        for builder in self._builders:
            builder.voice()
        return tuple(builder.timeline() for builder in self._builders)

    def _taker(
        self, builder: VersionBuilder
    ) -> Callable[[Mapping[str, MeasuredTrack]], None] | None:
        """Return who takes the measured standard track, where others are compared with it."""
        is_first = builder is self._builders[0]  # others may have a label and no changes too
        is_wanted = is_first and builder.is_standard and not self._is_alone
        return self._standard.set_result if is_wanted else None

    def _tell(self, stage: str, n_done: int, n_all: int) -> None:
        if self._options.progress is not None and not (self._is_alone and stage == "versions"):
            self._options.progress(Progress(stage, n_done, n_all))

    def _studio(self, version: Version) -> Studio:
        from pausewright.voice.studio import Studio  # noqa: PLC0415  loads numpy

        level_lufs = voice_lufs(version.script.settings)
        if level_lufs not in self._studios:
            self._studios[level_lufs] = Studio(
                profiles=self._project.profiles,
                script_folder=self._project.script.path.parent,
                pace_wpm=self._project.script.settings.pace_wpm,
                rate_hz=RATE_HZ,
                level_lufs=level_lufs,
                workers=self._options.workers,
                progress=lambda done, total: self._tell("voicing", done, total),
                engines=self._options.engines,
            )
        return self._studios[level_lufs]
