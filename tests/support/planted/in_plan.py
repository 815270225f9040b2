"""Faults in the builder's clock: order and length of steps, and the sums of extra time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

from pausewright.deliver import version as versions
from pausewright.plan import extra_time, passage_steps, shared_steps
from pausewright.plan import steps as plan_steps
from pausewright.plan.passage_steps import PassageSteps
from pausewright.plan.shared_steps import SharedSteps
from pausewright.plan.timeline import Say, Wait
from pausewright.script.declared import ToneSpec
from pausewright.script.references import QuestionRef

from support.planted.base import Fault, Plant, after, changed


def _steps(change: Any) -> Plant:
    """Return a fault in the steps of a track."""
    return changed(plan_steps, "steps", after(lambda steps: tuple(change(steps))))


def _waits(kind: str, change: Any) -> Plant:
    return _steps(
        lambda steps: (
            replace(s, wait_s=change(s.wait_s)) if isinstance(s, Wait) and s.kind == kind else s
            for s in steps
        )
    )


def _is_said(step: Any, question: QuestionRef, reading: int = 0) -> bool:
    return (
        isinstance(step, Say)
        and step.question == question
        and step.role == "question"
        and reading in {0, step.reading}
    )


def _without_reading(question: QuestionRef, reading: int) -> Any:
    def change(steps: Any) -> Any:
        kept: list[Any] = []
        for step in steps:
            if _is_said(step, question, reading):
                if kept and isinstance(kept[-1], Wait):
                    kept.pop()
                continue
            kept.append(step)
        return kept

    return change


def _once_more(steps: Any) -> Any:
    at = max(i for i, s in enumerate(steps) if _is_said(s, QuestionRef(1)))
    return (*steps[: at + 1], Wait("between-readings", Fraction(3, 2)), steps[at], *steps[at + 1 :])


def _exchanged(with_words: str) -> Any:
    """Exchange the words of question 1 and other ones."""

    def change(steps: Any) -> Any:
        one = next(s for s in steps if _is_said(s, QuestionRef(1)))
        other = next(s for s in steps if isinstance(s, Say) and with_words in _words(s))
        pair = {one.element: other.element, other.element: one.element}
        return (
            replace(s, element=pair.get(s.element, s.element)) if isinstance(s, Say) else s
            for s in steps
        )

    return change


def _without(test: Any) -> Any:
    """Drop sounds with the silence that follows each."""

    def change(steps: Any) -> Any:
        kept: list[Any] = []
        is_after = False
        for step in steps:
            if isinstance(step, Say) and test(step):
                is_after = True
                continue
            if not (is_after and isinstance(step, Wait)):
                kept.append(step)
            is_after = False
        return kept

    return change


def _words(step: Any) -> str:
    return str(getattr(step.element, "words", ""))


def _not_growing(right: Any) -> Any:
    del right
    return lambda dictation: (dictation.phrase_time_s[0],) * len(dictation.phrases)


def _extra(change: Any) -> Plant:
    """Return a fault in the steps with extra time."""

    def wrong(right: Any) -> Any:
        def add(*arguments: Any) -> Any:
            steps, grant = right(*arguments)
            return tuple(change(steps, arguments[0])), grant

        return add

    return changed(versions, "add_extra_time", wrong)


def _halved(steps: Any, before: Any) -> Any:
    was = {id(s) for s in before}
    for step in steps:
        if isinstance(step, Wait) and id(step) not in was and step.kind == "answer-time":
            yield replace(step, wait_s=step.wait_s * Fraction(9, 10))
        else:
            yield step


def _to_the_first(_right: Any) -> Any:
    """Put time that belongs after question 4 after question 1."""

    def after_question(self: Any, _where: Any, amount_s: Fraction) -> Any:
        ends = [
            i
            for i, step in enumerate(self._steps)
            if isinstance(step, Wait) and step.kind == "answer-time" and step.question is not None
        ]
        self._lump(amount_s, ends[:1], "question 1")

    return after_question


FAULTS: Final = (
    Fault("plan", "answer times 40 ms short", _waits("answer-time", lambda s: s - Fraction(1, 25))),
    Fault("plan", "answer times halved", _waits("answer-time", lambda s: s / 2)),
    Fault("plan", "silences between readings 30 ms long",
          _waits("between-readings", lambda s: s + Fraction(3, 100))),
    Fault("plan", "a page turn of a quarter more", _waits("page-turn-time", lambda s: s * 5 / 4)),
    Fault("plan", "look times dropped",
          _steps(lambda steps: (s for s in steps if getattr(s, "kind", "") != "look-time"))),
    Fault("plan", "holds doubled", _waits("hold", lambda s: 2 * s)),
    Fault("plan", "phrase times that do not grow",
          changed(passage_steps, "phrase_times_s", _not_growing)),
    Fault("plan", "the first reading lost", _steps(_without_reading(QuestionRef(1), 1))),
    Fault("plan", "the second reading lost", _steps(_without_reading(QuestionRef(1), 2))),
    Fault("plan", "a third reading", _steps(_once_more)),
    Fault("plan", "questions in each other's place", _steps(_exchanged("Tell me."))),
    Fault("plan", "questions of one length in each other's place",
          _steps(_exchanged("rang nine times")), found_by="ear"),
    Fault("plan", "the page turn lost", _steps(_without(lambda s: _words(s) == "Turn over."))),
    Fault("plan", "sub-question b lost",
          _steps(_without(lambda s: s.question == QuestionRef(4, "b")))),
    Fault("plan", "the continuation tone at 130 Hz", changed(
        shared_steps, "CONTINUATION_TONE", lambda _: ToneSpec(Fraction(130), Fraction(2, 5)))),
    Fault("plan", "the continuation tone of half its length", changed(
        shared_steps, "CONTINUATION_TONE", lambda _: ToneSpec(Fraction(520), Fraction(1, 5)))),
    Fault("plan", "the time cue forgotten",
          changed(shared_steps, "CUED_FROM_S", lambda _: Fraction(3600))),
    Fault("plan", "a passage read once", changed(
        PassageSteps, "_passage", lambda right: lambda self, p: right(self, replace(
            p, delivery=replace(p.delivery, readings=replace(p.delivery.readings, value=1)))))),
    Fault("plan", "announcements without their pause, run into questions", changed(
        SharedSteps, "_announce", lambda _: lambda self, line, captions: (
            self._writer.line(line, "announcement", captioned=captions != "nothing")
            if line else None))),
    Fault("plan", "extra time a tenth short", _extra(_halved), "quarter"),
    Fault("plan", "extra time not given", _extra(lambda _, before: before), "quarter"),
    Fault("plan", "extra time in one piece at another question",
          changed(extra_time._Planner, "_after_question", _to_the_first), "after-four"),
    Fault("plan", "extra time of the end at its beginning",
          changed(extra_time._Planner, "_lump", lambda right: lambda self, s, ends, what: right(
              self, s, ends[:1], what)), "end"),
)  # fmt: skip
