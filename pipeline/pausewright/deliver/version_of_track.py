"""Which version a delivered track is: as told, else by its label, else by its folder."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import STANDARD
from pausewright.checker.files.tags import read_tags
from pausewright.deliver.version import made_versions

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version


def version_of(project: Project, track: Path, name: str | None = None) -> Version:
    """Return the version that a track is to be checked against.

    `name` is the name or label of an arrangement. Without it the label in the track's tags
    counts, else that of a folder `version-B` or `player-1_version-B` around it, else it is the
    standard track.

    Raises
    ------
    ArrangementError
        If no arrangement has that name or label.
    ScriptError
        If its declaration cannot be carried out.
    """
    if name is None:
        folder = re.fullmatch(r"(?:player-\d+_)?version-(.+)", track.absolute().parent.name)
        name = read_tags(track).version_label or (folder[1] if folder else STANDARD)
    return made_versions(project, [name])[0]
