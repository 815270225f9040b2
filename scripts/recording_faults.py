"""Deliberate disagreements between a recording and its paper, and whether a draft tells them.

Each recording or paper has one. A disagreement is told if a doubt says what it is, at its place.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from recording_cases import drawn

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.drafting.draft_model import Doubt
    from recording_cases import Case, Clips

IN_PAPER: Final = (
    "dropped",
    "dropped, renumbered",
    "invented",
    "renumbered",
    "swapped",
    "number",
    "words too much",
)
IN_RECORDING: Final = (
    "read once",
    "read once more",
    "announced as another",
    "second reading",
    "said too much",
    "answer time halved",
    "pause halved",
)
KINDS: Final = (*IN_PAPER, *IN_RECORDING)
STRUCTURAL: Final = frozenset(KINDS) - {"number", "second reading"}
N_QUESTIONS: Final = 6
AROUND_S: Final = 1.0

_NOT_FOUND: Final = "was not found"
_OTHER: Final = "other words are heard|not on the paper|in another order|read in the place"
_TOLD: Final = {
    "dropped": r"not on the paper|number \d+ on the paper, question",
    "dropped, renumbered": "not on the paper",
    "invented": _NOT_FOUND,
    "renumbered": r"number \d+ on the paper, question",
    "swapped": f"{_OTHER}|{_NOT_FOUND}",
    "number": f"on the paper “|cannot tell|{_OTHER}",
    "words too much": f"not heard|{_OTHER}",
    "read once": r"\b1 reading found",
    "read once more": r"\d readings found",
    "announced as another": "on the paper “|cannot tell|announced",
    "second reading": f"on the paper “|cannot tell|{_OTHER}",
    "said too much": f"heard too much|{_OTHER}",
    "answer time halved": "answer time",
    "pause halved": "between readings|1 reading found",
}
"""What a doubt must say."""


@dataclass(frozen=True)
class Fault:
    """A recording and a paper that disagree in one question."""

    kind: str
    number: int
    """Of the question, in the recording."""
    case: Case
    paper: str


def fault(clips: Clips, seed: int, kind: str, noise_dbfs: float) -> Fault:
    """Return a recording and a paper that disagree."""
    draw = random.Random(f"{seed} {kind}")  # noqa: S311  no secret
    number = draw.randint(2, N_QUESTIONS - 2)
    if kind in IN_RECORDING:
        case = drawn(
            clips, seed, noise_dbfs=noise_dbfs, n_questions=N_QUESTIONS, fault=(kind, number)
        )
        return Fault(kind, number, case, case.paper)
    case = drawn(clips, seed, noise_dbfs=noise_dbfs, n_questions=N_QUESTIONS)
    rows = case.paper.split("\n")
    places = [i for i, row in enumerate(rows) if row[:1].isdigit()]
    if kind == "number":
        number = draw.choice(
            [n for n in range(2, N_QUESTIONS) if _figures(rows[places[n - 1]])] or [number]
        )
    return Fault(kind, number, case, _changed(rows, places, kind, number, draw))


def _figures(row: str) -> list[int]:
    """Return which words of a question's row are figures, those that number it not counted."""
    return [j for j, word in enumerate(row.split(" ")[1:], 1) if word.isdigit()]


def _changed(
    rows: list[str], places: Sequence[int], kind: str, number: int, draw: random.Random
) -> str:
    i, following = places[number - 1], places[number]
    if kind.startswith("dropped"):
        del rows[i]
        if kind != "dropped":
            rows = _counted(rows)
    elif kind == "invented":
        rows.insert(i, f"{number}. Seventy one plus eleven minus fourteen")
        rows = _counted(rows)
    elif kind == "renumbered":
        rows[i] = f"{number + draw.choice((10, 20))}. {_words(rows[i])}"
    elif kind == "swapped":
        one, other = _words(rows[i]), _words(rows[following])
        rows[i], rows[following] = f"{number}. {other}", f"{number + 1}. {one}"
    elif kind == "number":
        words = rows[i].split(" ")
        j = draw.choice(_figures(rows[i]) or [1])
        value = int(words[j]) if words[j].isdigit() else 0
        words[j] = str((value + 3) % 10 if value < 10 else (value - 20) % 70 + 23)
        rows[i] = " ".join(words)
    else:
        rows[i] += " and then write down the reason"
    return "\n".join(rows)


def _words(row: str) -> str:
    return row.split(" ", 1)[1]


def _counted(rows: list[str]) -> list[str]:
    """Return rows whose questions are numbered from 1."""
    found, n = [], 0
    for row in rows:
        n += row[:1].isdigit()
        found.append(f"{n}. {_words(row)}" if row[:1].isdigit() else row)
    return found


def told(one: Fault, doubts: Sequence[Doubt]) -> list[str]:
    """Return the doubts that say what disagrees, at its place."""
    readings = one.case.readings
    last = one.number + (one.kind == "swapped")
    start_s = min(r.start_s for r in readings if r.number == one.number) - AROUND_S
    end_s = max(r.end_s for r in readings if r.number == last) + AROUND_S
    if one.kind == "invented":  # it would stand between the question before and this one
        start_s = max(r.end_s for r in readings if r.number == one.number - 1) - AROUND_S
    return [
        doubt.sentence
        for doubt in doubts
        if doubt.at_ms is not None
        and start_s <= doubt.at_ms / 1000 <= end_s
        and re.search(_TOLD[one.kind], doubt.sentence)
    ]
