"""The packing list of a room folder: what belongs in it, so that a copy can be checked anywhere.

It travels with the track, so it says nothing that the files beside it do not say: no title, no
words, no arrangement, no date. Its shape is `records.shapes.PackingList`. The check reads it with
a reader of its own.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.outputs.job import Output
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.plan.clock import exact_seconds
from pausewright.records.record_files import record_text
from pausewright.records.shapes import (
    PACKING_LIST_FORMAT,
    PackedFile,
    PackedTrack,
    PackingList,
)

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.outputs.job import Job

ENDING: Final = "_packing-list.json"


def write(job: Job) -> Output:
    """Write the list of what lies in the room folder; nothing may be added there afterwards."""
    line = job.line
    text = packing_list(
        job.room,
        label=job.label,
        edition=job.edition,
        n_samples=line.n_samples,
        rate_hz=line.rate_hz,
    )
    return Output((job.beside(ENDING, "packing-list", text),))


def packing_list(folder: Path, *, label: str, edition: str, n_samples: int, rate_hz: int) -> str:
    """Return the list of all files in a room folder as JSON text, sorted by name.

    Parameters
    ----------
    folder : the room folder, complete but for the list itself
    label : the version label, as the room sees it
    n_samples, rate_hz : length of the audio
    """
    files = sorted(file for file in folder.rglob("*") if file.is_file())
    listed = tuple(
        PackedFile(
            file.relative_to(folder).as_posix(),
            file.stat().st_size,
            sha256_of(file, kind=BUILT_FILE),
        )
        for file in files
        if not file.name.endswith(ENDING)
    )
    length_s = exact_seconds(Fraction(n_samples, rate_hz))
    return record_text(
        PackingList(
            packing_list=PACKING_LIST_FORMAT,
            version_label=label,
            edition=edition,
            track=PackedTrack(rate_hz, n_samples, length_s),
            files=listed,
        )
    )
