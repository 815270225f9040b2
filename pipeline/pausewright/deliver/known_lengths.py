"""Lengths of utterances that were voiced before, without voicing anything."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.deliver.track_sound import RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.wording.line_elements import Utterance


def kept_lengths(
    project: Project, version: Version | None = None
) -> Callable[[Utterance], Fraction | None]:
    """Return a function from an utterance to its length in seconds, None if not voiced yet.

    `version` is the one that the utterances belong to; the standard track without it.
    """
    settings = (project if version is None else version).script.settings
    folder = project.script.path.parent
    if not (folder / ".pausewright").is_dir():
        return lambda _: None
    from pausewright.deliver.studios import studio_of  # noqa: PLC0415  loads numpy

    studio = studio_of(project, settings)

    def kept_s(utterance: Utterance) -> Fraction | None:
        n_samples = studio.kept_n_sound_samples(utterance)
        return None if n_samples is None else Fraction(n_samples, RATE_HZ)

    return kept_s
