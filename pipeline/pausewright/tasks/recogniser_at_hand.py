"""What needs the machine's ear: the extra `ear` is loaded with this module's functions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.ear.hearing import Ear
from pausewright.checker.ear.recogniser import BundledRecogniser
from pausewright.deliver.audition import audition
from pausewright.tasks.outlines import open_script
from pausewright.tasks.sentences import Sentences

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def bundled_ear(progress: Callable[[int, int], None]) -> Ear:
    """Return the ear of this machine; `progress` is called with utterances heard and in all.

    Raises
    ------
    EarMissingError
        If the extra is not installed or damaged.
    """
    return Ear(BundledRecogniser(), progress)


def sentences_heard(
    script: Path,
    *,
    voicing: Callable[[int, int], None],
    hearing: Callable[[int, int], None],
) -> Sentences:
    """Voice every sentence of a script, and return what a recogniser hears in it.

    `voicing` and `hearing` are called with sentences done and in all.

    Raises
    ------
    PausewrightError
        If the ear is missing, the script has errors, or something cannot be voiced.
    """
    recogniser = BundledRecogniser()
    project = open_script(script)
    pairs = audition(project, recogniser, voicing=voicing, hearing=hearing)
    return Sentences([row for row, _ in pairs], project.problems, [ear for _, ear in pairs])
