"""Lines that are known to be said, against the runs of a recording: which run is which line.

By how long each takes, and, where a recogniser has heard them, by their sounds.
"""

from __future__ import annotations

from math import log, sqrt
from statistics import median
from typing import TYPE_CHECKING, Final

from pausewright.alignment.cheapest_path import cheapest_path
from pausewright.alignment.phone_words import cost, part_of, sounds
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.alignment.phone_words import SpokenWord

_PAUSE_S: Final = 0.15
_SPREAD: Final = 0.3
_SPREAD_OF_A_SECOND: Final = 0.245
"""How much the logarithm of a length scatters: of long lines, and besides of what takes 1 s."""
_MOST: Final = 9.0
_LOST_PHONE: Final = 0.7
HEARD_WEIGHT: Final = 7.0
"""What it costs that nothing is heard as it should be."""
_LENGTH_WEIGHT_HEARD: Final = 0.25
_MOST_JOINED: Final = 40
"""Runs of one line, or lines of one run, at most."""
_JOINED_COST: Final = 0.2
_UNFIT: Final = 6.0
"""Joined, runs and lines whose lengths fit so badly are not looked at further."""
_NOT_ON_PAPER: Final = 2.6
"""What it costs that a voice is on no line."""
_NO_QUESTION_READ_TWICE: Final = 2.0
_READ_ONCE: Final = 0.7
_LEAST_TEMPO, _MOST_TEMPO = 0.6, 2.5
_TIMES: Final = 3
_ENOUGH: Final = 3
"""Lines that must be matched for a tempo."""
_ANSWER_SHARE: Final = 0.4
"""Of the usual answer time: a silence that is shorter follows no question."""
_NO_TIME_TO_ANSWER: Final = 1.5
_TIME_TO_ANSWER: Final = 1.2
"""What it costs that a run before such a time is on no line, or announces a question."""
_UNANNOUNCED: Final = 2.0
"""What it costs that one question has no announcement of its own where the others have one."""
_APART_GAIN: Final = 1.0
"""By how much cheaper, a question, it must be that announcements are runs of their own."""


@frozen
class SaidLine:
    """A line that is known to be said."""

    words: tuple[SpokenWord, ...]
    announced: tuple[SpokenWord, ...] = ()
    """What may be said before it ("Number 7")."""
    is_question: bool = False
    if_unheard: float = 1.0
    """What it costs that it is not in the recording."""


@frozen
class HeardRun:
    """Runs of the recording that say the same: one, or the readings of a question."""

    sound_s: float
    """How long there is sound in the first."""
    n_readings: int = 1
    is_voiced: bool = True
    phones: tuple[str, ...] = ()
    """Of what a recogniser heard in the first; none without one."""
    after_s: float | None = None
    """The silence after the last; None where nobody knows it."""


@frozen
class Pair:
    """Lines and runs that belong together: half-open ranges; one of both may be empty."""

    runs: tuple[int, int]
    lines: tuple[int, int]
    cost: float

    @property
    def has_run(self) -> bool:
        """Whether anything was heard of it."""
        return self.runs[1] > self.runs[0]


def total_cost(pairs: Sequence[Pair]) -> float:
    """Return how badly runs fit the lines that they are paired with, all together."""
    return sum(one.cost for one in pairs)


def paired(heard: Sequence[HeardRun], lines: Sequence[SaidLine]) -> list[Pair]:
    """Return which runs say which lines, both in order, by the cheapest way through both.

    A line of text may be said in several runs, and several such lines in one run; a question is
    said in one.
    """
    unlike: dict[tuple[int, ...], float] = {}
    plain = _settled(heard, lines, unlike, announced_apart=False)
    apart = _settled(heard, lines, unlike, announced_apart=True)
    n_questions = sum(one.is_question for one in lines)
    gain = total_cost(plain) - total_cost(apart)
    return apart if gain > _APART_GAIN * n_questions else plain


def _settled(
    heard: Sequence[HeardRun],
    lines: Sequence[SaidLine],
    unlike: dict[tuple[int, ...], float],
    *,
    announced_apart: bool,
) -> list[Pair]:
    """Return the cheapest way of those that begin with each likely tempo.

    Where announcements are runs of their own, or nothing is announced, one guess of the tempo is
    far off, and the way that fits it is nowhere near the right one.
    """
    ways = [
        _from_tempo(heard, lines, tempo, unlike, announced_apart=announced_apart)
        for tempo in _tempos(heard, lines)
    ]
    return min(ways, key=total_cost)


def _from_tempo(
    heard: Sequence[HeardRun],
    lines: Sequence[SaidLine],
    tempo: float,
    unlike: dict[tuple[int, ...], float],
    *,
    announced_apart: bool,
) -> list[Pair]:
    """Return the cheapest way, once more after the tempo is known from what was matched."""
    found: list[Pair] = []
    for _ in range(_TIMES):
        found = _way(heard, lines, tempo, unlike, announced_apart=announced_apart)
        ratios = [
            ratio
            for pair in found
            if (ratio := _slower(heard[slice(*pair.runs)], lines[slice(*pair.lines)], tempo))
        ]
        if len(ratios) < _ENOUGH:
            break
        tempo = min(_MOST_TEMPO, max(_LEAST_TEMPO, median(ratios)))
    return found


def _slower(runs: Sequence[HeardRun], lines: Sequence[SaidLine], tempo: float) -> float:
    """Return by how much slower lines were read than usual; 0 if nobody can say.

    A question's number may stand before its words or not: what fits `tempo` better is believed.
    """
    words = [word for one in lines for word in one.words]
    if not runs or not words:
        return 0.0
    heard_s = sum(one.sound_s for one in runs)
    announced = [*lines[0].announced, *words]
    if lines[0].is_question and len(runs) > 1:
        return heard_s / usual_s(announced)
    likely = [heard_s / usual_s(said) for said in (words, announced)]
    return min(likely, key=lambda ratio: abs(log(ratio / tempo)))


def _way(
    heard: Sequence[HeardRun],
    lines: Sequence[SaidLine],
    tempo: float,
    unlike: dict[tuple[int, ...], float],
    *,
    announced_apart: bool,
) -> list[Pair]:
    n, m = len(heard), len(lines)
    voiced = [one.n_readings for one in heard if one.is_voiced]
    matcher = _Matcher(heard, lines, tempo, median(voiced) if voiced else 1)
    matcher.announced_apart = announced_apart
    matcher.unlike = unlike
    path, _ = cheapest_path(n, m, matcher.steps)
    return [Pair(*step) for step in path]


def usual_s(words: Sequence[SpokenWord]) -> float:
    """Return about how long there is sound when words are read with care."""
    return sum(one.usual_s for one in words) + _PAUSE_S * 0.3 * sum(
        one.ends_clause for one in words
    )


def _tempos(heard: Sequence[HeardRun], lines: Sequence[SaidLine]) -> list[float]:
    """Return by how much slower it may be read than usual: by the middle line, and by them all."""
    said = [one for one in lines if one.if_unheard >= 1 and one.words]
    heard_s = [one.sound_s for one in heard if one.is_voiced]
    if not said or not heard_s:
        return [1.0]
    plain_s = [usual_s(one.words) for one in said]
    announced_s = sum(usual_s(one.announced) for one in said if one.announced)
    guesses = (
        median(heard_s) / median(plain_s),
        sum(heard_s) / sum(plain_s),
        sum(heard_s) / (sum(plain_s) + announced_s),
    )
    return sorted({min(_MOST_TEMPO, max(_LEAST_TEMPO, round(one, 2))) for one in guesses})


def _answer_time(heard: Sequence[HeardRun]) -> float | None:
    """Return the usual silence after a question: the middle one of those that are long."""
    known = sorted(one.after_s for one in heard if one.is_voiced and one.after_s is not None)
    if not known:
        return None
    most_s = known[len(known) * 9 // 10]
    return median(one for one in known if one >= _ANSWER_SHARE * most_s)


class _Matcher:
    """What each step of the way costs."""

    def __init__(
        self,
        heard: Sequence[HeardRun],
        lines: Sequence[SaidLine],
        tempo: float,
        usual_readings: float,
    ) -> None:
        self._heard = heard
        self._lines = lines
        self._tempo = tempo
        self._usual = usual_readings
        self._answer_s = _answer_time(heard)
        self.announced_apart = False
        self.unlike: dict[tuple[int, ...], float] = {}
        """How unlike runs and lines sound, by their places; it does not change with the tempo."""
        self._kept: dict[tuple[int, int, int, int], float] = {}

    def steps(self, i: int, j: int) -> list[tuple[int, int, float]]:
        """Return the steps from a place: runs taken, lines taken, and the cost."""
        n, m = len(self._heard), len(self._lines)
        found = []
        if i < n:
            one = self._heard[i]
            found.append((1, 0, _NOT_ON_PAPER + self._waits(i) if one.is_voiced else 0.15))
            if self.announced_apart and self._announces(i):
                found.append((2, 0, _NOT_ON_PAPER + self._waits(i + 1)))
        if j < m:
            found.append((0, 1, self._lines[j].if_unheard))
        if i == n or j == m:
            return found
        if not self._heard[i].is_voiced and self._heard[i].sound_s < 1:
            return found
        is_apart = self.announced_apart and self._lines[j].announced
        alone = _UNANNOUNCED if is_apart else 0.0
        found.append((1, 1, self._cost(i, i + 1, j, j + 1) + alone))
        if self._lines[j].is_question:
            if is_apart and i + 2 <= n and self._heard[i].n_readings == 1:
                found.append((2, 1, self._announced_cost(i, j)))
            return found
        for k in range(2, min(_MOST_JOINED, n - i) + 1):
            if self._heard[i + k - 1].n_readings > 1:
                break
            if self._plain_cost(i, i + k, j, j + 1) < _UNFIT:
                found.append((k, 1, self._cost(i, i + k, j, j + 1) + _JOINED_COST * (k - 1)))
            elif self._heard_s(i, i + k) > self._said_s(j, j + 1):
                break  # with more runs it could only be worse
        for k in range(2, min(_MOST_JOINED, m - j) + 1):
            if self._lines[j + k - 1].is_question:
                break
            if self._plain_cost(i, i + 1, j, j + k) < _UNFIT:
                found.append((1, k, self._cost(i, i + 1, j, j + k) + _JOINED_COST * (k - 1)))
            elif self._heard_s(i, i + 1) < self._said_s(j, j + k):
                break
        return found

    def _heard_s(self, i: int, i_end: int) -> float:
        return sum(one.sound_s for one in self._heard[i:i_end])

    def _said_s(self, j: int, j_end: int) -> float:
        return self._tempo * sum(usual_s(one.words) for one in self._lines[j:j_end])

    def _announces(self, i: int) -> bool:
        """Return whether a run may announce the next one, by the silence after it alone."""
        if i + 2 > len(self._heard) or self._heard[i].n_readings > 1 or self._has_time(i):
            return False
        return self._heard[i].is_voiced and self._heard[i + 1].is_voiced

    def _cost(self, i: int, i_end: int, j: int, j_end: int) -> float:
        key = (i, i_end, j, j_end)
        if key not in self._kept:
            self._kept[key] = self._found_cost(*key)
        return self._kept[key]

    def _announced_cost(self, i: int, j: int) -> float:
        """Return what it costs that a run is a question's announcement, and the next its words."""
        one, line = self._heard[i], self._lines[j]
        total = self._length_cost(one.sound_s, line.announced)
        if one.phones:
            said = sounds(line.announced)
            if (i, j) not in self.unlike:
                self.unlike[i, j] = _unlikeness(said, said, list(one.phones))
            total = _LENGTH_WEIGHT_HEARD * total + HEARD_WEIGHT * self.unlike[i, j]
        return total / 2 + self._cost(i + 1, i + 2, j, j + 1) + 0.1 + self._waits(i)

    def _found_cost(self, i: int, i_end: int, j: int, j_end: int) -> float:
        runs, lines = self._heard[i:i_end], self._lines[j:j_end]
        words = [word for one in lines for word in one.words]
        first = lines[0]
        total = self._plain_cost(i, i_end, j, j_end)
        if first.is_question:
            total += _READ_ONCE if runs[0].n_readings < self._usual else 0.0
            total += 0.0 if self._has_time(i_end - 1, last=True) else _NO_TIME_TO_ANSWER
        elif runs[0].n_readings > 1:
            total += _NO_QUESTION_READ_TWICE
        if not any(one.phones for one in runs):
            return total
        key = (i, i_end, j, j_end)
        if key not in self.unlike:
            phones = [one for run in runs for one in run.phones]
            announced = sounds([*first.announced, *words])
            self.unlike[key] = _unlikeness(sounds(words), announced, phones)
        return _LENGTH_WEIGHT_HEARD * total + HEARD_WEIGHT * self.unlike[key]

    def _plain_cost(self, i: int, i_end: int, j: int, j_end: int) -> float:
        """Return how badly runs fit lines by their lengths alone."""
        heard_s = self._heard_s(i, i_end)
        words = [word for one in self._lines[j:j_end] for word in one.words]
        announced = self._lines[j].announced
        return min(
            self._length_cost(heard_s, words),
            self._length_cost(heard_s, [*announced, *words]) if announced else _MOST,
        )

    def _length_cost(self, heard_s: float, words: Sequence[SpokenWord]) -> float:
        said_s = usual_s(words) * self._tempo
        if said_s <= 0 or heard_s <= 0:
            return _MOST
        spread = sqrt(_SPREAD**2 + _SPREAD_OF_A_SECOND**2 / usual_s(words))
        return min(_MOST, (log(heard_s / said_s) / spread) ** 2)

    def _waits(self, i: int) -> float:
        """Return what it costs that no question ends with a run, by the silence after it."""
        return _TIME_TO_ANSWER if self._has_time(i) else 0.0

    def _has_time(self, i: int, *, last: bool = False) -> bool:
        """Return whether an answer time may follow a run; where nobody knows, `last`."""
        after_s = self._heard[i].after_s
        if after_s is None or self._answer_s is None:
            return last
        return after_s >= _ANSWER_SHARE * self._answer_s


def unlike(run: HeardRun, line: SaidLine) -> float:
    """Return how unlike what was heard in a run is to a line, 0 to 1; 1 where nothing was heard."""
    words = sounds(line.words)
    return _unlikeness(words, [*sounds(line.announced), *words], list(run.phones))


def _unlikeness(said: list[str], announced: list[str], heard: list[str]) -> float:
    """Return how unlike sounds are, 0 to 1: of a part of what was heard, and of all of it."""
    if not said or not heard:
        return 1.0
    part = part_of(said, heard)[0] / (_LOST_PHONE * len(said))
    whole = min(
        cost(one, heard) / (_LOST_PHONE * max(len(one), len(heard))) for one in (said, announced)
    )
    return min(1.0, 0.5 * part + 0.5 * whole)
