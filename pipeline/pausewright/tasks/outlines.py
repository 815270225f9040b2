"""The outline of a script, and when its files were saved, for looking again at every save."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver import project as projects
from pausewright.deliver.known_lengths import kept_lengths
from pausewright.deliver.version_outline import outline
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.deliver.version_outline import Outline


@frozen
class Outlined:
    """A script without errors, and its outline."""

    project: Project
    outline: Outline


def open_script(script: Path) -> Project:
    """Return a script that can be built.

    Raises
    ------
    ScriptError
        With all its problems, if one of them is an error.
    """
    project = projects.open_project(script)
    project.raise_errors()
    return project


def outline_of(script: Path) -> Outlined:
    """Return the outline of the standard track; raises as `open_script` does."""
    return outline_with(open_script(script))


def estimate_of(script: Path) -> Outlined:
    """Return the outline with all lengths of speech estimated; raises as `open_script` does."""
    project = open_script(script)
    return Outlined(project, outline(project, lambda _: None))


def outline_with(project: Project, version: Version | None = None) -> Outlined:
    """Return the outline of one version, the standard track without it.

    Lengths of speech that was voiced before are exact, the others estimated.
    """
    return Outlined(project, outline(project, kept_lengths(project, version), version))


def saved(script: Path) -> tuple[tuple[str, int], ...]:
    """Return each text file in the script's folder with the time of its last saving, in ns."""
    found = []
    for file in sorted({script, *script.parent.glob("*.md"), *script.parent.glob("*.yaml")}):
        try:
            found.append((str(file), file.stat().st_mtime_ns))
        except OSError:
            continue
    return tuple(found)
