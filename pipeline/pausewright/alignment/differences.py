"""Where words that should be said and words that were heard differ, by their sounds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.alignment.cheapest_path import cheapest_path
from pausewright.alignment.phone_words import cost
from pausewright.frozen import frozen
from pausewright.script.numbers_in_words import SMALL, TENS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.alignment.phone_words import SpokenWord

NUMBER_WORDS: Final = frozenset(
    {*SMALL, *TENS}
    | {"nought", "oh", "hundred", "thousand", "million", "billion"}
    | {"half", "quarter", "point", "minus", "plus", "times", "double"}
)
_SMALL: Final = frozenset(
    [
        "a",
        "an",
        "the",
        "and",
        "of",
        "to",
        "in",
        "on",
        "at",
        "is",
        "are",
        "was",
        "were",
        "it",
        "that",
        "this",
    ]
)
_NOUGHTS: Final = {"zero": "nought", "oh": "nought", "o": "nought", "naught": "nought"}
"""Names of one number."""
_LOST_PHONE: Final = 0.7
_ALIKE: Final = 0.34
"""Share of the sounds that may differ in words that are taken for the same."""
_LONG_WORD: Final = 4
_UNLIKE: Final = 0.4
_TENS: Final = {"thir": "thirty", "for": "forty", "four": "forty", "fif": "fifty", "eigh": "eighty"}


@frozen
class Difference:
    """A word that is said otherwise, not at all, or too much."""

    said: str
    """As it should be; "" for a word too much."""
    heard: str
    """"" for one that was not heard."""
    at: int
    """Which word of those that should be said it is, or stands before."""
    likeness: float = 0.0
    """Of the sounds of both, 0 to 1."""

    @property
    def is_other_word(self) -> bool:
        """Whether another word is heard that nobody would take for this one: no letter, no number.

        Names are misheard, and letters more so: what sounds at all like it is passed over.
        """
        words = (*self.said.split(), *self.heard.split())
        are_long = all(len(one) >= _LONG_WORD for one in words)
        return (
            bool(self.said and self.heard)
            and are_long
            and not self.is_number
            and self.likeness < _UNLIKE
        )

    @property
    def is_number(self) -> bool:
        """Whether a number is in it."""
        return bool({self.said.lower(), self.heard.lower()} & NUMBER_WORDS)

    @property
    def is_teen_for_ten(self) -> bool:
        """Whether it is fifteen for fifty or the like, which no ear tells for sure."""
        pair = {self.said.lower(), self.heard.lower()}
        return any(
            word.endswith("teen") and (word[:-4] + "ty" in pair or _TENS.get(word[:-4]) in pair)
            for word in pair
        )


def differences(
    said: Sequence[SpokenWord], heard: Sequence[SpokenWord]
) -> tuple[list[Difference], float]:
    """Return where two rows of words differ, and how alike they are (0 to 1, by their sounds).

    Small words and words of the same sounds are no difference; one word may be heard as two.
    """
    n, m = len(said), len(heard)
    weights = [max(1, len(one.phones)) * _LOST_PHONE for one in said]
    theirs = [max(1, len(one.phones)) * _LOST_PHONE for one in heard]

    def steps(i: int, j: int) -> Iterator[tuple[int, int, float]]:
        for di, dj in ((1, 1), (1, 0), (0, 1), (1, 2), (2, 1)):
            if i + di > n or j + dj > m:
                continue
            if not di:
                yield di, dj, theirs[j]
            elif not dj:
                yield di, dj, weights[i]
            else:
                ours = [p for one in said[i : i + di] for p in one.phones]
                other = [p for one in heard[j : j + dj] for p in one.phones]
                yield di, dj, cost(ours, other) + (0.01 if di + dj > 2 else 0.0)

    path, total = cheapest_path(n, m, steps)
    found: list[Difference] = []
    for step in path:
        mine, its = slice(*step.first), slice(*step.second)
        ours = [one.word for one in said[mine]]
        other = [one.word for one in heard[its]]
        longer = max(sum(weights[mine]), sum(theirs[its]))
        is_other = {*map(str.lower, ours)} <= NUMBER_WORDS and {
            *map(str.lower, other)
        } <= NUMBER_WORDS
        if [_named(one) for one in ours] == [_named(one) for one in other]:
            continue
        least = 0.05 if is_other else _ALIKE * longer
        if step.cost > least and not _SMALL.issuperset(w.lower() for w in (*ours, *other)):
            likeness = 1 - step.cost / longer
            found.append(Difference(" ".join(ours), " ".join(other), step.first[0], likeness))
    longer = max(sum(weights), sum(theirs))
    return found, max(0.0, 1 - total / longer) if longer else 1.0


def _named(word: str) -> str:
    return _NOUGHTS.get(word.lower(), word.lower())
