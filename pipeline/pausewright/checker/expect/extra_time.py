"""Extra time, worked out from the declaration alone: what the track of an arrangement must hold.

The builder has sums of its own and this module never sees them: it starts from the silences that
the check expects of the script and from what the arrangement declares.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import FixedAndRemainder, FixedTime, Split
from pausewright.checker.expect.expected import Expectation, ExpectedSilence, ExpectedSound
from pausewright.checker.expect.line_runs import ExpectationError, shows_instructions
from pausewright.checker.result.items import Asked
from pausewright.frozen import frozen
from pausewright.wording.line_elements import AuthorPause, SoundElement

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from pausewright.arrange.arrangement import Amount, Arrangement, ExtraTime, PlaceForTime
    from pausewright.script.model import Script
    from pausewright.script.references import QuestionRef
    from pausewright.script.silences import SilenceKind
    from pausewright.wording.line_elements import Line


@frozen
class Longer:
    """A silence that the arrangement makes longer, or that it adds."""

    index: int
    """Among the expected silences."""
    before_s: Fraction
    spread_s: Fraction
    lump_s: Fraction


@frozen
class Granted:
    """What is expected with extra time."""

    expectation: Expectation
    entitled_s: Fraction
    """0 where the arrangement has none."""
    longer: tuple[Longer, ...]
    n_places: int

    def declared_s(self, index: int) -> Fraction:
        """Return what a silence lasts without time that is added in one piece."""
        lumps_s = [one.lump_s for one in self.longer if one.index == index]
        return self.expectation.silences[index].wait_s - sum(lumps_s, Fraction(0))


def granted(
    expectation: Expectation,
    script: Script,
    arrangement: Arrangement | None,
    announcement: Callable[[Fraction], Line] | None,
) -> Granted:
    """Return the expectation with an arrangement's extra time.

    Parameters
    ----------
    expectation : of the script as the arrangement has it, without extra time
    script : the same script
    arrangement : as declared; None or without extra time: nothing is added
    announcement : gives the words before time that is added in one piece

    Raises
    ------
    ExpectationError
        If the declaration adds up to something else than it grants.
    """
    extra = None if arrangement is None else arrangement.extra_time
    if extra is None:
        return Granted(expectation, Fraction(0), (), 0)
    return _Sums(expectation, script, extra).granted(announcement or (lambda _: ()))


class _Sums:
    def __init__(self, expectation: Expectation, script: Script, extra: ExtraTime) -> None:
        self._expectation = expectation
        self._extra = extra
        self._settings = script.settings
        n = len(expectation.silences)
        self._spread = [Fraction(0)] * n
        self._lump = [Fraction(0)] * n
        self._in_kinds = [i for i in range(n) if expectation.silences[i].kind in extra.stretch]
        self._part_of = list(_parts(script))
        self._to_write = [i for i in range(n) if self._is_to_write(i)]
        """Answer times of the test itself, practice left out."""

    def _is_to_write(self, i: int) -> bool:
        silence = self._expectation.silences[i]
        return silence.kind == "answer-time" and not self._part_of[silence.block][1]

    def _at(self, i: int) -> ExpectedSilence:
        return self._expectation.silences[i]

    def granted(self, announcement: Callable[[Fraction], Line]) -> Granted:
        base_s = self._base_s()
        entitled_s = _seconds(self._extra.amount, base_s)
        if self._extra.at_most_s is not None:
            entitled_s = min(entitled_s, self._extra.at_most_s)
        where = self._extra.where
        if isinstance(where, FixedAndRemainder):
            pauses = [halves for halves in self._questions().values() if halves]
            for halves in pauses:
                self._share_out({i: Fraction(1) for i in halves}, where.pause_s)
            self._give("test-end", entitled_s - where.pause_s * len(pauses))
        elif isinstance(where, Split):
            for place, one in where.amounts:
                self._give(place, _seconds(one, base_s))
        else:
            self._give(where, entitled_s)
        given_s = sum(self._spread, Fraction(0)) + sum(self._lump, Fraction(0))
        if given_s != entitled_s or min(self._lump) < 0:
            raise ExpectationError(
                f"the arrangement gives {float(given_s):g} s and is entitled to "
                f"{float(entitled_s):g} s",
                "correct its declaration",
            )
        places = {self._unit(i) for i, spread_s in enumerate(self._spread) if spread_s}
        return self._laid(entitled_s, len(places) + sum(map(bool, self._lump)), announcement)

    def _unit(self, i: int) -> object:
        """Return one mark for both halves of an answer time with a cue."""
        silence = self._at(i)
        return silence.unit if silence.is_answer_of_row else i

    def _base_s(self) -> Fraction:
        if self._extra.base == "whole-test":
            return self._settings.test_time_s or Fraction(0)
        return sum((self._at(i).declared_s for i in self._in_kinds), Fraction(0))

    def _questions(self) -> dict[object, list[int]]:
        found: dict[object, list[int]] = {}
        for i in self._to_write:
            if self._at(i).is_answer_of_row:
                found.setdefault(self._at(i).unit, []).append(i)
        return found

    def _give(self, where: PlaceForTime, amount_s: Fraction) -> None:
        if where == "each-gap":
            self._share_out({i: self._at(i).declared_s for i in self._in_kinds}, amount_s)
        elif where == "test-end":
            self._pile(self._to_write, amount_s)
        elif where == "part-end":
            weights = self._weights_of_parts()
            whole = sum(weights.values(), Fraction(0))
            for part, weight in weights.items():
                ends = [i for i in self._to_write if self._part(i) == part]
                self._pile(ends, amount_s * weight / whole if whole else Fraction(0))
        else:
            ends = [i for i in self._to_write if self._is_answer_of(where.question, i)]
            self._pile(ends, amount_s)

    def _is_answer_of(self, question: QuestionRef, i: int) -> bool:
        """Say whether a silence is the answer time of a question or of one of its parts."""
        item = self._at(i).question
        return (
            isinstance(item, Asked)
            and item.manner == "in place"
            and item.question.whole == question
            and self._at(i).is_answer_of_row
        )

    def _part(self, i: int) -> int:
        return self._part_of[self._at(i).block][0]

    def _weights_of_parts(self) -> dict[int, Fraction]:
        if not self._extra.stretch:
            gaps = {(self._part(i), self._unit(i)) for i in self._to_write}
            return {part: Fraction(n) for part, n in Counter(part for part, _ in gaps).items()}
        weights: dict[int, Fraction] = {}
        for i in self._in_kinds:
            part, is_practice = self._part_of[self._at(i).block]
            if not is_practice:
                weights[part] = weights.get(part, Fraction(0)) + self._at(i).declared_s
        return weights

    def _share_out(self, weights: dict[int, Fraction], amount_s: Fraction) -> None:
        whole = sum(weights.values(), Fraction(0))
        for i, weight in weights.items():
            self._spread[i] += amount_s * weight / whole

    def _pile(self, ends: Sequence[int], amount_s: Fraction) -> None:
        if ends:
            self._lump[ends[-1]] += amount_s

    def _laid(
        self, entitled_s: Fraction, n_places: int, announcement: Callable[[Fraction], Line]
    ) -> Granted:
        sounds: list[ExpectedSound] = []
        silences: list[ExpectedSilence] = []
        longer: list[Longer] = []
        for i, silence in enumerate(self._expectation.silences):
            spread_s, lump_s = self._spread[i], self._lump[i]
            words = self._sounding(announcement(lump_s)) if lump_s else []
            own_s = Fraction(0) if words else lump_s
            if spread_s or own_s:
                longer.append(Longer(len(silences), silence.wait_s, spread_s, own_s))
            silences.append(replace(silence, wait_s=silence.wait_s + spread_s + own_s))
            for n, element in enumerate(words, 1):
                shown = shows_instructions(self._settings.captions)
                sounds.append(ExpectedSound(element, "cue", shown, silence.block))
                kind: SilenceKind = "extra-time" if n == len(words) else "sentence-pause"
                wait_s = lump_s if n == len(words) else self._settings.sentence_pause_s
                if n == len(words):
                    longer.append(Longer(len(silences), Fraction(0), Fraction(0), lump_s))
                silences.append(ExpectedSilence(kind, wait_s, element.place))
            if i < len(self._expectation.sounds):
                sounds.append(self._expectation.sounds[i])
        rows = tuple(
            replace(row, answer_time_s=_answer_s(row.unit, silences) or row.answer_time_s)
            for row in self._expectation.rows
        )
        whole = Expectation(tuple(sounds), tuple(silences), rows)
        return Granted(whole, entitled_s, tuple(longer), n_places)

    @staticmethod
    def _sounding(line: Line) -> list[SoundElement]:
        return [element for element in line if not isinstance(element, AuthorPause)]


def _answer_s(unit: object, silences: Iterable[ExpectedSilence]) -> Fraction:
    own = [
        s.wait_s
        for s in silences
        if s.unit == unit and s.is_answer_of_row and s.kind == "answer-time"
    ]
    return sum(own, Fraction(0))


def _parts(script: Script) -> Iterator[tuple[int, bool]]:
    """Give for each block of the script, as the expectation counts them, its part."""
    for index, part in enumerate(script.parts):
        for group in part.groups:
            for _ in group.blocks:
                yield index, part.practice
        if part.answers:
            yield index, part.practice


def _seconds(amount: Amount, base_s: Fraction) -> Fraction:
    return amount.time_s if isinstance(amount, FixedTime) else amount.of_base * base_s
