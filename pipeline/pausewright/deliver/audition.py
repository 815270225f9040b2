"""Hearing every distinct utterance of a script before anything is built."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.checker.ear.hearing import Ear, hear
from pausewright.deliver.studios import studio_of
from pausewright.deliver.take_check import begins_whole
from pausewright.deliver.track_sound import RATE_HZ
from pausewright.wording.table import Heard, HeardAs, Row, rows

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.checker.ear.hearing import HeardUtterance
    from pausewright.checker.ear.recogniser import Recogniser
    from pausewright.deliver.project import Project


def audition(
    project: Project,
    recogniser: Recogniser,
    *,
    voicing: Callable[[int, int], None] | None = None,
    hearing: Callable[[int, int], None] | None = None,
) -> tuple[tuple[Row, Heard], ...]:
    """Voice every distinct utterance and return what a recogniser hears in it, in order.

    The takes are kept: a build finds them. `voicing` and `hearing` are called with utterances
    done and in all. Raises as `Studio.record` does.
    """
    found = rows(project.worded)
    studio = studio_of(project, project.script.settings, progress=voicing, is_usable=begins_whole)
    studio.record(row.utterance for row in found)
    heard = hear(
        [row.utterance for row in found],
        lambda one: studio.take(one).samples,
        RATE_HZ,
        Ear(recogniser, hearing),
    )
    return tuple((row, _plain(one)) for row, one in zip(found, heard, strict=True))


_VERDICTS: Final[dict[str, HeardAs]] = {"same": "same", "doubtful": "listen", "other": "other"}


def _plain(one: HeardUtterance) -> Heard:
    if not one.is_judged:
        return Heard("not judged", "", (), ())
    return Heard(
        _VERDICTS[one.verdict], one.heard, one.numbers_said, one.numbers_heard, one.uncompared
    )
