"""The check report: as a page, as text and as JSON."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from pausewright.checker.report.page import as_page
from pausewright.checker.report.report import as_json, as_text
from pausewright.checker.result.delivered import delivered_tracks
from pausewright.deliver.outputs.job import Output

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write all three."""
    reports = [json.loads(as_json(result)) for result in job.checks]
    texts = {
        "html": as_page(delivered_tracks(job.checks, [track for track, _ in job.checked])),
        "txt": "\n\n".join(as_text(result) for result in job.checks).rstrip("\n") + "\n",
        "json": json.dumps(reports[0] if len(reports) == 1 else reports, indent=2) + "\n",
    }
    return Output(
        tuple(
            job.confidential(f"check-report_{job.label}.{ending}", "report", text)
            for ending, text in texts.items()
        )
    )
