"""When each shown word is heard: words as shown against words as spoken.

"56" stands where "fifty-six" is heard. Equal words are anchors; what lies between two anchors
shares the time between them by its characters.
"""

from __future__ import annotations

import unicodedata
from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence


@frozen
class WordTime:
    """A spoken word and when it is heard, in samples from the start of its sound."""

    word: str
    start_sample: int
    end_sample: int


def shown_times(
    shown: Sequence[str], spoken: Sequence[WordTime], n_samples: int
) -> list[tuple[int, int]]:
    """Return the half-open sample range of each shown word, in order and not overlapping.

    Parameters
    ----------
    shown : words as shown, in order
    spoken : words as spoken, in order; empty if their times are not known: then the shown words
        share the whole sound by their characters
    n_samples : length of the sound
    """
    whole = [WordTime("", 0, n_samples)]
    if not spoken:
        return _shared(shown, whole)
    matcher = SequenceMatcher(
        a=[_plain(word) for word in shown], b=[_plain(w.word) for w in spoken], autojunk=False
    )
    found: list[tuple[int, int]] = []
    for _, first, last, from_spoken, to_spoken in matcher.get_opcodes():
        heard = spoken[from_spoken:to_spoken]
        if heard and last - first == len(heard):
            found += [(word.start_sample, word.end_sample) for word in heard]
        elif heard:
            found += _shared(shown[first:last], heard)
        else:  # a mark that is not heard stands between its neighbours
            at = found[-1][1] if found else 0
            found += [(at, at)] * (last - first)
    return found


def _shared(shown: Sequence[str], heard: Sequence[WordTime]) -> list[tuple[int, int]]:
    start, end = heard[0].start_sample, heard[-1].end_sample
    total = sum(map(len, shown))
    found = []
    done = 0
    for word in shown:
        first = start + (end - start) * done // total
        done += len(word)
        found.append((first, start + (end - start) * done // total))
    return found


def _plain(word: str) -> str:
    """Return a word without marks and capitals; a lone mark stays as it is."""
    folded = unicodedata.normalize("NFC", word).casefold().replace("’", "'")
    return "".join(c for c in folded if c.isalnum() or c == "'") or folded
