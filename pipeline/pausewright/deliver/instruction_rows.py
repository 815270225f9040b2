"""The instructions of a track as rows for a paper: what candidates may read of them, and when."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.captions.shown_rows import Heading, shown_rows
from pausewright.plan.clock import counter

if TYPE_CHECKING:
    from pausewright.plan.timeline import Timeline


def instruction_parts(timeline: Timeline, language: str) -> list[dict[str, object]]:
    """Return the lines under the titles of their parts; parts without any are left out.

    Parameters
    ----------
    timeline : with all that must not be read withheld
    language : of the test, BCP 47; words in others are marked
    """
    parts: list[dict[str, object]] = []
    lines: list[dict[str, object]] = []
    for row in shown_rows(timeline):
        if isinstance(row, Heading) or not parts:
            lines = []
            parts.append({"title": row.text if isinstance(row, Heading) else "", "lines": lines})
        if isinstance(row, Heading):
            continue
        pieces = [
            {"text": one.text, "lang": "" if one.language == language else _primary(one.language)}
            for one in row.phrases
        ]
        at = counter(Fraction(row.start_sample, timeline.rate_hz))
        lines.append({"at": at, "speaker": row.speaker, "pieces": pieces})
    return [part for part in parts if part["lines"]]


def _primary(language: str) -> str:
    return language.partition("-")[0].lower()
