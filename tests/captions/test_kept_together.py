"""Captions keep together what a reader takes as one thing."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from pausewright.captions.breaks import belongs_together, broken
from support.scripts.unseen_lines import FOLDER, lines_of

LINE_CHARACTERS = 37
"""BBC Subtitle Guidelines, section 3."""

PAIRS = {
    "the flow rose from 34 g/L to 39 g/L on Tuesday": [("34", "g/L"), ("g/L", "to"), ("39", "g/L")],
    "it moves at 6 m/s": [("6", "m/s")],
    "then Xanthe Zsigmond spoke": [("Xanthe", "Zsigmond")],
    "it cost 2.5 million pounds": [("2.5", "million"), ("million", "pounds")],
    "see Dr Vale": [("Dr", "Vale")],
    "answer question 12 now": [("question", "12")],
    "on 5 March 2026 it rained": [("5", "March"), ("March", "2026")],
    "wait twenty-five seconds": [("twenty-five", "seconds")],
    "between 5 and 10 of them": [("5", "and"), ("and", "10")],
    "as J. R. Hill said": [("J.", "R."), ("R.", "Hill")],
}
"""Sentences and the pairs in them that are one thing, by hand."""

APART = {
    "she left, and 5 came": [("left,", "and")],
    "the red house stood there": [("red", "house"), ("house", "stood")],
    "It is Monday. Anna left": [("Monday.", "Anna")],
}


@pytest.mark.parametrize(("sentence", "pairs"), PAIRS.items())
def test_what_belongs_together(sentence: str, pairs: list[tuple[str, str]]) -> None:
    """A number and its unit, a range, an amount, a name, a label, a date."""
    words = sentence.split()
    found = {(words[i - 1], words[i]) for i in range(1, len(words)) if belongs_together(words, i)}

    assert set(pairs) <= found


@pytest.mark.parametrize(("sentence", "pairs"), APART.items())
def test_what_does_not(sentence: str, pairs: list[tuple[str, str]]) -> None:
    """Plain words part where sense ends."""
    words = sentence.split()
    found = {(words[i - 1], words[i]) for i in range(1, len(words)) if belongs_together(words, i)}

    assert not set(pairs) & found


def test_unseen_lines_are_never_broken_inside_a_number_and_its_unit() -> None:
    """In every line of the sets: a figure stays with the unit or sign behind it."""
    unit = re.compile(r"(?:km|cm|mm|m|kg|g|ml|l|L|s|min|h|mph|km/h|m/s|%|°C|lb|ft|in|oz)[.,;:?!]?$")
    n_pairs = 0
    for name in ("development", "first", "second", "third"):
        for line in lines_of(FOLDER / f"{name}.jsonl"):
            words = line.text.split()
            if not words or "$" in line.text:
                continue
            for cue in broken(words, line_characters=LINE_CHARACTERS, n_lines=2):
                for row in cue:
                    last = row[-1]
                    if last + 1 < len(words) and re.fullmatch(r"[\d.,½¼¾]+", words[last]):
                        assert not unit.fullmatch(words[last + 1]), line.text
            n_pairs += sum(
                bool(re.fullmatch(r"[\d.,]+", a) and unit.fullmatch(b)) for a, b in pairwise(words)
            )
    assert n_pairs >= 100
