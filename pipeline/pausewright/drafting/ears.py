"""What a recogniser hears in a recording, and where that is not what is on the paper."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.alignment.differences import Difference, differences
from pausewright.alignment.phone_words import cost, spoken_words
from pausewright.drafting.draft_model import Doubt
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.alignment.given_sound import GivenSound, Listener, Manner
    from pausewright.alignment.phone_words import SpokenWord
    from pausewright.alignment.runs import Run

    SpokenOf = Callable[[str], str]
    Told = Callable[[str, int, int], None]

_ALIKE: Final = 0.55
"""Of the sounds: what is less alike is something else."""
_MOST_ANNOUNCED: Final = 4
"""Words before what is written down twice: "number one hundred two"."""
ANNOUNCING: Final = frozenset({"number", "question", "item"})
_SAME_PHONES: Final = 0.25
"""Of the sounds of two numbers: what differs less may be the same number."""
_MANY: Final = 3
"""Words in all that are missing or too much, from which on that is told."""


@frozen
class HeardText:
    """What was heard in a run."""

    text: str
    words: tuple[SpokenWord, ...]


def heard_texts(
    given: GivenSound,
    runs: Sequence[Run],
    listener: Listener,
    spoken_of: SpokenOf,
    told: Callable[[int, int], None] | None = None,
    manner: Manner = "figures",
) -> list[HeardText]:
    """Return what is heard in each run; nothing where no voice is in it.

    `spoken_of` words text as it is said; `told` is called with runs heard and in all.
    """
    texts = []
    for i, run in enumerate(runs):
        text = " ".join(listener.heard(given.pieces(run), manner)) if run.is_voiced else ""
        texts.append(" ".join(text.split()))
        if told is not None:
            told(i + 1, len(runs))
    words = spoken_words(spoken_of(text) for text in texts)
    return [HeardText(*pair) for pair in zip(texts, words, strict=True)]


class Hearings:
    """What is heard in runs; one that is in several partings of a recording is heard once."""

    def __init__(
        self, given: GivenSound, listener: Listener, spoken_of: SpokenOf, told: Told
    ) -> None:
        """Take the recording and what listens; `told` is called with a stage, done and in all."""
        self._given, self._listener = given, listener
        self._spoken_of, self._told = spoken_of, told
        self._kept: dict[tuple[int, int], HeardText] = {}

    def of(self, runs: Sequence[Run]) -> list[HeardText]:
        """Return what is heard in each run."""
        new = [one for one in runs if (one.start_ms, one.end_ms) not in self._kept]
        texts = heard_texts(
            self._given, new, self._listener, self._spoken_of,
            lambda n, m: self._told("listening", n, m),
        )  # fmt: skip
        self._kept.update(
            ((run.start_ms, run.end_ms), text) for run, text in zip(new, texts, strict=True)
        )
        return [self._kept[one.start_ms, one.end_ms] for one in runs]


def doubts_of(
    said: Sequence[SpokenWord],
    announced: Sequence[SpokenWord],
    hearings: Sequence[HeardText],
    at_ms: int,
) -> list[Doubt]:
    """Return what differs between the words of the paper and every hearing of a run.

    What only one hearing has is not told: a recogniser errs more often than a reader.
    """
    rows = [_compared(said, announced, one.words) for one in hearings]
    likeness = max(pair[1] for pair in rows)
    heard = hearings[0].text
    if likeness < _ALIKE:
        return [Doubt(at_ms, f"other words are heard: “{heard}”")]
    least, _ = min(rows, key=lambda pair: len(pair[0]))
    shared = [d for d in least if all(any(_agree(d, o) for o in found) for found, _ in rows)]
    numbers = [d for d in shared if d.is_number]
    found = []
    if numbers:
        found.append(Doubt(at_ms, _of_numbers(numbers)))
    found += [
        Doubt(at_ms, f"on the paper “{one.said}”, heard “{one.heard}”")
        for one in shared
        if one.is_other_word and all(one in row for row, _ in rows)
    ]
    missing = [d.said for d in least if not d.heard]
    extra = [d.heard for d in least if not d.said]
    if len(missing) >= _MANY or 2 * len(missing) > len(said):
        found.append(Doubt(at_ms, f"not heard: “{' '.join(missing)}”"))
    if len(extra) >= _MANY:
        found.append(Doubt(at_ms, f"heard too much: “{' '.join(extra)}”"))
    return found


def announces(heard: HeardText) -> bool:
    """Return whether a number is announced first."""
    return bool(heard.words) and heard.words[0].word.lower() in ANNOUNCING


def announced_otherwise(
    announced: Sequence[SpokenWord], hearings: Sequence[HeardText], at_ms: int
) -> list[Doubt]:
    """Return a doubt if every hearing announces another number than it should."""
    number = announced[1:]
    phones = [phone for word in number for phone in word.phones]
    for one in hearings:
        heard = one.words[1 : 1 + len(number)]
        theirs = [phone for word in heard for phone in word.phones]
        pair = Difference(_text(number), _text(heard), 0)
        is_near = cost(phones, theirs) < _SAME_PHONES * max(1, len(phones), len(theirs))
        if not announces(one) or is_near or pair.is_teen_for_ten:
            return []
    return [Doubt(at_ms, f"announced as another number: “{hearings[0].text}”")]


def _text(words: Sequence[SpokenWord]) -> str:
    return " ".join(one.word for one in words)


def _compared(
    said: Sequence[SpokenWord], announced: Sequence[SpokenWord], heard: Sequence[SpokenWord]
) -> tuple[list[Difference], float]:
    """Return what differs, with or without what announces it, and how alike it is.

    A recogniser writes down a short text twice now and then: then once counts, if that fits better.
    """
    n = len(announced)
    found = []
    for words in _once_or_twice(heard):
        plain, whole = (differences(row, words) for row in (said, [*announced, *said]))
        found += [plain, ([replace(one, at=one.at - n) for one in whole[0]], whole[1])]
    return max(found, key=lambda pair: pair[1])


def _once_or_twice(heard: Sequence[SpokenWord]) -> Iterator[Sequence[SpokenWord]]:
    """Give what was heard, and without its second half where that repeats the first.

    What announces it is written down once.
    """
    yield heard
    n = len(heard)
    for first in range(min(n, _MOST_ANNOUNCED) + 1):
        half = (n - first) // 2
        again = [one.phones for one in heard[first + half :]]
        if half > 1 and [one.phones for one in heard[first : first + half]] == again:
            yield heard[: first + half]


def _agree(one: Difference, other: Difference) -> bool:
    """Return whether two hearings differ from the paper in the same word.

    What is heard in its place may be another thing in each: a word that no hearing has was hardly
    said. Words too much must be the same.
    """
    if not one.said:
        return (other.said, other.heard) == ("", one.heard)
    return (one.said, one.at) == (other.said, other.at)


def _of_numbers(numbers: Sequence[Difference]) -> str:
    said = " ".join(one.said for one in numbers if one.said) or "nothing"
    heard = " ".join(one.heard for one in numbers if one.heard) or "nothing"
    if all(one.is_teen_for_ten for one in numbers):
        return f"cannot tell “{said}” from “{heard}”"
    return f"on the paper “{said}”, heard “{heard}”"
