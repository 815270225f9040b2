"""The table of cues: every row has a reason, and a cue decides what nothing else tells."""

from __future__ import annotations

import tomllib
from importlib import resources
from pathlib import Path

import pytest
from pausewright.wording.plain_lines import LineWorder

FILE = resources.files("pausewright.wording.languages").joinpath("en.cues.toml")
TABLE = tomllib.loads(FILE.read_text(encoding="utf-8"))
FIELDS = {
    "reads", "reason", "sure", "before", "after", "near", "never_after", "never_near", "shape",
    "follows", "leads",
}  # fmt: skip


def test_every_row_can_decide_and_says_why() -> None:
    """A reading, a reason and at least one thing to look for; phrases of three words at most."""
    rows = [row for topic in TABLE.values() for row in topic]
    assert len(rows) >= 60
    for row in rows:
        assert set(row) <= FIELDS
        assert row["reads"]
        assert row["reason"]
        assert set(row) & {"before", "after", "near", "shape", "follows", "leads"}
        for name in ("before", "after"):
            phrases = row.get(name, "").split("|")
            assert all(len(phrase.split()) <= 3 for phrase in phrases), row
            assert row.get(name, "") == row.get(name, "").lower()


PAIRS = {
    "1905": (
        ("The inn was built in 1905.", "nineteen oh five"),
        ("The shed holds 1905 bricks.", "one thousand nine hundred and five"),
        ("My PIN is 1905.", "one nine oh five"),
    ),
    "3–1": (
        ("Our side won 3–1.", "three one"),
        ("Read pages 1–3.", "one to three"),
    ),
    "10:15": (
        ("Lunch is at 10:15.", "ten fifteen"),
        ("Mix them in the ratio 10:15.", "ten to fifteen"),
        ("Read Luke 10:15.", "ten fifteen"),
    ),
    "3/4": (
        ("Clap in 3/4 time.", "three four"),
        ("Eat 3/4 of it.", "three quarters"),
        ("She got 3/4 in the quiz, so mark 3/5.", "three out of five"),
    ),
    "999": (
        ("Dial 999 at once.", "nine nine nine"),
        ("Count to 999.", "nine hundred and ninety-nine"),
    ),
    "St": (
        ("St Ives is near.", "Saint Ives"),
        ("It is in Mill St, I think.", "Mill Street"),
    ),
    "Dr": (
        ("Dr Vale is in.", "Doctor Vale"),
        ("They live at 4 Elm Dr, I think.", "Elm Drive"),
    ),
    "5 A": (
        ("A current of 5 A flows.", "five amperes"),
        ("Go to class 5 A now.", "five A"),
    ),
    "IV": (
        ("Read chapter IV.", "chapter four"),
        ("King Henry IV won.", "Henry the Fourth"),
        ("Write the Roman numeral XIV.", "X I V"),
    ),
    "16s": (
        ("The under-16s won.", "under-sixteens"),
        ("It took 16 s.", "sixteen seconds"),
    ),
}


@pytest.mark.parametrize(("line", "words"), [pair for pairs in PAIRS.values() for pair in pairs])
def test_the_words_beside_it_tell(line: str, words: str) -> None:
    """The same figures are read by what stands beside them, and nobody is asked."""
    worder = LineWorder(Path("-"), "en-GB", {})

    assert words in worder.spoken(line)
    assert worder.problems.errors == ()


@pytest.mark.parametrize("line", ["5:2", "1905", "4m + 3", "12-5", "1.30–2.45", "St", "yes/never"])
def test_where_no_cue_tells_the_author_is_asked(line: str) -> None:
    """Both readings stand in a warning, with what to type for each."""
    worder = LineWorder(Path("-"), "en-GB", {})
    worder.spoken(line)
    found = worder.problems.all

    assert [p.code for p in found] == ["wording-ambiguous"]
    assert " or " in found[0].hint
