"""A delivered track against the signatures of its script: a draft is told as one."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.files.draft import DRAFT, copied_before
from pausewright.checker.files.tags import read_tags
from pausewright.checker.result.findings import NOT_HEARD
from pausewright.deliver.heard import heard_file, heard_sentence
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.signed import (
    samples_of,
    signatures_for,
    standing,
    words_sha256,
)
from pausewright.records.record_files import read_as
from pausewright.records.shapes import NOT_HEARD as NOTHING_HEARD
from pausewright.records.shapes import RunningTimes

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.version import Version


def with_state(result: CheckResult, track: Path, version: Version) -> CheckResult:
    """Return a result that also says what of the track is signed, or was heard.

    Parameters
    ----------
    result : of the check of the track
    track : its file, or the first of its pieces
    version : as which it was checked

    Raises
    ------
    OutputError
        If the file of signatures cannot be read.
    """
    script = version.script.path
    signatures = signatures_for(script, version.label)
    heard = _heard(result, track, version)
    if not signatures:
        return replace(result, cautions=_cautions(result, heard, ()))
    now = standing(signatures, words_sha256(version), samples_of([track]))
    if now.heard_by:
        heard = f"Signed for its sound by {now.heard_by}."
    lacking = () if now.is_track_signed else ("Draft: not signed for wording, sound and timing.",)
    findings = result.findings
    if now.is_track_signed and read_tags(track).state == DRAFT:
        findings = (*findings, copied_before(track.name))
    return replace(result, findings=findings, cautions=_cautions(result, heard, lacking))


def _heard(result: CheckResult, track: Path, version: Version) -> str:
    """Return how much of a track in a build's folder was played, "" if nothing of it was."""
    script = version.script.path
    file = track.absolute().parent.parent / CONFIDENTIAL / f"running-times_{version.label}.json"
    if not heard_file(script).exists() or not file.exists():
        return ""
    times = read_as(file, RunningTimes)
    is_same = times is not None and Fraction(times.length_s) == Fraction(
        result.n_frames, result.rate_hz
    )
    said = heard_sentence(script, times) if is_same else NOTHING_HEARD
    return "" if said == NOTHING_HEARD else f"{said[:1].upper()}{said[1:]}."


def _cautions(result: CheckResult, heard: str, more: Sequence[str]) -> tuple[str, ...]:
    """Put what was heard in the place of "not heard"."""
    return (*(heard if heard and one == NOT_HEARD else one for one in result.cautions), *more)
