"""The page "What was measured", confidential: what the check found on each delivered track."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.deliver.measured_page import TEMPLATE, measured_data
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.outputs.job import Output, written_paper
from pausewright.deliver.staff_paper import StaffPaper
from pausewright.papers.typeset.paper_frame import Look

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write the page of all whole tracks; pieces and videos stand in the check report."""
    tracks = set(job.paths("track"))
    results = [
        result for track, result in job.checked if isinstance(track, Path) and track in tracks
    ]
    data = measured_data(results, job.version, job.settings.loudness, job.standing.lines)
    paper = StaffPaper(TEMPLATE, "What was measured", data, Look(9.5))
    compiled = paper.compiled(job.version.script, job.label, job.edition)
    file = job.stage / CONFIDENTIAL / f"what-was-measured_{job.label}.pdf"
    return Output((written_paper(file, "measured", compiled, private=True),))
