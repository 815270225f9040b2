"""One script to a folder that can be handed over: voiced, laid, written, then checked.

Everything is done in a folder beside the target, which is put into place only when the
independent check has passed on the delivered files.
"""

from __future__ import annotations

import shutil
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.deliver.build_key import build_key
from pausewright.deliver.build_options import Built, CheckFailedError, Options, Progress
from pausewright.deliver.output_folder import is_current, record_files, refuse_long_name, staged
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.files.stage import settle
from pausewright.files.writing import is_private, make_folder
from pausewright.records.record_files import read_record
from pausewright.video.video_kinds import refuse_unable

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from pausewright.deliver.project import Project
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
    folder = options.out / script_path.stem
    refuse_long_name(folder)
    project = open_project(script_path, options.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    settle(folder)
    keys = {version.label: build_key(project, options, version) for version in versions}
    due: list[Version] = []
    built: dict[str, Built] = {}
    for version in versions:
        record = is_current(folder, version.label, keys[version.label])
        if record is None:
            due.append(version)
        else:
            built[version.label] = _built_before(project, folder, version, record)
    if due:
        built |= _built_now(project, options, due, keys, folder)
    return tuple(built[version.label] for version in versions)


def _built_now(
    project: Project,
    options: Options,
    due: Sequence[Version],
    keys: Mapping[str, str],
    folder: Path,
) -> dict[str, Built]:
    """Build versions and put them in place, beside those that stay."""
    from pausewright.deliver.production import Production  # noqa: PLC0415  all that is heavy

    refuse_unable(options.videos)
    due_labels = {version.label for version in due}
    with staged(folder, lambda: _files_to_keep(project, folder, due_labels)) as stage:
        production = Production(project, options, due, keys=keys, folder=folder, stage=stage)
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


def _built_before(project: Project, folder: Path, version: Version, record: BuildRecord) -> Built:
    own = f"confidential/build-record_{version.label}.json"
    files = tuple(folder / path for path in sorted([*(e.path for e in record.files), own]))
    return Built(
        folder,
        version.label,
        project.edition,
        files,
        checks=(),
        warnings=(*project.warnings, *version.warnings),
        notes=(),
        is_fresh=False,
        length_s=Fraction(record.track.n_samples, record.track.rate_hz),
    )


def _files_to_keep(project: Project, folder: Path, due: Iterable[str]) -> frozenset[str]:
    """Return the files of other versions that stay: of this edition, and still declared."""
    labels = {one.label for one in project.arrangements} - set(due)
    stay: set[str] = set()
    for file in record_files(folder):
        record = read_record(file)
        if record and record.version_label in labels and record.edition == project.edition:
            stay.add(file.relative_to(folder).as_posix())
            stay.update(entry.path for entry in record.files)
    return frozenset(stay)
