"""The confidential page of an arrangement: its name, what it changes, why it may, and the sum."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from pausewright.arrange.fields import ExtraTime
from pausewright.plan.clock import exact_seconds
from pausewright.plan.extra import percent

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.build.version import Version

_WIDTH = 76
_IN_PERCENT = frozenset({"pace"})
CAUTION = (
    "Whoever signs for this arrangement is responsible for its permission. The awarding body's "
    "current rules decide."
)


def basis_text(version: Version, title: str, edition: str) -> str:
    """Return the page: confidential, for the exams office."""
    arrangement = version.arrangement
    rows = [
        title,
        f"Version {arrangement.label} · edition {edition} · CONFIDENTIAL",
        "",
        f"Arrangement: {arrangement.name}",
        *textwrap.wrap(f"Basis: {arrangement.basis}", _WIDTH, subsequent_indent="    "),
        "",
        "What it changes:",
    ]
    rows += [f"  {name}: {_shown(name, arrangement.values[name])}" for name in arrangement.changes]
    if version.grant is not None:
        rows += ["", *textwrap.wrap(f"Extra time: {version.grant.sum_text}", _WIDTH)]
        rows.append(f"Places: {version.grant.n_places}. The check report holds what was measured.")
    rows += ["", *textwrap.wrap(CAUTION, _WIDTH)]
    return "\n".join(rows) + "\n"


def _shown(name: str, value: object) -> str:
    if isinstance(value, ExtraTime):
        amount = percent(value.share) if value.share is not None else _seconds(value.fixed_s)
        return (
            amount if value.at_most_s is None else f"{amount}, {_seconds(value.at_most_s)} at most"
        )
    if isinstance(value, dict):
        return ", ".join(f"{key} {_shown(key, one)}" for key, one in value.items())
    if isinstance(value, tuple):
        return ", ".join(str(one) for one in value)
    if isinstance(value, (str, int)):
        return str(value)
    return percent(value) if name in _IN_PERCENT else _seconds(value)  # type: ignore[arg-type]


def _seconds(wait_s: Fraction | None) -> str:
    return "" if wait_s is None else f"{exact_seconds(wait_s)} s"
