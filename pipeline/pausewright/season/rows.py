"""A row of the season's table for each track, from what the check wrote beside it."""

from __future__ import annotations

import json
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Final, Literal

from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.version_parts import PartFile
from pausewright.intake.file_kinds import CONTENTS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError
from pausewright.records.record_files import read_record
from pausewright.records.season_shapes import SeasonRow
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.records.shapes import BuildRecord

MOST_TO_LISTEN_TO: Final = 5
"""Places of a track that a row names, errors first."""
_HEARD: Final = ("track", "video")
"""Kinds of files that the check hears."""


def rows_of(test: str, folder: Path, label: str, *, is_delivered: bool) -> tuple[SeasonRow, ...]:
    """Return the rows of a version's tracks from its record and its report.

    Parameters
    ----------
    test : its name
    folder : where its files lie, as in a folder of results
    label : of the version
    is_delivered : whether it is good enough to be delivered

    Raises
    ------
    TrackError
        If record or report cannot be read.
    """
    record = _record(folder, label)
    file = folder / CONFIDENTIAL / f"check-report_{label}.json"
    try:
        found = json.loads(file_bytes(file, CONTENTS, folder))
    except ValueError as error:
        raise TrackError(f"the report ‘{file.name}’ cannot be read", "build it again") from error
    reports = found if isinstance(found, list) else [found]
    paths = {PurePosixPath(path).name: path for path, _ in record.paths(*_HEARD)}
    return tuple(
        _row(test, record, paths[report["track"]["file"]], report, is_delivered=is_delivered)
        for report in reports
        if report["track"]["file"] in paths
    )


def whole_files(folder: Path, label: str) -> tuple[PartFile, ...]:
    """Return all files of a version with their kinds, its record too."""
    record = _record(folder, label)
    files = [PartFile(one.path, one.kind, one.content_mark) for one in record.files]  # type: ignore[arg-type]
    own = f"{CONFIDENTIAL}/build-record_{label}.json"
    return (*files, PartFile(own, "record"))


def endings_of(folder: Path, label: str) -> dict[str, Path]:
    """Return a version's tracks and videos by what follows their common name."""
    record = _record(folder, label)
    paths = [path for path, _ in record.paths(*_HEARD)]
    common = PurePosixPath(record.paths("track")[0][0]).stem
    return {PurePosixPath(path).name.removeprefix(common): folder / path for path in paths}


def _record(folder: Path, label: str) -> BuildRecord:
    record = read_record(folder / CONFIDENTIAL / f"build-record_{label}.json")
    if record is None:
        raise TrackError(
            f"the record of version {label} in ‘{folder}’ cannot be read", "build it again"
        )
    return record


def _row(
    test: str,
    record: BuildRecord,
    path: str,
    report: Mapping[str, object],
    *,
    is_delivered: bool,
) -> SeasonRow:
    track, levels = _map(report["track"]), _map(report["levels"])
    findings = [_map(one) for one in _list(report["findings"])]
    errors = [one for one in findings if one["severity"] == "error"]
    worst = _worst([_map(one) for one in _list(report["silences"])])
    verdict: Literal["good", "not good"] = "not good" if errors else "good"
    first = [*errors, *(one for one in findings if one["severity"] != "error")]
    return SeasonRow(
        test=test,
        version_label=record.version_label,
        title=record.title,
        edition=record.edition,
        track=f"{test}/{path}",
        n_samples=int(str(track["n_samples"])),
        rate_hz=int(str(track["rate_hz"])),
        length_s=float(str(track["length_s"])),
        verdict=verdict,
        n_errors=len(errors),
        n_warnings=len(findings) - len(errors),
        worst_error_s=None if worst is None else float(str(worst["difference_s"])),
        worst_error_at="" if worst is None else _where(worst),
        loudness_lufs=_number(levels["loudness_lufs"]),
        true_peak_dbtp=_number(levels["true_peak_dbtp"]),
        listen_to=tuple(f"{one['at']} {one['sentence']}" for one in first if one["at"] is not None)[
            :MOST_TO_LISTEN_TO
        ],
        voices=tuple(one.name for one in record.voices),
        is_delivered=is_delivered,
    )


def _worst(silences: Sequence[Mapping[str, object]]) -> Mapping[str, object] | None:
    """Return the judged silence that is farthest from what is declared; None without any."""
    judged = [
        one for one in silences if one["difference_s"] is not None and one["allowed_s"] is not None
    ]
    return max(judged, key=lambda one: abs(float(str(one["difference_s"]))), default=None)


def _where(silence: Mapping[str, object]) -> str:
    name = silence_name(str(silence["kind"]))  # type: ignore[arg-type]
    question = silence["question"]
    return f"{name}, question {question}" if question else name


def _number(value: object) -> float | None:
    return None if value is None else float(str(value))


def _map(value: object) -> Mapping[str, object]:
    if not isinstance(value, dict):
        raise TrackError("a check report has another shape than ours", "build the test again")
    return value


def _list(value: object) -> Sequence[object]:
    return value if isinstance(value, list) else ()
