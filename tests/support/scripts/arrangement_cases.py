"""Declarations of arrangements, good and bad, and how to read them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.arrange.declarations import read_arrangements
from pausewright.script.reader import read

from support.scripts.script_cases import HEAD, TAIL

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Problem

BODY = "1. One?\n" + TAIL
QUARTER = """standard: {label: A}
extra-quarter:
  label: B
  extra-time: 25 %, 30 min at most
  stretch: [answer-time, phrase-time]
  share-of: listed-silences
  where: each-gap
  basis: "Access file 14/B"
slower:
  label: C
  pace: 80 %
  basis: Access file 15
"""


def declared(
    folder: Path, text: str = "", settings: str = ""
) -> tuple[tuple[Arrangement, ...], tuple[Problem, ...]]:
    """Read a script with arrangements beside it, or in its settings."""
    script = folder / "test.md"
    head = HEAD.replace("answer-time: 5 s\n", "answer-time: 5 s\n" + settings)
    script.write_text(head + BODY, encoding="utf-8")
    if text:
        (folder / "test.arrangements.yaml").write_text(text, encoding="utf-8")
    reading = read(script)
    assert reading.problems == ()
    found, problems = read_arrangements(reading, script)
    return found, problems.all


REFUSED = {
    "x: {label: B, pase: 80 %, basis: f}": "‘pase’ is not a field of an arrangement",
    "x: {pace: 80 %, basis: f}": "has no ‘label’",
    "x: {label: B, pace: 80 %}": "has no ‘basis’",
    "x: {label: B, pace: 80, basis: f}": "‘80’ is not a share in per cent",
    "x: {label: B, pace: 20 %, basis: f}": "not between 50 % and 200 %",
    "x: {label: B, readings: 0, basis: f}": "0 is not between 1 and 9",
    "x: {label: B, extra-time: 25 %, share-of: whole-test, where: part-end}": "has no ‘basis’",
    "x: {label: B, extra-time: 25, stretch: [answer-time], share-of: whole-test, where: each-gap, "
    "basis: f}": "‘25’ has no unit",
    "x: {label: B, extra-time: 25 %, where: part-end, stretch: [answer-time], basis: f}":
        "has no ‘share-of’",
    "x: {label: B, extra-time: 25 %, share-of: whole-test, basis: f, stretch: [answer-time]}":
        "has no ‘where’",
    "x: {label: B, extra-time: 25 %, share-of: listed-silences, where: part-end, basis: f}":
        "has no ‘stretch’",
    "x: {label: B, extra-time: 25 %, share-of: whole-test, where: each-gap, basis: f}":
        "has no ‘stretch’",
    "x: {label: B, stretch: [answers], basis: f}": "‘answers’ is not known here",
    "x: {label: B, where: {each-gap: 15 %, somewhere: 5 %}, basis: f}": "‘somewhere’ is no place",
    "x: {label: B, pauses: 1 s, basis: f}": "names are expected here",
    "x: {label: B, pauses: {word: 1 s}, basis: f}": "‘word’ is no place for a pause",
    "x: {label: B, rest-breaks: {every: 20 min, after-questions: 3}, basis: f}": "rest breaks are",
    "x: {label: B, extra-time: '25 %, 30 min', basis: f, share-of: whole-test, where: part-end}":
        "is not a ceiling",
    "x: {label: B, look-time: {questions: 9 s}, basis: f}": "‘questions’ is no look time",
    "x: {label: B, look-time: {words: Look now.}, basis: f}": "not said how long the look time is",
    "x: {label: B, look-time: {before-questions: 0.1 s}, basis: f}": "under 0.3 s",
    "x: {label: B, background: on, basis: f}": "‘on’ is not known here",
    "x: {label: a very long label, pace: 80 %, basis: f}": "is not a short label",
    "standard: {label: A, pace: 80 %}": "the standard track has no ‘pace’ of its own",
    "x: {label: A, pace: 80 %, basis: f}": "have the same label A",
    "x: joe": "a list of ‘name: value’ is expected here",
    "x: {label: B, label: C}": "‘label’ is given twice",
    "- x": "not a list of ‘name: value’ lines",
    "x: {label: [B, C], pace: 80 %, basis: f}": "‘label’ takes one value",
}  # fmt: skip
"""What is refused, and words of the one problem that it gives."""
