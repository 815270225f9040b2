"""The room screen beside the track, and the reader's screen among the staff's papers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.outputs.job import Output, OutputFile
from pausewright.screen.screen_files import write_screens

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write both pages."""
    pages = write_screens(
        job.version.script,
        job.line,
        job.cues,
        job.paths("track"),
        staff=job.staff,
        label=job.label,
        edition=job.edition,
        sound=job.options.screen,
    )
    return Output(tuple(OutputFile(page, "screen") for page in pages))
