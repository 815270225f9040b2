"""Lines written without a look at the code are read as a careful teacher would read them.

The sets were written by people who had not seen the code, its tables or its docs. Only the first
run of a set says how well unseen lines are read: those figures stand in docs/wording.md. Here the
sets keep what was learnt from them.
"""

from __future__ import annotations

from functools import cache

import pytest
from support.scripts.unseen_lines import FOLDER, Score, is_reading, lines_of, scored

NARROW = {
    "b235": "a nuclide with its name first is as common as its numbers first; the development "
    "set accepts both",
    "c441": "“the quantity” before a sum under a root is accepted in the development set",
    "s5-138": "“triple five” is how British readers say 555; the line accepts “double oh”",
    "s5-291": "“the quantity” before a sum under a root, as in c441",
    "s6-295": "the brackets around an exponent of two terms are said, as around its base",
    "s1-003": "American numbers have no “and”: “one thousand two hundred six”",
    "s1-011": "American numbers have no “and”",
    "s1-216": "American numbers have no “and”: “one hundred eighty” is not accepted",
    "s1-306": "brackets around a sum under a root, as in c441",
    "s2-141": "“double oh” in a British telephone number; other sets accept it",
    "s2-278": "“dot” in an address of the internet protocol; the line accepts “point” alone",
    "s2-332": "“six point three zero” is accepted, and “oh” beside “zero” in every other line",
    "s3-092": "“the nearest one quarter of an inch”; the line accepts it without one of its words",
    "s3-152": "“double oh” in a British telephone number, as in s2-141",
    "s3-214": "the line accepts “o p point” for the point that it names OP",
    "s3-229": "“Is three a member of”; the line accepts “is three is a member of” only",
    "s3-243": "“two three eight” in U-238; the line accepts “two three five” in uranium-235",
    "s3-269": "“eighth notes” for the two of ♫; the line accepts “eighths”",
    "s3-380": "“Mister” for Mr",
}
"""Lines whose accepted readings are narrower than those of the other sets; judged once."""
KNOWN = {
    "s6-147": "the slash and the dash of a code are pauses",
    "s6-159": "a numeral alone after “the”, far from the word it counts: asked",
    "s6-174": "“St.” for State: asked",
    "s6-175": "“min.” for minutes after “of”: warned of",
    "s6-267": "an operator of one programming language: an error",
    "s6-296": "a bold letter is a vector after a number too",
    "s6-310": "“III” after a name that no ruler has: asked",
    "s6-321": "a unit with a full stop and a power",
    "s3-271": "intervals of music, m3 and P5",
    "s3-282": "a list of a programming language: an error",
    "s3-296": "a sequence with a gap",
}
"""Lines of the last sets that are not read rightly yet."""
SPELLED = {
    "s1-384": "an abbreviation that the sentence asks about is said by its letters",
    "s3-287": "letters of the alphabet one by one",
    "s3-380": "“Mister” for Mr",
}
"""Plain lines that are rightly not said as they are written."""
SETS = (
    "development",
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
)
HARD = {
    "development2": 98,
    "development3": 96,
    "development4": 90,
    "development5": 90,
    "development6": 99,
    "development7": 99,
    "development8": 99,
    "tenth": 99,
    "eleventh": 99,
    "twelfth": 99,
}
"""Sets from which was learnt: per cent right at least."""


@cache
def score(name: str) -> Score:
    """Return what becomes of a set now."""
    return scored(lines_of(FOLDER / f"{name}.jsonl"))


@pytest.mark.parametrize("name", SETS)
def test_a_set_is_read_rightly(name: str) -> None:
    """Every line, but for those judged too narrow."""
    wrong = [o.line.id for o in score(name).outcomes if o.verdict in {"told", "silent"}]

    assert len(score(name).outcomes) >= 300
    assert set(wrong) <= set(NARROW) | set(KNOWN)


@pytest.mark.parametrize("name", HARD)
def test_hard_sets_are_read_no_worse(name: str) -> None:
    """What was learnt from them is kept; of plain lines at most an initial's full stop is lost."""
    found = score(name)

    assert 100 * found.n_right >= HARD[name] * len(found.outcomes)
    assert len(found.plain_changed) <= 1


@pytest.mark.parametrize("name", SETS)
def test_plain_lines_are_left_alone(name: str) -> None:
    """Ordinary prose with traps is said as it is written."""
    plain = [o for o in score(name).outcomes if o.line.plain]

    assert len(plain) >= 40
    assert {o.line.id for o in score(name).plain_changed} <= set(SPELLED)


@pytest.mark.parametrize("name", SETS)
def test_warnings_on_right_lines_are_few(name: str) -> None:
    """At most five in a hundred lines that are read rightly carry a warning without need."""
    found = score(name)

    assert len(found.warned_though_right) <= 0.05 * found.n_right


@pytest.mark.parametrize("name", SETS)
def test_two_readings_are_asked_or_one_of_them_taken(name: str) -> None:
    """Where no reader could know, one of the listed readings is said."""
    asked = [o for o in score(name).outcomes if o.line.ask]

    assert {o.line.id for o in asked if o.verdict in {"told", "silent"}} <= set(NARROW)


@pytest.mark.parametrize(
    ("words", "accepted", "right"),
    [
        ("Solve three x plus seven.", "Solve three X plus {seven|eight}.", True),
        ("Solve three x plus nine.", "Solve three X plus {seven|eight}.", False),
        ("one hundred and five", "one hundred {and |}five", True),
        ("one hundred five", "one hundred {and |}five", True),
        ("L S two, nine J zed", "LS two nine JZ", True),
        ("minus five", "five", False),
    ],
)
def test_the_comparison_itself(words: str, accepted: str, *, right: bool) -> None:
    """Alternatives, letters and hyphens are seen through; other words are not."""
    assert is_reading(words, accepted) is right
