"""The confidential page of an arrangement: its name, what it changes, why it may, and the sum."""

from __future__ import annotations

import textwrap
from dataclasses import fields
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import (
    AfterQuestion,
    ExtraTime,
    FixedAndRemainder,
    FixedTime,
    LookTimes,
    Pauses,
    PrintLook,
    RestBreaks,
    Share,
    Split,
)
from pausewright.deliver.outputs.job import Output
from pausewright.plan.clock import shown_seconds
from pausewright.plan.extra_time import percent

if TYPE_CHECKING:
    from pausewright.arrange.arrangement import Arrangement
    from pausewright.deliver.outputs.job import Job
    from pausewright.deliver.version import Version

_WIDTH = 76
_AS_WRITTEN = {
    "sentence_s": "sentence",
    "clause_s": "clause",
    "in_script_s": "in-script",
    "before_questions_s": "before-questions",
    "after_questions": "after-questions",
    "every_s": "every",
    "words": "words",
}
"""Names of what has parts, as authors write them."""
CAUTION = (
    "Whoever signs for this arrangement is responsible for its permission. The awarding body's "
    "current rules decide."
)


def write(job: Job) -> Output:
    """Write what the arrangement changes and why it may; nothing for one without changes."""
    if not job.version.arrangement.changes:
        return Output()
    text = basis_text(job.version, job.settings.title, job.edition)
    return Output((job.confidential(f"arrangement_{job.label}.txt", "basis", text),))


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
    rows += [f"  {name}: {value}" for name, value in declared_changes(arrangement)]
    if rights := version.script.settings.recording_rights:
        rows += ["", *textwrap.wrap(f"Rights in the recording, as stated: {rights}", _WIDTH)]
    if version.grant is not None:
        rows += ["", *textwrap.wrap(f"Extra time: {version.grant.sum_text}", _WIDTH)]
        rows.append(f"Places: {version.grant.n_places}. The check report holds what was measured.")
    rows += ["", *textwrap.wrap(CAUTION, _WIDTH)]
    return "\n".join(rows) + "\n"


def declared_changes(arrangement: Arrangement) -> list[tuple[str, str]]:
    """Return each field that changes something, with its value as authors write it."""
    declared = arrangement.declared()
    return [(name, shown_value(declared[name])) for name in arrangement.changes]


def shown_value(value: object) -> str:
    """Return the value of a field in words, near to how authors write it."""
    if isinstance(value, Share):
        return percent(value.of_base)
    if isinstance(value, FixedTime):
        return _seconds(value.time_s)
    if isinstance(value, Fraction):
        return _seconds(value)
    if isinstance(value, AfterQuestion):
        return f"question {value.question}"
    if isinstance(value, FixedAndRemainder):
        return "fixed-and-remainder"
    if isinstance(value, ExtraTime):
        amount = shown_value(value.amount)
        return (
            amount if value.at_most_s is None else f"{amount}, {_seconds(value.at_most_s)} at most"
        )
    if isinstance(value, Split):
        return ", ".join(
            f"{shown_value(place)} {shown_value(amount)}" for place, amount in value.amounts
        )
    if isinstance(value, Pauses | LookTimes | RestBreaks):
        named = {field.name: getattr(value, field.name) for field in fields(value)}
        return ", ".join(
            f"{_AS_WRITTEN[name]} {shown_value(one)}" for name, one in named.items() if one
        )
    if isinstance(value, PrintLook):
        shown = [f"{float(value.size_pt):g} pt", value.paper, value.colour, value.font]
        shown += [f"{len(value.before)} page turns of its own"] if value.before else []
        return ", ".join(filter(None, shown))
    if isinstance(value, tuple):
        return ", ".join(str(one) for one in value)
    return str(value)


def _seconds(wait_s: Fraction) -> str:
    return f"{shown_seconds(wait_s)} s"
