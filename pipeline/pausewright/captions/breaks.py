"""Where words are broken into lines and cues: at sense, evenly, in as few cues as can be.

BBC Subtitle Guidelines, section 3.4: never between article and noun, preposition and phrase,
conjunction and clause, pronoun and verb, or parts of a verb. Word lists are English; in other
languages marks alone tell where sense ends.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

_ENDS: Final = (".", "?", "!", ":", ";")
_PAUSES: Final = (",", "–", "—")
_CLOSING: Final = "”’\"')»"


def _listed(words: str) -> frozenset[str]:
    return frozenset(words.split())


_ARTICLES: Final = _listed(
    "a an the this that these those my your his her its our their each every some any no which"
)
"""Articles and other words before a noun."""
_PREPOSITIONS: Final = _listed(
    "at by for from in into of off on onto out over to under up with without between after "
    "before behind beside near through during until about across along around past per"
)
_CONJUNCTIONS: Final = _listed(
    "and but or nor so yet because if when while although than as that whether"
)
_PRONOUNS: Final = _listed("i you he she it we they who")
_PARTS_OF_VERBS: Final = _listed(
    "am is are was were be been being has have had do does did will would shall should can could "
    "may might must not"
)
_NUMBERS: Final = _listed(
    "one two three four five six seven eight nine ten eleven twelve twenty thirty sixty half"
)
_TITLES: Final = _listed(
    "mr mrs ms miss mx dr prof rev sir dame lord lady st capt captain col gen lt sgt king queen "
    "pope"
)
_LEADS: Final = _ARTICLES | _PREPOSITIONS | _CONJUNCTIONS | _PRONOUNS | _PARTS_OF_VERBS | _TITLES
"""Words that lead to the next one."""
_BEGINS: Final = (_PREPOSITIONS | _CONJUNCTIONS | _listed("who which where")) - _listed(
    "off out up past per as that"
)
"""Words before which a phrase ends."""

COST_OF_A_CUE: Final = 1000.0
KEPT: Final = 400.0
"""A break inside what belongs together; only a word longer than a line forces one."""
_SCALES: Final = _listed("hundred thousand million billion trillion")
_AFTER_SCALE: Final = _listed(
    "pounds dollars euros pence cents people years kilometres miles tonnes"
)
_LABELS: Final = _listed(
    "number question questions page pages part chapter section figure table act scene line lines "
    "room platform gate class year option answer box volume exercise paper unit group team no p"
)
_SHORT_LABELS: Final = _listed("no nos p pp ch fig vol sec para art ex eq")
"""Labels with a full stop, which ends nothing."""
_MONTHS: Final = _listed(
    "january february march april may june july august september october november december"
)
_OPENERS: Final = _listed("then now next here there today listen write read answer look choose")
_LETTER: Final = re.compile("[A-H]")
_INITIAL: Final = re.compile(r"[A-Z]\.|(?:[A-Z]\.)+")
_NUMBER_WORD: Final = re.compile(
    "(?:twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)(?:-[a-z]+)?|[a-z]+teen|eleven|twelve"
)


def broken(
    words: Sequence[str], *, line_characters: int, n_lines: int, n_label: int = 0
) -> list[list[list[int]]]:
    """Return cues, each as lines, each as the indices of its words.

    Parameters
    ----------
    words : in order; none empty. A word longer than a line has a line of its own
    line_characters : longest line
    n_lines : lines of a cue at most
    n_label : characters kept free in the very first line
    """
    n = len(words)
    total = sum(map(len, words)) + n
    least = _fewest(words, line_characters, n_lines, n_label)
    target = total / least
    best: list[tuple[float, int, list[list[int]]] | None] = [None] * (n + 1)
    best[0] = (0.0, 0, [])
    for start in range(n):
        known = best[start]
        if known is None:
            continue
        room = line_characters - n_label if start == 0 else line_characters
        for end, lines, cost in _pages(words, start, max(room, 1), line_characters, n_lines):
            size = sum(len(words[i]) + 1 for i in range(start, end))
            uneven = 200 * ((size - target) / target) ** 2
            new = known[0] + COST_OF_A_CUE + cost + uneven + 2 * _cost(words, end)
            found = best[end]
            if found is None or new < found[0]:
                best[end] = (new, start, lines)
    cues: list[list[list[int]]] = []
    at = n
    while at > 0:
        found = best[at]
        if found is None:
            raise AssertionError("a line holds at least one word")
        cues.append(found[2])
        at = found[1]
    return cues[::-1]


def _pages(
    words: Sequence[str], start: int, first_room: int, room: int, n_lines: int
) -> list[tuple[int, list[list[int]], float]]:
    """Return for each end the best way to lay the words from `start` to it in one cue."""
    ways: dict[int, tuple[list[list[int]], float]] = {}
    front: dict[int, tuple[list[list[int]], float]] = {start: ([], 0.0)}
    for number in range(n_lines):
        following: dict[int, tuple[list[list[int]], float]] = {}
        for at, (lines, cost) in front.items():
            length = -1
            for end in range(at + 1, len(words) + 1):
                length += len(words[end - 1]) + 1
                if length > (first_room if number == 0 else room) and end > at + 1:
                    break
                line_cost = cost + (_cost(words, at) if number else 0.0)
                made = [*lines, list(range(at, end))]
                line_cost += _unevenness(words, made)
                if end not in following or line_cost < following[end][1]:
                    following[end] = (made, line_cost)
        for end, way in following.items():
            if end not in ways or way[1] < ways[end][1]:
                ways[end] = way
        front = following
    return [(end, lines, cost) for end, (lines, cost) in ways.items()]


def _unevenness(words: Sequence[str], lines: Sequence[Sequence[int]]) -> float:
    if len(lines) == 1:
        return 0.0
    sizes = [sum(len(words[i]) + 1 for i in line) for line in lines]
    return 4.0 + 0.02 * (max(sizes) - min(sizes)) ** 2


def _fewest(words: Sequence[str], room: int, n_lines: int, n_label: int) -> int:
    """Return in how many cues the words fit at least."""
    used, length, space = 1, -1, max(room - n_label, 1)
    for word in words:
        if length >= 0 and length + 1 + len(word) > space:
            used, length, space = used + 1, len(word), room
        else:
            length += 1 + len(word)
    return -(-used // n_lines)


def _cost(words: Sequence[str], at: int) -> float:
    """Return how bad a break before word `at` is; none at the end of the words."""
    if at >= len(words):
        return 0.0
    if belongs_together(words, at):
        return KEPT
    return _cost_between(words[at - 1], words[at])


def belongs_together(words: Sequence[str], at: int) -> bool:
    """Say whether the words before and at `at` are one thing to a reader.

    A number and its unit or noun, the two ends of a range, an amount, a name and surname, a title
    and name, a label and its number, a date. Common practice of caption writers, from memory; BBC
    Subtitle Guidelines, section 3.4, names the first and the fourth.
    """
    before, after = words[at - 1], words[at]
    is_short = before.rstrip(".").casefold() in _TITLES or (
        before.endswith(".") and before[:-1].casefold() in _SHORT_LABELS
    )
    if before.endswith((*_ENDS, *_PAUSES)) and not (is_short or _INITIAL.fullmatch(before)):
        return False
    bare, low = before.strip(_CLOSING + "“‘(«"), before.strip(_CLOSING + "“‘(«").casefold()
    following = after.strip(_CLOSING + "“‘(«.,;:?!")
    if _is_number(bare):
        return True
    if low in _SCALES and at > 1 and _is_number(words[at - 2].strip("“‘(«")):
        return following.casefold() in _AFTER_SCALE
    is_label = low in _LABELS | _MONTHS or low.rstrip(".") in _SHORT_LABELS
    if is_label and (following[:1].isdigit() or _is_number(following) or _LETTER.match(following)):
        return True
    if low in {"to", "and", "–", "or"} and _is_number(following) and at > 1:
        return _ends_amount(words, at - 1)
    if following.casefold() in {"to", "–"} and at + 1 < len(words):
        return _is_number(words[at + 1].strip("“‘(«.,;:?!")) and _ends_amount(words, at)
    if low.rstrip(".") in _TITLES or _INITIAL.fullmatch(before):
        return following[:1].isupper()
    return (
        _is_name(bare)
        and _is_name(following)
        and low not in _LEADS | _MONTHS
        and not (at == 1 and low in _OPENERS)
    )


def _ends_amount(words: Sequence[str], at: int) -> bool:
    """Say whether an amount ends right before word `at`: a number, or a number and its unit."""
    last = words[at - 1]
    if last.endswith((*_ENDS, *_PAUSES)):
        return False
    return _is_number(last.strip("“‘(«")) or (at > 1 and _is_number(words[at - 2].strip("“‘(«")))


def _is_number(word: str) -> bool:
    return (
        _is_figure(word) or word.casefold() in _NUMBERS or _NUMBER_WORD.fullmatch(word) is not None
    )


def _is_name(word: str) -> bool:
    return (
        len(word) > 1
        and word[0].isupper()
        and word[1:].replace("-", "").replace("’", "").isalpha()
        and not word.isupper()
    )


@cache
def _cost_between(before: str, after: str) -> float:
    bare = before.rstrip(_CLOSING)
    if bare.endswith(_ENDS):
        return 0.0
    if bare.endswith(_PAUSES):
        return 3.0
    if bare.casefold() in _LEADS:
        return 40.0
    return 8.0 if after.strip(_CLOSING + "“‘(«").casefold() in _BEGINS else 14.0


def _is_figure(word: str) -> bool:
    return any(c.isdigit() or c in "½¼¾⅓⅔" for c in word) and not any(c.isalpha() for c in word)
