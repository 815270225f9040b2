"""Which written words a voice pronounces as one, from the sounds of each alone.

A pronunciation engine runs small words together ("of the", "do not") and sometimes reads one word
as several. Word times come by group of sounds; this says which words each group is, and shares a
group's time among its words.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.wording.line_elements import SpokenPart

    Span: TypeAlias = tuple[int, int]
    """Half-open range of samples."""

STRESS: Final = ("ˈ", "ˌ")

MOST_JOINED: Final = 4
"""Words in one group, or groups in one word, at most."""


def written_words(spoken: Sequence[SpokenPart]) -> list[list[SpokenPart]]:
    """Return each written word that is heard, as the parts that it is made of.

    Words stand between blanks; a word may go on from one part into the next. Marks alone are no
    word.
    """
    words: list[list[SpokenPart]] = [[]]
    for part in spoken:
        if part.text[:1].isspace():
            words.append([])
        for index, token in enumerate(part.text.split()):
            if index:
                words.append([])
            words[-1].append(replace(part, text=token))
        if part.text[-1:].isspace():
            words.append([])
    return [
        word
        for word in words
        if any(part.is_ipa or any(c.isalnum() for c in part.text) for part in word)
    ]


def group_ranges(symbols: Sequence[str], counts: Callable[[str], bool]) -> list[tuple[int, int]]:
    """Return the half-open range of each group between blanks, first to last symbol that counts.

    A group without a symbol that counts is none.
    """
    found: list[tuple[int, int]] = []
    between = True
    for index, symbol in enumerate(symbols):
        if symbol == " ":
            between = True
        elif counts(symbol):
            found.append((index if between else found.pop()[0], index + 1))
            between = False
    return found


def heard_ranges(symbols: Sequence[str], counts: Callable[[str], bool]) -> list[tuple[int, int]]:
    """Return the range of each group with the blank before it.

    A network spends on a blank what is already the sound of the next word. Against an aligner by
    hidden Markov models (PocketSphinx, en-us; `scripts/caption_figures.py`), over 960 words inside
    sentences, words begin with that blank: 98 % within 60 ms, where the first symbol after it is
    50 ms late on average.
    """
    return [(_heard_from(symbols, first), end) for first, end in group_ranges(symbols, counts)]


def _heard_from(symbols: Sequence[str], first: int) -> int:
    """Return the blank before a group; the first of its symbols, stress included, without one."""
    while first and symbols[first - 1] in STRESS:
        first -= 1
    return first - 1 if first and symbols[first - 1] == " " else first


def by_word(spans: Sequence[Span], groups: Sequence[str], alone: Sequence[str]) -> tuple[Span, ...]:
    """Return the spans of the words as written; empty if they cannot be told apart.

    Parameters
    ----------
    spans : of the groups
    groups : the sounds of each group
    alone : the sounds of each word pronounced alone; empty if each group is a word
    """
    if not alone or not spans:
        return tuple(spans)
    if len(groups) != len(spans):
        return ()
    pieces = matched(groups, alone)
    return () if pieces is None else shared(spans, pieces, alone)


def matched(groups: Sequence[str], alone: Sequence[str]) -> list[tuple[int, int]] | None:
    """Return (number of groups, number of words) for each piece of the likeliest division.

    One of the two numbers is always 1. None if no division exists.

    Parameters
    ----------
    groups : the sounds of each group, in order, without marks
    alone : the sounds of each word pronounced alone
    """
    n_groups, n_words = len(groups), len(alone)
    best: dict[tuple[int, int], tuple[float, tuple[int, int]]] = {(0, 0): (0.0, (0, 0))}
    steps = [(1, 1), *((1, n) for n in range(2, MOST_JOINED + 1))]
    steps += [(n, 1) for n in range(2, MOST_JOINED + 1)]
    for g in range(n_groups + 1):
        for w in range(n_words + 1):
            if (g, w) not in best:
                continue
            cost = best[g, w][0]
            for dg, dw in steps:
                at = (g + dg, w + dw)
                if at[0] > n_groups or at[1] > n_words:
                    continue
                new = cost + _unlike("".join(groups[g : at[0]]), "".join(alone[w : at[1]]))
                if at not in best or new < best[at][0]:
                    best[at] = (new, (dg, dw))
    at = (n_groups, n_words)
    if at not in best:
        return None
    found = []
    while at != (0, 0):
        step = best[at][1]
        found.append(step)
        at = (at[0] - step[0], at[1] - step[1])
    return found[::-1]


def shared(
    spans: Sequence[Span], pieces: Sequence[tuple[int, int]], alone: Sequence[str]
) -> tuple[Span, ...]:
    """Return a span for each word; words of one group share it by their numbers of sounds."""
    found: list[Span] = []
    at = 0
    for n_groups, n_words in pieces:
        start, end = spans[at][0], spans[at + n_groups - 1][1]
        at += n_groups
        weights = [max(1, len(sounds)) for sounds in alone[len(found) : len(found) + n_words]]
        done, total = 0, sum(weights)
        for weight in weights:
            first = start + (end - start) * done // total
            done += weight
            found.append((first, start + (end - start) * done // total))
    return tuple(found)


def _unlike(one: str, other: str) -> int:
    """Return the least number of sounds to change, take out or put in (Levenshtein distance)."""
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        last, row[0] = row[0], i
        for j, b in enumerate(other, 1):
            last, row[j] = row[j], min(last + (a != b), row[j] + 1, row[j - 1] + 1)
    return row[-1]
