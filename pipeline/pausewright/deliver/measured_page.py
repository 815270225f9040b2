"""The page "What was measured": of each delivered track what the check found, to be filed.

It is made from the results of the check alone. It says what was measured and leaves room for
people to sign what they did; it is no certificate.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.report.lines import counted, level, signed
from pausewright.checker.result.naming import clock, seconds
from pausewright.deliver.outputs.basis_output import declared_changes
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.findings import CheckResult, SilenceRow
    from pausewright.deliver.version import Version

TEMPLATE: Final = "measured"
_GROUP: Final = 8
"""Digits of a hash that are printed together."""


def measured_data(
    results: Sequence[CheckResult], version: Version, target: str, signatures: Sequence[str] = ()
) -> dict[str, object]:
    """Return what the template of the page is given: a page for each track.

    Parameters
    ----------
    results : of the check of each track
    version : that was delivered
    target : the loudness that was asked for, as authors write it
    signatures : a line for each signature that holds
    """
    arrangement = version.arrangement
    declared = {
        "name": arrangement.name,
        "basis": arrangement.basis,
        "changes": [list(pair) for pair in declared_changes(arrangement)],
        "sum": version.grant.sum_text if version.grant else "",
        "rights": version.script.settings.recording_rights,
    }
    return {
        "declared": declared,
        "signed": list(signatures),
        "tracks": [_track(one, target) for one in results],
    }


def _track(result: CheckResult, target: str) -> dict[str, object]:
    length_s = Fraction(result.n_frames, result.rate_hz)
    channels = "mono" if result.n_channels == 1 else "stereo"
    n_errors = len(result.errors)
    n_warnings = len(result.findings) - n_errors
    return {
        "track": result.track,
        "edition": result.file_edition,
        "sha256": " ".join(
            result.sha256[at : at + _GROUP] for at in range(0, len(result.sha256), _GROUP)
        ),
        "format": f"{result.container}, {result.rate_hz} Hz, {channels}",
        "length": f"{clock(length_s)} ({result.n_frames:,} samples in each channel)",
        "verdict": f"{result.verdict}: {counted(n_errors, 'error')}, "
        f"{counted(n_warnings, 'warning')}",
        "loudness": f"{level(result.loudness_lufs, 'LUFS')}, asked for: {target}",
        "peak": level(result.true_peak_dbtp, "dBTP"),
        "speech": level(result.speech_dbfs, "dBFS"),
        "worst": _worst(result.silences),
        "totals": [
            [
                silence_name(one.kind),
                f"{one.n_measured} of {one.n_expected}",
                seconds(one.expected_s),
                seconds(one.measured_s),
                signed(one.difference_s),
            ]
            for one in result.totals
        ],
        "proofs": [[one.field, one.verdict, one.sentence] for one in result.proofs],
        "extra": "" if result.extra_time is None else result.extra_time.sentence,
        "compared": "" if result.comparison is None else result.comparison.sentence,
        "checked_with": ", ".join(f"{name} {one}" for name, one in result.versions.items()),
    }


def _worst(silences: Sequence[SilenceRow]) -> str:
    """Return the largest error among the silences whose length is judged."""
    judged = [
        (abs(one.difference_s), one)
        for one in silences
        if one.difference_s is not None and one.allowed_s is not None
    ]
    if not judged:
        return "no silence was judged"
    _, one = max(judged, key=lambda pair: pair[0])
    about = "" if one.question is None else f" of {one.question.name}"
    at = "" if one.at_s is None else f" at {clock(one.at_s)}"
    difference_s = one.difference_s or Fraction(0)
    allowed = "" if one.allowed_s is None else f"; allowed {seconds(one.allowed_s)} s"
    return f"{signed(difference_s)} s in the {silence_name(one.kind)}{about}{at}{allowed}"
