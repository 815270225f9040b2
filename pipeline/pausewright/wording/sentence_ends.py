"""Where a sentence ends: not after titles, initials or abbreviations, nor before small letters."""

from __future__ import annotations

import re
from typing import Final

_BOUNDARY: Final = re.compile(r"(?<=[.?!])[\"”’')]*(?:\s+|$)")
_ENDED: Final = re.compile(r"[.?!][\"”’')]*$")
_CLOSING: Final = "\"”’')"
_NO_END: Final = re.compile(
    r"(?:^|[\s(“\"‘'])(?:[A-Z]|Mr|Mrs|Ms|Mx|Dr|Prof|Rev|Capt|Sgt|Col|St|Mt|Sr|Jr|vs|cf|approx|"
    r"(?:[A-Za-z]\.)+[A-Za-z])\.$"
)
"""Before a full stop that ends no sentence: initials, titles, abbreviations."""
_LETTER_NAMED: Final = re.compile(
    r"\b(?:letter|letters|option|options|answer|answers|choice|part|point|box|column|row|group|"
    r"vitamin|or|and|is)\s[A-Z]\.$",
    re.IGNORECASE,
)
"""A capital that is named as a letter is no initial: "Choose option B. Then stop." """
_HALF_OF_DAY: Final = re.compile(r"\d\s?[ap]\.m\.$")
"""After "3 p.m." a capital begins a sentence …"""
_GOES_ON: Final = re.compile(
    r"Mon|Tue|Wed|Thu|Fri|Sat|Sun|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec|[A-Z]{3}\b|\d"
)
"""… unless it is that of a day, a month or a time zone: "6 a.m. Monday"."""
_AHEAD: Final = 12
"""How many signs of what follows are looked at."""
_SIGNS_OF_SUMS: Final = frozenset("+−×÷=≠≈<>≤≥")
"""Before one of these a question mark stands for a number: "5 + ? = 9"."""
_NO_END_BEFORE_FIGURE: Final = re.compile(
    r"(?:^|[\s(“\"‘'])(?:No|Nos|no|nos|p|pp|vol|Vol|fig|Fig|ch|Ch|para|pt|Pt|ex|Ex|"
    r"eq|Eq|sec|Sec|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept?|Oct|Nov|Dec|Mon|Tues?|Wed|Thurs?|Thu|Fri|"
    r"Sat|Sun|Q|c|ca|approx)\.$"
)
"""The same, where a figure follows: "No. 5" is one thing, "No. I will not." are two."""


def sentence_end(text: str, at: int, before: str) -> int | None:
    """Return the offset after the first sentence of `text[at:]`, or None if it does not end.

    `before` is what stands before `text[at:]` in the same sentence. The last word of a text with
    nothing after its full stop ends no sentence yet: more may follow.
    """
    for found in _BOUNDARY.finditer(text, at):
        if found.end() == len(text) and not found[0]:
            return None
        if _ends(before + text[at : found.start()], text[found.end() : found.end() + _AHEAD]):
            return found.end()
    return None


def is_ended(text: str, following: str) -> bool:
    """Say whether `text` ends a sentence, `following` being the next word after a blank."""
    return _ENDED.search(text) is not None and _ends(text, following)


def _ends(text: str, following: str) -> bool:
    words = text.rstrip(_CLOSING)
    first = following[:1]
    if first.islower() or (words.endswith("?") and first in _SIGNS_OF_SUMS):
        return False
    if first.isdigit() and _NO_END_BEFORE_FIGURE.search(words):
        return False
    if _HALF_OF_DAY.search(words):
        return _GOES_ON.match(following) is None
    if _LETTER_NAMED.search(words):
        return True
    return not _NO_END.search(words)
