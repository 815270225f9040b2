"""Whether a track that was just written is signed: then its tags no longer call it a draft."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.outputs.job import Output
from pausewright.deliver.signed import samples_of, standing, words_sha256
from pausewright.sound.track_tags import take_state_away

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job
    from pausewright.deliver.signed import Standing


def write(job: Job) -> Output:
    """Compare words and samples with what was signed; write no file of its own."""
    if job.signatures:
        job.standing = standing_of(job)
        if job.standing.is_track_signed:
            for track in job.paths("track"):
                take_state_away(track)
    return Output()


def standing_of(job: Job) -> Standing:
    """Return what holds for the tracks of a job."""
    samples = samples_of(job.paths("track"))
    return standing(job.signatures, words_sha256(job.version), samples)
