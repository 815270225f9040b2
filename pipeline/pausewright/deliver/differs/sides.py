"""The two states that are compared: a script, or what was built; with the tracks that are there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.deliver.differs.contents import contents_of
from pausewright.deliver.output_folder import CONFIDENTIAL, delivered, record_files
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.files.stage import settle
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import OutputError
from pausewright.records.record_files import read_contents, read_record

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.records.shapes import BuildRecord, Contents

_EXACT: Final = (".wav", ".flac", ".mp3")
"""Endings of tracks, those first whose samples are the ones that were written."""


@frozen
class Built:
    """What was built of one version, whole as it was delivered."""

    folder: Path
    record: BuildRecord

    @property
    def track(self) -> Path:
        """The track from which most can be proved."""
        tracks = [self.folder / path for path, _ in self.record.paths("track")]
        return min(tracks, key=lambda track: _EXACT.index(track.suffix))


@frozen
class SideVersion:
    """One version of one state."""

    contents: Contents
    built: Built | None
    """None where this state is not built."""


@frozen
class Side:
    """One state of a test."""

    path: Path
    edition: str
    versions: dict[str, SideVersion]
    """By the name of the arrangement."""


def side_of(path: Path, options: Options) -> Side:
    """Return a state of a test.

    Parameters
    ----------
    path : a script, or the folder that a build of it made
    options : voices; where builds lie, to find the tracks of a script

    Raises
    ------
    ScriptError
        With all problems, if a script has errors.
    OutputError
        If a folder is no whole build, or of a release that kept no list of contents.
    """
    settle(path, around=True)
    return _of_folder(path) if path.is_dir() else _of_script(path, options)


def _of_folder(folder: Path) -> Side:
    found: dict[str, SideVersion] = {}
    for file in record_files(folder):
        record = read_record(file)
        if record is None:
            raise OutputError(f"‘{file}’ cannot be read", "build the script again")
        _refuse_changed(folder, record)
        version = SideVersion(_kept(folder, record), Built(folder, record))
        found[record.arrangement] = version
    if not found:
        raise OutputError(
            f"‘{folder}’ holds no build record",
            "give the folder that a build made, with its folder confidential, or the script",
        )
    editions = {one.contents.edition for one in found.values()}
    if len(editions) > 1:
        raise OutputError(
            f"‘{folder}’ holds more than one edition: {', '.join(sorted(editions))}",
            "build all versions of the script again",
        )
    return Side(folder, editions.pop(), found)


def _kept(folder: Path, record: BuildRecord) -> Contents:
    hint = "build the script again, or give the script itself"
    file = folder / CONFIDENTIAL / f"contents_{record.version_label}.json"
    kept = read_contents(file, folder)
    if kept is None:
        raise OutputError(
            f"version {record.version_label} has no list of its contents that can be read", hint
        )
    if kept.edition != record.edition:
        raise OutputError(f"‘{file}’ is of another edition than its build", hint)
    return kept


def _refuse_changed(folder: Path, record: BuildRecord) -> None:
    wanted = [one for one in record.files if one.kind in {"track", "contents"}]
    for entry in wanted:
        if sha256_of(folder / entry.path, kind=BUILT_FILE, inside=folder) != entry.sha256:
            raise OutputError(
                f"‘{entry.path}’ is not the file that was built", "build the script again"
            )


def _of_script(script: Path, options: Options) -> Side:
    project = open_project(script, options.profiles)
    project.raise_errors()
    found: dict[str, SideVersion] = {}
    folder = options.out / script.stem
    settle(folder)
    for version in made_versions(project):
        contents = contents_of(project, version, project.edition)
        record = delivered(folder, version.label, project.edition)
        built = None
        if record is not None and record.paths("contents"):
            _refuse_changed(folder, record)
            kept = _kept(folder, record)
            if _marks(kept) == _marks(contents):
                contents, built = kept, Built(folder, record)
        found[version.arrangement.name] = SideVersion(contents, built)
    return Side(script, project.edition, found)


def _marks(contents: Contents) -> list[object]:
    return [(unit.same, unit.aspects) for unit in contents.units]
