"""The check of everything that is heard, before it is delivered."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from pausewright.checker.check import check_track
from pausewright.checker.files.piece_set import check_pieces, piece_sets
from pausewright.checker.promises.kept_promises import outputs_as_promised
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.shown.shown_elsewhere import beside, sheets_beside

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.checker.files.decode import Track
    from pausewright.checker.judge.against_standard import MeasuredTrack
    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.outputs.job import Job


def check_played(
    job: Job,
    standard: Mapping[str, MeasuredTrack],
    measured: dict[str, MeasuredTrack] | None = None,
) -> None:
    """Check tracks and videos with their captions, each against the standard version's.

    Parameters
    ----------
    standard : the standard version's tracks, by what follows the common name (".mp3",
        "_burned-in.mp4")
    measured : takes this version's tracks in the same way; None if nobody needs them
    """
    tracks = job.paths("track", "video")
    captions = job.paths("captions")
    promise = promise_of(job.project.script, job.version.arrangement)
    for index, track in enumerate(tracks):
        ending = track.name.removeprefix(job.name)
        result = check_track(
            track,
            job.version.worded,
            edition=job.edition,
            captions=captions,
            others=beside(track),
            standard=standard.get(ending),
            on_measured=None if measured is None else partial(measured.__setitem__, ending),
            promise=promise,
            progress=partial(_tell_share, job, index, len(tracks)),
            sheets=sheets_beside(track),
        )
        if index == 0:
            endings = {one.suffix[1:] for one in tracks}
            lacking = outputs_as_promised(promise, endings, len(job.paths("piece")))
            result = replace(result, findings=(*lacking, *result.findings))
        job.checked.append((track, result))


def _tell_share(job: Job, n_checked: int, n_tracks: int, share: float) -> None:
    """Say how far the check is, in hundredths of a track, after `n_checked` whole ones."""
    job.options.tell("checking", 100 * n_checked + round(100 * share), 100 * n_tracks)


def check_joined(job: Job) -> None:
    """Check the pieces of each format, joined, and against the whole track."""
    pieces = job.paths("piece")
    if not pieces:
        return
    promise = promise_of(job.project.script, job.version.arrangement)

    def check(files: Track) -> CheckResult:
        return check_track(files, job.version.worded, edition=job.edition, promise=promise)

    for one in piece_sets(pieces)[1]:
        job.checked.append((one.files, check_pieces(one, check)))
