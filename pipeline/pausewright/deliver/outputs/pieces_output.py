"""The track once more in pieces, cut at its stops, where that was asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.outputs.job import Output
from pausewright.deliver.outputs.track_output import blocks_of, tags_of, write_sound
from pausewright.plan.pieces import pieces
from pausewright.sound.cut import Cutter

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job, OutputFile


def write(job: Job) -> Output:
    """Write the pieces in every format of the track; a track without a stop has none."""
    if not job.options.splits(job.version.arrangement):
        return Output()
    found = pieces(job.line)
    if not found:
        why = f"version {job.label} was not split: it has no stop, so it is one stretch"
        return Output(notes=(why,))
    samples = Cutter(blocks_of(job, "splitting"))
    files: list[OutputFile] = []
    for piece in found:
        name, tags = f"{job.name}_{piece.mark}", tags_of(job, piece)
        files += write_sound(job, samples.take(piece.n_samples), name, "piece", tags)
    return Output(tuple(files))
