"""Loudness and true peak of a track against what is allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.limits.levels import (
    LOUDNESS_TOLERANCE_LU,
    TRUE_PEAK_CEILING_DBTP,
    TRUE_PEAK_SLACK_DB,
)
from pausewright.checker.result.findings import Finding

if TYPE_CHECKING:
    from pausewright.checker.listen.listen import Heard


def level_findings(
    heard: Heard, target_lufs: float | None, loudness: float | None
) -> list[Finding]:
    """Return what is wrong with the levels; loudness only where the script says one.

    `loudness`, in LUFS, is that of the file; of its speech where it has sounds as recorded, whose
    level is the author's.
    """
    findings = []
    peak = heard.true_peak_dbtp
    off_lu = 0.0 if target_lufs is None or loudness is None else loudness - target_lufs
    if loudness is not None and abs(off_lu) > LOUDNESS_TOLERANCE_LU:
        findings.append(
            Finding(
                "loudness",
                "warning",
                "the track's speech is not as loud as the script's settings say",
                "set `loudness` in the settings, or build the track again",
                expected=target_lufs,
                measured=round(loudness, 2),
                difference=round(off_lu, 2),
                allowed=LOUDNESS_TOLERANCE_LU,
                unit="LUFS",
            )
        )
    if peak is not None and peak > TRUE_PEAK_CEILING_DBTP + TRUE_PEAK_SLACK_DB:
        findings.append(
            Finding(
                "true-peak",
                "error",
                "the track's true peak is over the ceiling: it may distort on some players",
                "build the track again, or lower its level",
                expected=TRUE_PEAK_CEILING_DBTP,
                measured=round(peak, 2),
                difference=round(peak - TRUE_PEAK_CEILING_DBTP, 2),
                allowed=TRUE_PEAK_SLACK_DB,
                unit="dBTP",
            )
        )
    return findings
