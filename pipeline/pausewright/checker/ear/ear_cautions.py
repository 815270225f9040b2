"""What a reader of the report is told of the machine's ear, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.checker.result.naming import clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.findings import EarSummary

MOST_TOLD: Final = 20
"""Places that are listed; the JSON report has all."""


def ear_cautions(summary: EarSummary) -> list[str]:
    """Return what the ear heard, what it did not, and what it could not compare."""
    n_all = summary.n_heard + summary.n_unheard
    as_compared = f", {len(summary.uncompared)} as far as it could compare the words"
    head = (
        f"The machine's ear heard {summary.n_heard} of {n_all} utterances and recordings: "
        f"{summary.n_same} word for word as the script says"
        f"{as_compared if summary.uncompared else ''}, {summary.n_doubtful} to be listened to, "
        f"{summary.n_other} otherwise. It hears words, not how well they are said."
    )
    said = [head]
    unheard = [
        f"{number} {why}"
        for number, why in (
            (summary.n_other_language, "in other languages than English"),
            (summary.n_beside_sounds, "run together with other sounds"),
            (summary.n_without_words, "recordings whose words are not given"),
            (summary.n_missing, "not found on the track"),
        )
        if number
    ]
    if unheard:
        said.append(f"Not heard by it: {', '.join(unheard)}.")
    if summary.doubtful:
        said.append(
            "To be listened to: "
            + _listed([f"{where} at {clock(at_s)}" for where, at_s in summary.doubtful])
        )
    if summary.uncompared:
        said.append(
            "Not compared, listen yourself: "
            + _listed(
                [
                    f"“{' '.join(one.words)}” in {one.where} at {clock(one.at_s)}"
                    for one in summary.uncompared
                ]
            )
        )
    said.append("This report holds words of the test: keep it as you keep the script.")
    return said


def _listed(items: Sequence[str]) -> str:
    more = f"; and {len(items) - MOST_TOLD} more" if len(items) > MOST_TOLD else ""
    return "; ".join(items[:MOST_TOLD]) + more + "."
