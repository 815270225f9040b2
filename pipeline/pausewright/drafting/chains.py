"""The speech of a recording in chains: the readings of a question, or something said once."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING, Final

from pausewright.alignment.phone_words import sounds
from pausewright.alignment.runs import repeats, runs
from pausewright.alignment.said_lines import HeardRun
from pausewright.frozen import frozen
from pausewright.sound.streamed import LOW_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.alignment.given_sound import GivenSound
    from pausewright.alignment.runs import Run
    from pausewright.drafting.ears import HeardText

_CHAINED_MS: Final = 30_000
"""Readings of one question are no further apart."""
_LONGER: Final = 1.7
_MUCH_LONGER_MS: Final = 1500
"""Nor by so much more than other readings are: then it is a question much like the one before."""


@frozen
class Chain:
    """Runs that say the same: the readings of a question, or one run."""

    runs: tuple[Run, ...]
    heard: tuple[HeardText, ...] = ()


@frozen
class Parted:
    """A recording in runs, parted by silences of some length or longer."""

    runs: tuple[Run, ...]
    """All of them, those without a voice included."""
    voiced: tuple[Run, ...]
    again: tuple[bool, ...]
    """For each voiced run, whether it says again what the one before it says."""

    def loosened(self, n: int) -> Iterator[Parted]:
        """Give the recording with one run no reading of what is before it, `n` times at most.

        Those after the longest silences come first.
        """
        linked = [i for i, is_again in enumerate(self.again) if i and is_again]
        linked.sort(key=lambda i: self.voiced[i].start_ms - self.voiced[i - 1].end_ms, reverse=True)
        for i in linked[:n]:
            yield replace(self, again=(*self.again[:i], False, *self.again[i + 1 :]))

    def chains(self, hearings: Sequence[HeardText] = ()) -> list[Chain]:
        """Return the voiced runs in chains, with what was heard in each if something listened."""
        silences = [run.start_ms - before.end_ms for before, run in pairwise(self.voiced)]
        linked = [ms for ms, is_again in zip(silences, self.again[1:], strict=True) if is_again]
        most_ms = min(_CHAINED_MS, max(_LONGER * median(linked), _MUCH_LONGER_MS)) if linked else 0
        rows: list[list[int]] = []
        for i, is_again in enumerate(self.again):
            if i and is_again and silences[i - 1] <= most_ms:
                rows[-1].append(i)
            else:
                rows.append([i])
        return [
            Chain(
                tuple(self.voiced[i] for i in row),
                tuple(hearings[i] for i in row) if hearings else (),
            )
            for row in rows
        ]


def parted(given: GivenSound, split_ms: int, told: Callable[[int, int], None]) -> Parted:
    """Return a recording in runs; silences of `split_ms` or longer lie between them.

    Parameters
    ----------
    told : called with runs compared and in all
    """
    found = runs(given.sounding, given.sound.samples, LOW_RATE_HZ, split_ms)
    voiced = [one for one in found if one.is_voiced]
    again = repeats(given.spectrum, voiced, given.active, told)
    return Parted(tuple(found), tuple(voiced), tuple(again))


def heard_runs(chains: Sequence[Chain]) -> list[HeardRun]:
    """Return chains as they are held against lines."""
    afters_s: list[float | None] = [
        (following.runs[0].start_ms - chain.runs[-1].end_ms) / 1000
        for chain, following in pairwise(chains)
    ]
    return [
        HeardRun(
            chain.runs[0].sound_ms / 1000,
            len(chain.runs),
            phones=tuple(sounds(chain.heard[0].words)) if chain.heard else (),
            after_s=after_s,
        )
        for chain, after_s in zip(chains, [*afters_s, None], strict=True)
    ]
