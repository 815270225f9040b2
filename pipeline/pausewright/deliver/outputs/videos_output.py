"""Videos with captions, where they were asked for and captions may be shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.outputs.job import Output, OutputFile
from pausewright.deliver.outputs.track_output import blocks_of, tags_of
from pausewright.sound.recording.source import as_int16
from pausewright.video.video_file import Video, write_video

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write each kind of video."""
    if not job.options.videos:
        return Output()
    if not job.cues:
        why = f"no video was written: version {job.label} has no captions that may be shown"
        return Output(notes=(why,))
    tags = tags_of(job)
    files: list[OutputFile] = []
    notes: list[str] = []
    for kind in job.options.videos:
        video = Video(job.room / f"{job.name}_{kind}.mp4", kind, tags)
        notes += write_video(
            (as_int16(block) for block in blocks_of(job, "filming")),
            video,
            job.cues,
            n_samples=job.line.n_samples,
            rate_hz=job.line.rate_hz,
            channels=job.sounds.channels,
        )
        files.append(OutputFile(video.path, "video"))
    return Output(tuple(files), tuple(notes))
