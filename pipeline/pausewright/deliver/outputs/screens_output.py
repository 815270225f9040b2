"""The room screen beside the track, and the reader's screen among the staff's papers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.content_mark import text_mark
from pausewright.deliver.outputs.job import Output, OutputFile
from pausewright.intake.file_kinds import PAGE
from pausewright.intake.plain_file import file_text
from pausewright.screen.screen_files import write_screens

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write both pages; what the room's shows is in the marks of its captions and its track."""
    room, reader = write_screens(
        job.version.script,
        job.line,
        job.cues,
        job.paths("track"),
        staff=job.staff,
        label=job.label,
        edition=job.edition,
        sound=job.options.screen,
    )
    shown = text_mark(file_text(reader, PAGE))
    return Output(
        (OutputFile(room, "room-screen"), OutputFile(reader, "reader-screen", shown)),
    )
