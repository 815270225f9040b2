"""The log of a listening page, read beside what was built; and what has been heard by now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.day_papers import recorded_times
from pausewright.deliver.heard import heard_questions, note_heard, played_of, read_heard, read_log
from pausewright.deliver.output_folder import record_files
from pausewright.files.stage import settle
from pausewright.problems import OutputError
from pausewright.records.record_files import read_record

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.heard import HeardQuestions
    from pausewright.records.signed_shapes import ListeningLog


def read_heard_log(script: Path, out: Path, log_file: Path | None) -> dict[str, HeardQuestions]:
    """Note what the file of a log says was played, and return what was heard by now, by label.

    Parameters
    ----------
    log_file : of a listening page; None: nothing is noted

    Raises
    ------
    OutputError
        As `take_heard_log`, or if the file is no log.
    """
    return take_heard_log(script, out, None if log_file is None else read_log(log_file))


def take_heard_log(
    script: Path, out: Path, log: ListeningLog | None = None
) -> dict[str, HeardQuestions]:
    """Note what a log says was played, and return what of each built version was heard, by label.

    Parameters
    ----------
    script : whose takes were played
    out : folder of builds
    log : of a listening page, or of the desk; None: nothing is noted

    Raises
    ------
    OutputError
        If nothing is built, or the log is of another version or edition.
    """
    folder = out / script.stem
    settle(folder)
    records = [record for file in record_files(folder) if (record := read_record(file))]
    if not records:
        raise OutputError(f"nothing of ‘{script.name}’ is built in {out}", "build it first")
    times = {record.version_label: recorded_times(record, folder) for record in records}
    if log is not None:
        editions = {record.version_label: record.edition for record in records}
        if editions.get(log.version_label) != log.edition:
            raise OutputError(
                f"the log is of version {log.version_label}, edition {log.edition}, and that is "
                "not built here",
                "say where it was built: --out DIR",
            )
        note_heard(script, played_of(times[log.version_label], log))
    heard = read_heard(script)
    return {
        label: heard_questions(one.places, one.rate_hz, heard)
        for label, one in sorted(times.items())
    }
