"""What a build has to do: which versions of a script are not there yet, or not as they should."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.build_key import build_key
from pausewright.deliver.output_folder import is_current, refuse_long_name
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.files.stage import settle
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.records.shapes import BuildRecord


@frozen
class BuildPlan:
    """A script without errors that is to be built."""

    project: Project
    folder: Path
    """Where its results lie, or will."""
    versions: tuple[Version, ...]
    """Those that were asked for, in the order of the declarations."""
    keys: Mapping[str, str]
    """Their build keys, by label."""
    before: Mapping[str, BuildRecord]
    """The records of those that are current, by label."""

    @property
    def due(self) -> tuple[Version, ...]:
        """The versions that are not current."""
        return tuple(one for one in self.versions if one.label not in self.before)


def plan_build(script_path: Path, options: Options, names: Sequence[str] = ()) -> BuildPlan:
    """Read a script and say what of it has to be built; nothing is voiced or written.

    Raises as `deliver.build.build_versions` does for what is wrong with a script.
    """
    folder = options.out / script_path.stem
    refuse_long_name(folder)
    project = open_project(script_path, options.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    settle(folder)
    keys = {version.label: build_key(project, options, version) for version in versions}
    records = {label: is_current(folder, label, key) for label, key in keys.items()}
    before = {label: record for label, record in records.items() if record is not None}
    return BuildPlan(project, folder, versions, keys, before)
