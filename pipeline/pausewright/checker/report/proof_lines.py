"""The section of proof lines: for every declared field what was found, as text, data and page."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pausewright.checker.result.findings import CheckResult

WIDTH: Final = 100
HEADING: Final = "What was promised and what was found"


def proof_rows(result: CheckResult) -> list[tuple[str, str, str]]:
    """Return field, verdict and sentence of each proof; () where nothing was promised."""
    return [(one.field, one.verdict, one.sentence) for one in result.proofs]


def proof_pairs(result: CheckResult) -> list[tuple[str, str]]:
    """Return names and sentences for the page; one that is not kept says so first."""
    return [
        (name, sentence if verdict == "kept" else f"{verdict}: {sentence}")
        for name, verdict, sentence in proof_rows(result)
    ]


def proof_section(result: CheckResult) -> list[str]:
    """Return the section in lines of at most 100 columns, a blank line before it; or nothing."""
    rows = proof_rows(result)
    if not rows:
        return []
    lines = ["", HEADING]
    for name, verdict, sentence in rows:
        lines += textwrap.wrap(
            f"{verdict:8}  {name}: {sentence}",
            WIDTH,
            initial_indent="  ",
            subsequent_indent=" " * 14,
            break_long_words=True,
        )
    return lines


def proofs_data(result: CheckResult) -> list[dict[str, object]]:
    """Return the proofs as plain data for JSON."""
    return [
        {
            "field": one.field,
            "n_asked": one.n_asked,
            "n_found": one.n_found,
            "kept": one.is_kept,
            "sentence": one.sentence,
        }
        for one in result.proofs
    ]
