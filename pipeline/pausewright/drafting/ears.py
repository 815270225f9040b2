"""What a recogniser hears in a recording, and where that is not what is on the paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from pausewright.alignment.differences import differences
from pausewright.alignment.phone_words import spoken_words
from pausewright.drafting.draft_model import Doubt

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.alignment.differences import Difference
    from pausewright.alignment.given_sound import GivenSound, Listener, Manner
    from pausewright.alignment.phone_words import SpokenWord
    from pausewright.alignment.runs import Run

    SpokenOf = Callable[[str], str]

_ALIKE: Final = 0.55
"""Of the sounds: what is less alike is something else."""
_MANY: Final = 3
"""Words in all that are missing or too much, from which on that is told."""


@dataclass(frozen=True, slots=True)
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


def doubts_of(
    said: Sequence[SpokenWord],
    announced: Sequence[SpokenWord],
    hearings: Sequence[HeardText],
    at_ms: int,
) -> list[Doubt]:
    """Return what differs between the words of the paper and every hearing of a run.

    What only one hearing has is not told: a recogniser errs more often than a reader.
    """
    rows = []
    for one in hearings:
        pairs = (differences(words, one.words) for words in (said, [*announced, *said]))
        rows.append(max(pairs, key=lambda pair: pair[1]))
    likeness = max(pair[1] for pair in rows)
    heard = hearings[0].text
    if likeness < _ALIKE:
        return [Doubt(at_ms, f"other words are heard: “{heard}”")]
    least, _ = min(rows, key=lambda pair: len(pair[0]))
    others = [{(d.said, d.heard) for d in found} for found, _ in rows]
    shared = [d for d in least if all((d.said, d.heard) in row for row in others)]
    numbers = [d for d in shared if d.is_number]
    found = []
    if numbers:
        found.append(Doubt(at_ms, _of_numbers(numbers)))
    missing = [d.said for d in least if not d.heard]
    extra = [d.heard for d in least if not d.said]
    if len(missing) >= _MANY or 2 * len(missing) > len(said):
        found.append(Doubt(at_ms, f"not heard: “{' '.join(missing)}”"))
    if len(extra) >= _MANY:
        found.append(Doubt(at_ms, f"heard too much: “{' '.join(extra)}”"))
    return found


def _of_numbers(numbers: Sequence[Difference]) -> str:
    said = " ".join(one.said for one in numbers if one.said) or "nothing"
    heard = " ".join(one.heard for one in numbers if one.heard) or "nothing"
    if all(one.is_teen_for_ten for one in numbers):
        return f"cannot tell “{said}” from “{heard}”"
    return f"on the paper “{said}”, heard “{heard}”"
