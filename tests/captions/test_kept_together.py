"""Captions keep together what a reader takes as one thing."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from pausewright.captions.breaks import belongs_together, broken
from support.scripts.unseen_lines import FOLDER, lines_of

SETS = ("development", "first", "second", "third", "fourth", "fifth", "sixth")
LINE_CHARACTERS = 37
"""BBC Subtitle Guidelines, section 3."""

PAIRS = {
    "the flow rose from 34 g/L to 39 g/L on Tuesday": [("34", "g/L"), ("g/L", "to"), ("39", "g/L")],
    "it moves at 6 m/s": [("6", "m/s")],
    "then Xanthe Zsigmond spoke": [("Xanthe", "Zsigmond")],
    "it cost 2.5 million pounds": [("2.5", "million"), ("million", "pounds")],
    "see Dr Vale": [("Dr", "Vale")],
    "they met Prof. Lowe on p. 12": [("Prof.", "Lowe"), ("p.", "12")],
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
    for name in SETS:
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


ONE_THING = re.compile(
    r"(?:\d{1,2}(?:st|nd|rd|th)? (?:January|February|March|April|May|June|July|August|September|"
    r"October|November|December))|(?:[£$€]\d[\d,.]* (?:thousand|million|billion))|"
    r"(?:\d[\d,.]* (?:thousand|million|billion|per cent|percent|degrees|metres|meters|grams))|"
    r"(?:(?:Mr|Mrs|Ms|Miss|Dr|Prof)\.? [A-Z][a-z]+)|(?:(?:page|question|chapter|room) \d+)"
)
"""Dates, amounts, numbers with a noun of measure, titles with names, labels with numbers."""


def test_unseen_lines_are_never_broken_inside_one_thing() -> None:
    """Dates, amounts, titles and labels of every set stay on one line of a caption."""
    n_found = 0
    for name in SETS:
        for line in lines_of(FOLDER / f"{name}.jsonl"):
            words = line.text.split()
            if not words or "$" in line.text:
                continue
            ends = {
                row[-1] + 1
                for cue in broken(words, line_characters=LINE_CHARACTERS, n_lines=2)
                for row in cue
            }
            text = " ".join(words)
            for found in ONE_THING.finditer(text):
                first = text[: found.start()].count(" ")
                inside = range(first + 1, first + 1 + found[0].count(" "))
                n_found += 1
                assert not ends & set(inside), (line.text, found[0])
    assert n_found >= 100
