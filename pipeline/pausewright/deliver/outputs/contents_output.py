"""The list of contents of a version, confidential: what `differs` compares a later script with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.differs.contents import contents_of
from pausewright.deliver.outputs.job import Output
from pausewright.records.record_files import record_text

if TYPE_CHECKING:
    from pausewright.deliver.outputs.job import Job


def write(job: Job) -> Output:
    """Write every unit with its hashes and its places on the track."""
    found = contents_of(job.project, job.version, job.edition, job.line)
    return Output((job.confidential(f"contents_{job.label}.json", "contents", record_text(found)),))
