"""Extra time: how much an arrangement gives, where it goes, and the sum written out.

Works on the steps of a track as the arrangement has it (parts left out, readings, look time …).
Everything is an exact fraction of a second; whole samples come later, each silence rounded up.
The check works the same declaration out from its own expectation and never sees this module.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import (
    AfterQuestion,
    FixedAndRemainder,
    FixedTime,
    Share,
    Split,
)
from pausewright.arrange.declarations import ArrangementError
from pausewright.frozen import frozen
from pausewright.plan.clock import shown_seconds
from pausewright.plan.timeline import Origin, Say, Wait
from pausewright.script.references import QuestionRef
from pausewright.wording.line_elements import AuthorPause

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.arrange.arrangement import Amount, Arrangement, ExtraTime, PlaceForTime
    from pausewright.plan.timeline import Questions, Step
    from pausewright.problems import Place
    from pausewright.script.declared import Settings
    from pausewright.script.silences import SilenceKind
    from pausewright.wording.line_elements import Line

_PERCENT: Final = 100


@frozen
class Added:
    """Time that comes to one silence, or in one piece of its own."""

    kind: SilenceKind
    question: Questions | None
    before_s: Fraction
    """What the silence lasts without it; 0 for a piece of its own."""
    spread_s: Fraction
    """What comes to it as to others of its kind."""
    lump_s: Fraction
    """What comes to it in one piece."""
    is_announced: bool = False
    """Whether words before it tell that there is more time."""
    step: int = -1
    """Index among the extended steps."""
    part: int = -1
    """Index of the part that it stands in."""
    gap: int = 0
    """The same for both halves of an answer time with a cue."""

    @property
    def added_s(self) -> Fraction:
        """Everything that comes to it."""
        return self.spread_s + self.lump_s


@frozen
class Grant:
    """What an arrangement is entitled to and how it is given."""

    entitled_s: Fraction
    base_s: Fraction | None
    """What a share is a share of; None for fixed minutes."""
    share: Fraction | None
    at_most_s: Fraction | None
    added: tuple[Added, ...]
    sum_text: str
    """The arithmetic: "8 × 60 s + 870 s = 1,350 s = 25 % of 5,400 s"."""

    @property
    def given_s(self) -> Fraction:
        """The exact sum of all that is added; equal to what is entitled."""
        return sum((one.added_s for one in self.added), Fraction(0))

    @property
    def n_places(self) -> int:
        """In how many places time is added; a piece at the end of a longer gap is another."""
        spread = {one.gap for one in self.added if one.spread_s}
        return len(spread) + sum(1 for one in self.added if one.lump_s)

    @property
    def n_unannounced(self) -> int:
        """Return how many pieces come without words before them."""
        return sum(1 for one in self.added if one.lump_s and not one.is_announced)


def add_extra_time(
    steps: Sequence[Step],
    arrangement: Arrangement,
    settings: Settings,
    announcement: Callable[[Fraction], Line],
) -> tuple[tuple[Step, ...], Grant | None]:
    """Return the steps with the arrangement's extra time, and the sum; None without any.

    `announcement` gives the words before time that is added in one piece; () for none.

    Raises
    ------
    ArrangementError
        If the time cannot be given as declared; the message shows both sums.
    """
    if arrangement.extra_time is None:
        return tuple(steps), None
    return _Planner(steps, arrangement, arrangement.extra_time, settings).steps(announcement)


class _Planner:
    def __init__(
        self,
        steps: Sequence[Step],
        arrangement: Arrangement,
        extra: ExtraTime,
        settings: Settings,
    ) -> None:
        self._steps = steps
        self._arrangement = arrangement
        self._extra = extra
        self._settings = settings
        self._spread: defaultdict[int, Fraction] = defaultdict(Fraction)
        self._lumps: defaultdict[int, Fraction] = defaultdict(Fraction)
        self._terms: list[str] = []
        self._listed = [
            (at, step)
            for at, step in enumerate(steps)
            if isinstance(step, Wait) and step.kind in extra.stretch
        ]
        self._answers = [
            (at, step)
            for at, step in enumerate(steps)
            if isinstance(step, Wait) and step.kind == "answer-time" and not step.origin.is_practice
        ]

    def steps(self, announcement: Callable[[Fraction], Line]) -> tuple[tuple[Step, ...], Grant]:
        base_s = self._base_s()
        ceiling_s = self._extra.at_most_s
        entitled_s = self._amount_s(self._extra.amount, base_s)
        if ceiling_s is not None:
            entitled_s = min(entitled_s, ceiling_s)
        where = self._extra.where
        if isinstance(where, Split):
            self._by_split(where, base_s, entitled_s)
        elif isinstance(where, FixedAndRemainder):
            self._fixed_and_remainder(where.pause_s, entitled_s)
        else:
            self._put(where, entitled_s)
        steps, added = self._written(announcement)
        share = self._extra.amount.of_base if isinstance(self._extra.amount, Share) else None
        sum_text = self._sum_text(base_s, entitled_s)
        grant = Grant(entitled_s, base_s, share, ceiling_s, added, sum_text)
        if grant.given_s != entitled_s:
            raise ArithmeticError(f"{grant.given_s} s given, {entitled_s} s entitled")
        return steps, grant

    # ---- how much

    def _base_s(self) -> Fraction | None:
        if isinstance(self._extra.amount, FixedTime):
            return None
        if self._extra.base == "whole-test":
            return self._whole_test_s()
        base_s = sum((step.wait_s for _, step in self._listed), Fraction(0))
        if not base_s:
            raise ArrangementError(
                "there are no silences of the kinds in ‘stretch’, so a share of them is nothing",
                "list the kinds that this test has",
            )
        return base_s

    def _whole_test_s(self) -> Fraction:
        if self._arrangement.leave_out and self._arrangement.test_time_s is None:
            raise ArrangementError(
                "parts are left out, so the script's test time is not this arrangement's",
                "add the time of what is left: test-time: 40 min",
            )
        if self._settings.test_time_s is None:
            raise ArrangementError(
                "a share of the whole test needs the time that the test is given",
                "add to the script's settings: test-time: 40 min",
            )
        return self._settings.test_time_s

    @staticmethod
    def _amount_s(amount: Amount, base_s: Fraction | None) -> Fraction:
        if isinstance(amount, FixedTime):
            return amount.time_s
        if base_s is None:
            raise ArrangementError(
                "a split in per cent belongs to extra time in per cent",
                "write the places of the split in minutes",
            )
        return amount.of_base * base_s

    # ---- where

    def _put(self, where: PlaceForTime, amount_s: Fraction) -> None:
        if where == "each-gap":
            self._each_gap(amount_s)
        elif where == "part-end":
            self._part_ends(amount_s)
        elif where == "test-end":
            self._lump(amount_s, [at for at, _ in self._answers], "the test")
            self._terms.append(seconds(amount_s))
        else:
            self._after_question(where, amount_s)

    def _each_gap(self, amount_s: Fraction) -> None:
        sum_s = sum((step.wait_s for _, step in self._listed), Fraction(0))
        if not sum_s:
            raise ArrangementError(
                "there are no silences of the kinds in ‘stretch’ that could be longer",
                "list the kinds that this test has",
            )
        for at, step in self._listed:
            self._spread[at] += amount_s * step.wait_s / sum_s
        n_gaps = len({step.origin.gap for _, step in self._listed})
        self._terms.append(f"{seconds(amount_s)} ({n_gaps} {'gap' if n_gaps == 1 else 'gaps'})")

    def _fixed_and_remainder(self, fixed_s: Fraction, entitled_s: Fraction) -> None:
        gaps: defaultdict[int, list[int]] = defaultdict(list)
        for at, step in self._answers:
            if step.origin.ends_question:
                gaps[step.origin.gap].append(at)
        remainder_s = entitled_s - len(gaps) * fixed_s
        if remainder_s < 0:
            raise ArrangementError(
                f"the pauses after the questions are more than the whole: {len(gaps)} × "
                f"{seconds(fixed_s)} = {seconds(len(gaps) * fixed_s)}, but {seconds(entitled_s)} "
                "are entitled",
                "make fixed-pause shorter",
            )
        for halves in gaps.values():
            for at in halves:
                self._spread[at] += fixed_s / len(halves)
        self._terms.append(f"{len(gaps)} × {seconds(fixed_s)}")
        if remainder_s:
            self._put("test-end", remainder_s)

    def _part_ends(self, amount_s: Fraction) -> None:
        weights: defaultdict[int, Fraction] = defaultdict(Fraction)
        if self._extra.stretch:
            for _, step in self._listed:
                if not step.origin.is_practice:
                    weights[step.origin.part] += step.wait_s
        else:
            for part, gap in {(s.origin.part, s.origin.gap) for _, s in self._answers}:
                weights[part] += bool(gap)
        whole = sum(weights.values(), Fraction(0))
        if not whole:
            raise ArrangementError(
                "no part has silences that the time could be shared out by",
                "use where: test-end, or list other kinds in stretch",
            )
        parts_s = {part: amount_s * weights[part] / whole for part in sorted(weights)}
        for part, part_s in parts_s.items():
            ends = [at for at, step in self._answers if step.origin.part == part]
            self._lump(part_s, ends, "a part")
        self._terms += [seconds(part_s) for part_s in parts_s.values() if part_s]

    def _after_question(self, where: AfterQuestion, amount_s: Fraction) -> None:
        ends = [
            at
            for at, step in self._answers
            if step.origin.ends_question
            and isinstance(step.question, QuestionRef)
            and step.question.whole == where.question
        ]
        self._lump(amount_s, ends, f"question {where.question}")
        self._terms.append(seconds(amount_s))

    def _lump(self, amount_s: Fraction, ends: Sequence[int], what: str) -> None:
        if not ends:
            raise ArrangementError(
                f"{what} has no answer time after which time could be added",
                "give it an answer time, or use another place",
            )
        self._lumps[max(ends)] += amount_s

    def _by_split(self, split: Split, base_s: Fraction | None, entitled_s: Fraction) -> None:
        amounts_s = [(where, self._amount_s(one, base_s)) for where, one in split.amounts]
        sum_s = sum((amount_s for _, amount_s in amounts_s), Fraction(0))
        if sum_s != entitled_s:
            terms = " + ".join(seconds(amount_s) for _, amount_s in amounts_s)
            raise ArrangementError(
                f"the split adds up to {seconds(sum_s)} ({terms}), but {seconds(entitled_s)} "
                "are entitled",
                "change the split so that both sums are the same",
            )
        for where, amount_s in amounts_s:
            self._put(where, amount_s)

    # ---- what comes out

    def _written(
        self, announcement: Callable[[Fraction], Line]
    ) -> tuple[tuple[Step, ...], tuple[Added, ...]]:
        steps: list[Step] = []
        added: list[Added] = []
        for at, step in enumerate(self._steps):
            if not isinstance(step, Wait) or (at not in self._spread and at not in self._lumps):
                steps.append(step)
                continue
            spread_s, lump_s = self._spread[at], self._lumps[at]
            words = announcement(lump_s) if lump_s else ()
            own_s = Fraction(0) if words else lump_s
            steps.append(replace(step, wait_s=step.wait_s + spread_s + own_s))
            if spread_s or own_s:
                added.append(
                    Added(
                        step.kind,
                        step.question,
                        step.wait_s,
                        spread_s,
                        own_s,
                        step=len(steps) - 1,
                        part=step.origin.part,
                        gap=step.origin.gap,
                    )
                )
            if words:
                steps += _said(words, self._settings, step.block)
                origin = Origin(step.origin.part, -at - 1)
                steps.append(
                    Wait("extra-time", lump_s, words[0].place, origin=origin, block=step.block)
                )
                added.append(
                    Added(
                        "extra-time",
                        step.question,
                        Fraction(0),
                        Fraction(0),
                        lump_s,
                        is_announced=True,
                        step=len(steps) - 1,
                        part=step.origin.part,
                    )
                )
        return tuple(steps), tuple(added)

    def _sum_text(self, base_s: Fraction | None, entitled_s: Fraction) -> str:
        sums = [" + ".join(self._terms)]
        if len(self._terms) > 1 or "×" in sums[0]:
            sums.append(seconds(entitled_s))
        amount = self._extra.amount
        if isinstance(amount, FixedTime):
            if amount.time_s != entitled_s:
                sums.append(f"the ceiling, less than {seconds(amount.time_s)}")
        elif base_s is not None:
            whole = f"{percent(amount.of_base)} of {seconds(base_s)}"
            sums.append(whole)
            if amount.of_base * base_s != entitled_s:
                sums[-1] = f"the ceiling, less than {whole} = {seconds(amount.of_base * base_s)}"
        return " = ".join(sums)


def _said(words: Line, settings: Settings, block: int) -> Iterator[Step]:
    """Give the words before time that is added, a pause between two sentences."""
    sounds = [element for element in words if not isinstance(element, AuthorPause)]
    for at, element in enumerate(sounds):
        if at:
            yield Wait("default-pause", settings.sentence_pause_s, block=block)
        yield Say(element, "cue", captioned=settings.captions != "nothing", block=block)


def seconds(wait_s: Fraction) -> str:
    """Return seconds with thousands marked: "1,350 s"; thousandths where no decimal ends."""
    text = shown_seconds(wait_s)
    whole, point, places = text.partition(".")
    return f"{int(whole):,}{point}{places} s"


def percent(share: Fraction) -> str:
    """Return a share in per cent: "25 %"."""
    return f"{shown_seconds(share * _PERCENT)} %"


def times_in_force(steps: Sequence[Step], grant: Grant | None) -> dict[tuple[str, Place], Fraction]:
    """Return the look and answer times in force by kind and owner, in seconds.

    Halves are added up; time that comes in one piece is left out: it is announced where it
    comes, or does not belong to what an instruction promises for each question.
    """
    lumps_s = {one.step: one.lump_s for one in (grant.added if grant else ())}
    found: defaultdict[tuple[str, Place], list[tuple[int, Fraction]]] = defaultdict(list)
    for at, step in enumerate(steps):
        if isinstance(step, Wait) and step.origin.owner is not None:
            own_s = step.wait_s - lumps_s.get(at, Fraction(0))
            found[step.kind, step.origin.owner].append((step.origin.gap, own_s))
    times: dict[tuple[str, Place], Fraction] = {}
    for key, parts in found.items():
        by_gap: defaultdict[int, Fraction] = defaultdict(Fraction)
        for gap, own_s in parts:
            by_gap[gap] += own_s
        times[key] = min(by_gap.values())
    return times
