"""The comparison as a page: one plain bar for each version on a common time axis."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.comparison import KINDS, clock, details
from pausewright.frozen import frozen
from pausewright.pages.page import STYLE, page
from pausewright.plan.extra_time import seconds
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.deliver.comparison import Column

_TICKS: Final = 6
_PARTS: Final = ("speech and pauses", "candidates’ time", "extra time", "stops")
"""Of a bar, from left to right."""
_STEPS_S: Final = (30, 60, 120, 300, 600, 900, 1800, 3600)


@frozen
class Piece:
    """A part of a bar."""

    what: str
    length: str
    x: str
    """Its left end, in per cent of the axis."""
    width: str
    """In the same."""


def compare_page(title: str, edition: str, language: str, columns: Sequence[Column]) -> str:
    """Return a page in HTML that needs nothing else: no script, no font, no picture."""
    axis_s = max((one.length_s for one in columns), default=Fraction(1)) or Fraction(1)
    step_s = next((s for s in _STEPS_S if axis_s / s <= _TICKS), _STEPS_S[-1])
    ticks = [
        (clock(Fraction(at_s)), _width(Fraction(at_s), axis_s))
        for at_s in range(0, int(axis_s) + 1, step_s)
    ]
    kinds = [kind for kind in KINDS if any(kind in one.silences_s for one in columns)]
    groups = list(dict.fromkeys(name for one in columns for name, _ in one.groups_s))
    return page(
        "pausewright.deliver",
        "compare_page.html.j2",
        STYLE,
        "compare_page.css",
        title=title,
        edition=edition,
        language=language,
        ticks=ticks,
        names=_PARTS,
        bars=[
            (one, clock(one.length_s), "" if one.is_exact else "about ", _pieces(one, axis_s))
            for one in columns
        ],
        columns=columns,
        kinds=[
            (
                silence_name(kind),
                [seconds(one.silences_s.get(kind, Fraction(0))) for one in columns],
            )
            for kind in kinds
        ],
        groups=[
            (name, [seconds(dict(one.groups_s).get(name, Fraction(0))) for one in columns])
            for name in groups
        ],
        rows=[
            ("length", [clock(one.length_s) for one in columns]),
            ("time for answers", [seconds(one.answer_s) for one in columns]),
            ("extra time", [seconds(one.entitled_s) for one in columns]),
            ("pace", [one.pace for one in columns]),
            ("readings", [one.readings for one in columns]),
            ("captions", [one.captions for one in columns]),
        ],
        details=[(one, details(one)) for one in columns],
    )


def _pieces(one: Column, axis_s: Fraction) -> list[Piece]:
    """Return the bar of a version: speech and pauses, candidates' time, extra time, stops."""
    hold_s = one.silences_s.get("hold", Fraction(0))
    own_s = one.candidates_s - one.entitled_s
    rest_s = one.length_s - one.candidates_s - hold_s
    lengths_s = (rest_s, own_s, one.entitled_s, hold_s)
    found = []
    start_s = Fraction(0)
    for what, length_s in zip(_PARTS, lengths_s, strict=True):
        if length_s > 0:
            x, width = _width(start_s, axis_s), _width(length_s, axis_s)
            found.append(Piece(what, clock(length_s), x, width))
            start_s += length_s
    return found


def _width(length_s: Fraction, axis_s: Fraction) -> str:
    return f"{float(100 * length_s / axis_s):.2f}"
