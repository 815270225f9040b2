"""Everything that is found by a closer look at the samples, in one list."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.faults.bandwidth import bandwidth_findings, bandwidth_hz
from pausewright.checker.faults.channels import channel_findings
from pausewright.checker.faults.clipping import clipping_findings
from pausewright.checker.faults.closer import Scene
from pausewright.checker.faults.evenness import unevenness
from pausewright.checker.faults.gaps import gap_findings
from pausewright.checker.faults.hard_edges import hard_edges
from pausewright.checker.faults.same_take import compared_readings, most_are_as_long
from pausewright.checker.faults.speed import speed_findings
from pausewright.checker.limits.times import ANOTHER_READING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching
    from pausewright.checker.result.findings import Finding


def with_closer_look(
    findings: Sequence[Finding], heard: Heard, expectation: Expectation, matching: Matching
) -> list[Finding]:
    """Return the findings together with those of a closer look at the samples."""
    if heard.speech is None:
        return list(findings)
    scene = Scene.of(heard, expectation, matching, heard.speech.active_dbfs)
    readings = compared_readings(scene)
    are_copies = readings.are_copies
    if are_copies is None:
        are_copies = most_are_as_long(scene)
    found = [f for f in findings if are_copies is not False or not _is_two_takes(f)]
    named = {f.question for f in found if f.code == "readings-differ"}
    found += [f for f in readings.findings if f.question not in named]
    found += speed_findings(scene)
    found += hard_edges(scene)
    found += clipping_findings(scene)
    found += unevenness(scene)
    found += gap_findings(scene)
    found += channel_findings(scene)
    found += bandwidth_findings(scene, bandwidth_hz(scene))
    return found


def _is_two_takes(finding: Finding) -> bool:
    """Return whether readings differ in length as two takes of one person do."""
    if finding.code != "readings-differ" or finding.expected is None or finding.difference is None:
        return False
    return abs(Fraction(finding.difference)) <= ANOTHER_READING * Fraction(finding.expected)
