"""How long words should take to say: an estimate from their letters, fitted to the file itself.

With one synthetic voice at one pace, 0.20 s + 0.077 s a letter + 0.24 s a comma met 28 test
sentences within 14 % (standard deviation; largest error 37 %). Only the form is taken from
there: scale and offset are fitted to each file and voice by medians, so that a faster reader is
no finding and a few wrong sounds do not matter.
"""

from __future__ import annotations

import math
import re
from dataclasses import field
from random import Random
from statistics import fmean, median, pstdev
from typing import TYPE_CHECKING

from pausewright.checker.limits.words import FEWEST_TO_JUDGE, LEAST_VARIETY, MOST_ALIKE
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from pausewright.wording.line_elements import Utterance

SECONDS_A_LETTER = 0.077
OFFSET_LETTERS = 2.6
COMMA_LETTERS = 3.0
_OFFSETS = (0.0, 1.0, 2.0, 2.6, 4.0, 6.0, 8.0)
_ENOUGH_TO_FIT = 6


def letters(element: Utterance) -> float:
    """Return the length of an utterance's words in letters; a comma counts as three."""
    words = element.words
    return sum(c.isalnum() for c in words) + COMMA_LETTERS * len(re.findall(r"[,;:–—]\s", words))


@frozen
class Rate:
    """Seconds for words: `seconds_a_letter` × (letters + `offset_letters`)."""

    seconds_a_letter: float = SECONDS_A_LETTER
    offset_letters: float = OFFSET_LETTERS

    def seconds(self, n_letters: float) -> float:
        """Return the estimate for words of `n_letters` letters."""
        return self.seconds_a_letter * (n_letters + self.offset_letters)


def fitted_rate(pairs: Sequence[tuple[float, float]]) -> Rate:
    """Return the rate that suits most pairs of (letters, seconds measured).

    Medians of logarithms: up to half of the pairs may be wrong.
    """
    if not pairs:
        return Rate()
    offsets = _OFFSETS if len(pairs) >= _ENOUGH_TO_FIT else (OFFSET_LETTERS,)
    best: tuple[float, Rate] | None = None
    for offset in offsets:
        logs = [math.log(seconds / (n + offset)) for n, seconds in pairs if n + offset > 0]
        if not logs:
            continue
        middle = median(logs)
        spread = fmean(min(abs(x - middle), 0.7) for x in logs)
        if best is None or spread < best[0] - 1e-9:
            best = (spread, Rate(math.exp(middle), offset))
    return best[1] if best else Rate()


@frozen
class RateModel:
    """Rates by voice, at pace 100 %, with one for all where a voice says too little to tell."""

    overall: Rate = field(default_factory=Rate)
    by_voice: Mapping[str, Rate] = field(default_factory=dict)

    def seconds(self, element: Utterance) -> float:
        """Return the estimated length of an utterance in seconds."""
        rate = self.by_voice.get(element.speech.voice, self.overall)
        return rate.seconds(letters(element)) / float(element.speech.pace)


def fitted_model(pairs: Iterable[tuple[Utterance, float]]) -> RateModel:
    """Return the rates that suit utterances and their measured seconds."""
    voices: dict[str, list[tuple[float, float]]] = {}
    for element, seconds in pairs:
        found = voices.setdefault(element.speech.voice, [])
        found.append((letters(element), seconds * float(element.speech.pace)))
    overall = fitted_rate([pair for found in voices.values() for pair in found])
    return RateModel(overall, {v: fitted_rate(found) for v, found in voices.items() if found[2:]})


_TRIALS = 200
_CAP = 0.6


def words_fit(pairs: Sequence[tuple[float, float]]) -> bool | None:
    """Return whether measured lengths belong to these words rather than to others.

    `pairs` are (estimated, measured) seconds of distinct utterances. The misfit is compared
    with that of the same lengths dealt out to the words at random (200 deals, fixed seed).
    None where there are too few or they are too much alike in length to say.
    """
    if len(pairs) < FEWEST_TO_JUDGE:
        return None
    estimates = [math.log(estimate) for estimate, _ in pairs]
    measured = [math.log(seconds) for _, seconds in pairs]
    if pstdev(estimates) < LEAST_VARIETY:
        return None
    misfit = _misfit(estimates, measured)
    deal = Random(0)  # noqa: S311  a repeatable shuffle, no secret
    dealt = list(measured)
    by_chance = []
    for _ in range(_TRIALS):
        deal.shuffle(dealt)
        by_chance.append(_misfit(estimates, dealt))
    return misfit <= MOST_ALIKE * fmean(by_chance)


def _misfit(estimates: Sequence[float], measured: Sequence[float]) -> float:
    differences = [m - e for e, m in zip(estimates, measured, strict=True)]
    middle = median(differences)
    return fmean(min(abs(d - middle), _CAP) for d in differences)
