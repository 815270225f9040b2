"""The room screen beside the track; reader's screen and notes among the staff's papers."""

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
    """Write all pages; what the room's shows is in the marks of its captions and its track."""
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
    files = [
        OutputFile(pages.room, "room-screen"),
        OutputFile(pages.reader, "reader-screen", text_mark(file_text(pages.reader, PAGE))),
    ]
    if pages.notes is not None:
        mark = text_mark(file_text(pages.notes, PAGE))
        files.append(OutputFile(pages.notes, "staff-notes", mark))
    return Output(tuple(files))
