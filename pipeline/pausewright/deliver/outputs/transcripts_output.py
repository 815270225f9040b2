"""What can be read: all for the centre, less for candidates, the instructions with their times."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from pausewright.captions.shown_rows import shows_words
from pausewright.captions.transcript import transcript
from pausewright.captions.transcript_page import instructions_of, transcript_page
from pausewright.deliver.outputs.job import Output, written
from pausewright.deliver.version import make_version
from pausewright.plan.timeline import Say

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job
    from pausewright.plan.timeline import Timeline


def write(job: Job) -> Output:
    """Write the full transcript, and those that candidates and staff may have."""
    settings, label, edition = job.settings, job.label, job.edition
    heading = [settings.title, f"Version {label} · edition {edition}"]
    full = transcript(job.line, heading=heading, words="all")
    files = [job.confidential(f"transcript-full_{label}.txt", "full-transcript", full)]
    page = partial(
        transcript_page,
        title=settings.title,
        language=settings.language,
        label=label,
        edition=edition,
    )
    readable = as_transcribed(job)
    if shows_words(readable):
        text = transcript(readable, heading=heading, words="shown")
        files.append(job.beside("_transcript.txt", "transcript", text))
        files.append(job.beside("_transcript.html", "transcript", page(readable)))
    instructions = instructions_of(readable)
    if shows_words(instructions):
        file = job.staff / f"instructions_{label}_{edition}.html"
        files.append(written(file, "instructions", page(instructions, timed=True), private=True))
    return Output(tuple(files))


def as_transcribed(job: Job) -> Timeline:
    """Return the timeline with what candidates may read in a transcript marked as shown."""
    policy = job.version.arrangement.transcript
    if policy is None:
        return job.line
    arrangement = replace(job.version.arrangement, captions=policy)
    like = make_version(job.project.script, job.project.worded, arrangement)
    placed = [
        replace(one, step=replace(one.step, captioned=step.captioned))
        if isinstance(one.step, Say) and isinstance(step, Say)
        else one
        for one, step in zip(job.line.placed, like.steps, strict=True)
    ]
    return replace(job.line, placed=tuple(placed))
