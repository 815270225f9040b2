"""The track in every format, and how its samples and tags are made, for pieces and videos too."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.content_mark import SoundMark
from pausewright.deliver.outputs.job import Output, OutputFile
from pausewright.deliver.signed import DRAFT
from pausewright.sound.chapter_marks import chapters
from pausewright.sound.track_files import Target, write_tracks
from pausewright.sound.track_tags import Tags

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pausewright.deliver.outputs.job import FileKind, Job
    from pausewright.plan.pieces import Piece
    from pausewright.sound.recording.source import Written


_TOLD_EACH: Final = 30
"""Seconds of the track between two words about how far it is."""


def write(job: Job) -> Output:
    """Write the track in all its formats in one pass."""
    job.room.mkdir(parents=True)
    return Output(write_sound(job, blocks_of(job, "writing"), job.name, "track", tags_of(job)))


def write_sound(
    job: Job, blocks: Iterable[Written], name: str, kind: FileKind, tags: Tags
) -> tuple[OutputFile, ...]:
    """Write samples under a name in every format of the version."""
    targets = [
        Target(job.room / f"{name}.{format_}", format_, tags=tags)
        for format_ in job.options.formats_of(job.version.arrangement)
    ]
    rate_hz, channels = job.line.rate_hz, job.sounds.channels
    said = SoundMark(rate_hz, channels)
    write_tracks(
        _marked(blocks, said),
        targets,
        rate_hz=rate_hz,
        channels=channels,
        depth=job.sounds.depth,
    )
    return tuple(OutputFile(target.path, kind, said.mark()) for target in targets)


def _marked(blocks: Iterable[Written], said: SoundMark) -> Iterator[Written]:
    """Give the blocks on, and their samples to the content mark."""
    for block in blocks:
        said.add(block.astype(block.dtype.newbyteorder("<"), copy=False).tobytes())
        yield block


def blocks_of(job: Job, stage: str) -> Iterator[Written]:
    """Give the samples of the track, about a second at a time, and tell how far they are."""
    rate_hz = job.line.rate_hz
    n_all = -(-job.line.n_samples // rate_hz)
    at = told = 0
    for block in job.sounds.blocks(job.line):
        yield block
        at += len(block)
        n_done = -(-at // rate_hz)
        if n_done - told >= _TOLD_EACH or (n_done == n_all and told < n_all):
            told = n_done
            job.options.tell(stage, n_done, n_all)


def tags_of(job: Job, piece: Piece | None = None) -> Tags:
    """Return the tags of the track, or of a piece of it."""
    title, number, span = job.settings.title, None, (0, job.line.n_samples)
    if piece is not None:
        title = f"{title} ({piece.number} of {piece.n_all})"
        number, span = (piece.number, piece.n_all), (piece.start_sample, piece.end_sample)
    marks = chapters(job.line, *span)
    state = "" if job.standing.is_track_signed else DRAFT
    return Tags(title, job.edition, job.label, job.settings.language, marks, number, state)
