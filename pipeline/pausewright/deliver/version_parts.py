"""A version made in steps, each of which another process may take: laid, its papers, checked.

The steps are those of a build, in its order; what goes from one to the next are files and notes.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.checker.judge.against_standard import measured_track
from pausewright.deliver.outputs.job import OutputFile
from pausewright.deliver.outputs.signed_output import standing_of
from pausewright.deliver.production import sounds_of, standard_before
from pausewright.deliver.recorded_sounds import given_of
from pausewright.deliver.version_build import FILMED, LAID, PAPERS, VersionBuild
from pausewright.frozen import frozen
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from pausewright.checker.judge.against_standard import MeasuredTrack
    from pausewright.deliver.build_options import Built, Options
    from pausewright.deliver.outputs.job import FileKind, Job, Output
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.voice.recording_report import RecordingReport
    from pausewright.voice.studio import Studio

Step: TypeAlias = Literal["lay", "papers"]
"""What is written before the check: the track with all that is shown, and what is printed."""

_OUTPUTS: Final[Mapping[Step, tuple[Callable[[Job], Output], ...]]] = {
    "lay": LAID,
    "papers": PAPERS,
}


@frozen
class PartFile:
    """A file of a version, relative to the version's folder."""

    path: str
    kind: FileKind
    content_mark: str = ""


@frozen
class Part:
    """What one step of a version wrote."""

    files: tuple[PartFile, ...] = ()
    notes: tuple[str, ...] = ()


def version_build(
    project: Project, options: Options, version: Version, key: str, studio: Studio, stage: Path
) -> VersionBuild:
    """Return the build of one version with this build key, whose files go into `stage`.

    Raises
    ------
    ScriptError
        If a recording that the script is bound to cannot be used.
    """
    settings = version.script.settings
    sounds = sounds_of(project, settings, studio, given_of(project))
    return VersionBuild(project, replace(options, progress=None), version, sounds, key, stage)


def write_step(
    build: VersionBuild, voiced: RecordingReport, step: Step, before: Iterable[Part] = ()
) -> Part:
    """Write the outputs of a step into the build's stage.

    Parameters
    ----------
    build : the version
    voiced : what its `voice` returned; whether takes were voiced or kept changes nothing
    step : which outputs
    before : what the steps before wrote; their files need not be there
    """
    job = _job(build, voiced, before)
    n_files, n_notes = len(job.files), len(job.notes)
    for write in _OUTPUTS[step]:
        job.add(write(job))
    files = tuple(
        PartFile(one.path.relative_to(build.stage).as_posix(), one.kind, one.content_mark)
        for one in job.files[n_files:]
    )
    return Part(files, tuple(job.notes[n_notes:]))


def check_parts(
    build: VersionBuild,
    voiced: RecordingReport,
    parts: Iterable[Part],
    standard: Callable[[], Mapping[str, MeasuredTrack]],
    deliver: Callable[[Mapping[str, MeasuredTrack]], None],
) -> Built:
    """Check a version whose parts lie in its stage, and write reports and record.

    Parameters are those of `VersionBuild.run`, and `parts` of the steps before, in their order.
    """
    job = _job(build, voiced, parts)
    if job.signatures:
        job.standing = standing_of(job)
    for write in FILMED:
        job.add(write(job))
    return build.checked(job, standard, deliver)


def measured_tracks(project: Project, tracks: Mapping[str, Path]) -> dict[str, MeasuredTrack]:
    """Return the standard version's tracks, measured, by what follows the common name.

    One on which nothing is heard is left out, as where it is checked.
    """
    found = {}
    for ending, track in tracks.items():
        with suppress(TrackError):
            found[ending] = measured_track(track, project.worded)
    return found


def standard_delivered(project: Project, folder: Path) -> Mapping[str, MeasuredTrack]:
    """Return the standard track that was delivered before, measured; nothing for a recording."""
    return {} if given_of(project) is not None else standard_before(project, folder)


def _job(build: VersionBuild, voiced: RecordingReport, before: Iterable[Part]) -> Job:
    job = build.job(voiced)
    for part in before:
        job.files += [
            OutputFile(build.stage / one.path, one.kind, one.content_mark) for one in part.files
        ]
        job.notes += part.notes
    return job
