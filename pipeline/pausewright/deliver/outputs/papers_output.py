"""The answer sheet for candidates, the mark scheme on request, the running sheet as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.outputs.job import Output, OutputFile, written, written_paper
from pausewright.deliver.sheet_turns import turn_notes
from pausewright.frozen import frozen
from pausewright.papers import plain
from pausewright.papers.answer_sheet import answer_sheet, look_of
from pausewright.papers.mark_scheme import mark_scheme

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.outputs.job import Job
    from pausewright.papers.typeset.paper_frame import Look
    from pausewright.script.model import Script


@frozen
class SheetJob:
    """What papers without times are made from."""

    script: Script
    """As the version has it."""
    label: str
    edition: str
    look: Look
    stage: Path
    """The folder that all is written into."""
    signed: frozenset[str] = frozenset()
    """Content marks of papers that are no drafts."""


def write(job: Job) -> Output:
    """Write all papers of a version that this module knows."""
    script, label, edition = job.version.script, job.label, job.edition
    look = look_of(job.version.arrangement)
    made = sheets(SheetJob(script, label, edition, look, job.stage, job.signed), job.options)
    if not job.options.text_papers:
        return made
    running = plain.running_sheet(
        script,
        job.line,
        label=label,
        edition=edition,
        track=job.paths("track")[0].name,
        in_pieces=job.options.splits(job.version.arrangement),
    )
    file = job.staff / f"running-sheet_{label}_{edition}.txt"
    return Output((*made.files, written(file, "running-sheet-text", running)), made.notes)


def sheets(job: SheetJob, options: Options) -> Output:
    """Write what needs no track: the answer sheet, and the mark scheme if it is wanted."""
    script, label, edition = job.script, job.label, job.edition
    candidates = job.stage / "print" / "candidates"
    name = f"answer-sheet_{label}_{edition}"
    paper = answer_sheet(script, label=label, edition=edition, look=job.look, signed=job.signed)
    files: list[OutputFile] = [written_paper(candidates / f"{name}.pdf", "answer-sheet", paper)]
    if options.text_papers:
        text = plain.answer_sheet(script, label=label, edition=edition)
        files.append(written(candidates / f"{name}.txt", "answer-sheet-text", text))
    if options.mark_scheme or script.settings.mark_scheme:
        keys = mark_scheme(script, label=label, edition=edition, signed=job.signed)
        file = job.stage / CONFIDENTIAL / f"mark-scheme_{label}_{edition}.pdf"
        files.append(written_paper(file, "mark-scheme", keys, private=True))
    return Output(tuple(files), turn_notes(script, paper, label))
