"""What another normaliser says of 2,133 phrases; each kind of difference is judged once.

The words in tests/cases/second_opinion.tsv are those of wetext 0.1.8, a normaliser of weighted
grammars, recorded by scripts/make_second_opinion.py. It knows one English, between the British and
the American.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.wording.plain_lines import LineWorder
from support.places import CASES

if TYPE_CHECKING:
    from collections.abc import Callable

SETTINGS = {"repeated-digits": "each", "money": "twelve-pounds-and-fifty-pence"}
WORDERS = {
    "en-GB": LineWorder(Path("-"), "en-GB", SETTINGS),
    "en-US": LineWorder(Path("-"), "en-US", {}),
}
ROWS = [
    tuple(row.split("\t"))
    for row in (CASES / "second_opinion.tsv").read_text(encoding="utf-8").splitlines()
]
SPELLED = {"meter": "metre", "liter": "litre"}


def bare(text: str) -> str:
    """Return words in small letters, without hyphens, commas and full stops."""
    return " ".join(re.sub(r"[-,.]", " ", text.lower()).split())


def _spelling(words: str) -> str:
    for theirs, ours in SPELLED.items():
        words = re.sub(rf"{theirs}(?=s|\b)", ours, words)
    return words


SAME: dict[str, Callable[[str], str]] = {
    "a nought in a year is “oh” (Swan, Basic English Usage)": lambda w: re.sub(
        r"\bzero (?=\w+$)", "oh ", w
    ),
    "a m and am, o and oh are one sound": lambda w: re.sub(
        r"\bo\b", "oh", re.sub(r"\b([ap])m$", r"\1 m", w)
    ),
    "British spelling": _spelling,
    "nought before the point (Swan)": lambda w: re.sub(r"^zero\b", "nought", w),
    "“one thousand”, not “thousand” (CLDR)": lambda w: re.sub(r"^thousand", "one thousand", w),
    "“per cent” is two words in British English": lambda w: w.replace("percent", "per cent"),
    "British “and” in numbers and years (CLDR, the verbose spellouts)": lambda w: w,
}
"""Differences that are another spelling or another English: theirs brought to ours."""

WRONG: dict[str, Callable[[str, str, str], bool]] = {
    "May is not read as a month there": lambda phrase, _ours, _theirs: " May " in phrase,
    "an amount is said as a decimal there": lambda phrase, _ours, theirs: (
        phrase[0] in "$£€" and " point " in f" {theirs} "
    ),
    "m is read as minutes there": lambda phrase, _ours, theirs: (
        phrase.endswith(" m") and theirs.endswith("minutes")
    ),
    "a full hour of the 24-hour clock is “o’clock” there": lambda phrase, _ours, _theirs: (
        phrase.endswith(":00")
    ),
    "the unit is left unread there": lambda phrase, _ours, theirs: (
        bare(phrase.split()[-1]) in theirs.split()
    ),
}
"""Differences in which ours was judged right, by the published rows of the wording table."""


def judged(phrase: str, ours: str, theirs: str) -> str:
    """Return which judgement covers a difference; "" if none does."""
    words, used = theirs, ""
    for name, change in SAME.items():
        changed = change(words)
        if changed != words:
            words, used = changed, used or name
        if words == ours:
            return used
    if ours.replace(" and ", " ") == words.replace(" and ", " "):
        return list(SAME)[-1]
    for name, test in WRONG.items():
        if test(phrase, ours, theirs):
            return name
    return ""


def test_every_difference_is_judged() -> None:
    """Two thousand phrases and more; none differs without a judgement."""
    assert len(ROWS) >= 2000
    counts: Counter[str] = Counter()
    left = []
    for kind, phrase, other in ROWS:
        worder = WORDERS["en-US" if kind == "telephone" else "en-GB"]
        ours, theirs = bare(worder.spoken(phrase)), bare(other)
        name = "the same words" if ours == theirs else judged(phrase, ours, theirs)
        counts[name] += 1
        if not name:
            left.append((phrase, ours, theirs))

    assert left == []
    assert set(counts) == {"the same words", *SAME, *WRONG}
    assert counts["the same words"] >= 1000
