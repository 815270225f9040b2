"""The answer sheet for candidates, and the running sheet as plain text where that is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.outputs.job import Output, written
from pausewright.papers.plain import answer_sheet, running_sheet

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write both sheets."""
    script, label, edition = job.version.script, job.label, job.edition
    candidates = job.stage / "print" / "candidates"
    answers = answer_sheet(script, label=label, edition=edition)
    sheet = written(candidates / f"answer-sheet_{label}_{edition}.txt", "answer-sheet", answers)
    if not job.options.text_papers:
        return Output((sheet,))
    running = running_sheet(
        script,
        job.line,
        label=label,
        edition=edition,
        track=job.paths("track")[0].name,
        in_pieces=job.options.splits(job.version.arrangement),
    )
    file = job.staff / f"running-sheet_{label}_{edition}.txt"
    return Output((sheet, written(file, "running-sheet-text", running)))
