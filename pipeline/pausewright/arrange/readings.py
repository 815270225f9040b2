"""More readings of questions and passages; of what is read in an order, further whole ones.

An order ("whole, phrases, whole") says what each of its readings is. A further one is whole, after
the last: what an author would write who wants one more. What is heard more often already stays.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, Literal

from pausewright.arrange.statement_words import count_words
from pausewright.script.declared import PatternPause
from pausewright.script.model import Dictation, Passage, SubQuestion
from pausewright.script.times_heard import is_read_inside, named

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.problems import Place
    from pausewright.script.declared import Pattern
    from pausewright.script.model import Delivery, QuestionContent

_WHOLE: Final = "whole"
_NONE_AWAY: Final = "an arrangement takes no reading away: ask for more, or leave this out"


class Readings:
    """What a declared number of readings makes of each question, passage and dictation."""

    def __init__(
        self, n_readings: int, patterns: dict[str, Pattern], refuse: Callable[[str, str], None]
    ) -> None:
        """Keep the number; `patterns` takes longer ones, `refuse` a sentence and a hint."""
        self._n_readings = n_readings
        self._patterns = patterns
        self._refuse = refuse
        self.left: list[tuple[str, Place]] = []
        """What stays as it is, in words, and where it stands."""

    def asked(
        self, delivery: Delivery, content: Sequence[QuestionContent], whose: str
    ) -> tuple[Delivery, tuple[QuestionContent, ...]]:
        """Return a question or sub-question with its readings, or with those of what is in it."""
        if not is_read_inside(delivery, content):
            return self._more(delivery, whose), tuple(content)
        if any(isinstance(one, SubQuestion) for one in content):
            delivery = self._more(delivery, whose)
        return delivery, tuple(
            self.passage(one, whose)
            if isinstance(one, Passage)
            else self.dictation(one, whose)
            if isinstance(one, Dictation)
            else one
            for one in content
        )

    def passage(self, passage: Passage, within: str = "") -> Passage:
        """Return a passage with its readings; `within` is the question that it stands in."""
        name = _name(passage, within)
        if not passage.order:
            return replace(passage, delivery=self._more(passage.delivery, name))
        n_more = self._n_more(passage, name)
        if not n_more:
            return passage
        return replace(passage, order=(*passage.order, *_whole(n_more)))

    def dictation(self, dictation: Dictation, within: str = "") -> Dictation:
        """Return a dictation with its readings; `within` is the question that it stands in."""
        n_more = self._n_more(dictation, _name(dictation, within))
        if not n_more:
            return dictation
        between = dictation.between_readings_s
        if len(between.value) > 1:
            between = replace(between, value=between.value + between.value[-1:] * n_more)
        order = (*dictation.order, *_whole(n_more))
        return replace(dictation, order=order, between_readings_s=between)

    def _n_more(self, material: Passage | Dictation, name: str) -> int:
        """Return how many whole readings come after what has an order."""
        if set(material.order) == {"whole"}:
            self._refuse_fewer(material.n_readings, name)
        elif material.n_readings > self._n_readings:
            often = count_words("twice", material.n_readings, british=True)
            self.left.append((f"{name}, heard {often}", material.place))
        return max(0, self._n_readings - material.n_readings)

    def _more(self, delivery: Delivery, whose: str) -> Delivery:
        self._refuse_fewer(delivery.readings.value, whose)
        return replace(delivery, readings=replace(delivery.readings, value=self._n_readings))

    def _refuse_fewer(self, n_in_force: int, whose: str) -> None:
        if self._n_readings < n_in_force:
            self._refuse(f"{whose} is read {n_in_force} times in the script", _NONE_AWAY)

    def by_pattern(self, delivery: Delivery, name: str) -> Delivery:
        """Return the delivery of a pattern that is said again for each further reading."""
        n_more = self._n_readings - delivery.readings.value
        pattern = self._patterns.get(name)
        if pattern is None or n_more <= 0:
            return delivery
        if not pattern.again_steps:
            self._refuse(
                f"the pattern ‘{name}’ does not say what a further reading is",
                'give it steps of its own: again: [ {say: "{1}"} ]',
            )
            return delivery
        between_s = delivery.between_s(1)
        longer = f"{name} and {n_more} more, {between_s} s apart"
        steps = list(pattern.steps)
        for _ in range(n_more):
            steps.append(PatternPause(between_s, pattern.place))
            steps += pattern.again_steps
        self._patterns[longer] = replace(pattern, name=longer, steps=tuple(steps))
        return replace(delivery, pattern=replace(delivery.pattern, value=longer))


def _whole(n: int) -> tuple[Literal["whole"], ...]:
    return tuple(_WHOLE for _ in range(n))


def _name(material: Passage | Dictation, within: str) -> str:
    return f"{named(material, within)} (line {material.place.line})"
