"""Faults planted in the builder: the independent check must find each, and nothing is delivered."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import CheckFailedError, Options, build
from pausewright.plan import steps as plan_steps
from pausewright.plan.timeline import Say, Step, Wait
from pausewright.script.references import QuestionRef
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

Fault = tuple[Step, ...]

MORE = "\n".join(
    f'{number}. {words} {{answer-time="2.5 s" key="x"}}'
    for number, words in enumerate(
        (
            "Spell rope.",
            "A ferry leaves at ten and takes forty minutes; when does it arrive at the island?",
            "Name a knot.",
            "Nine lanterns hang on each of the four masts, and two of them are broken.",
            "Which way does the current run when the tide is falling in the narrow channel?",
            "Count the gulls on the roof.",
            "Half of the crates are empty, a third are full, and the rest hold only straw.",
            "Say yes.",
        ),
        start=3,
    )
)
SCRIPT = SMALL.replace("[two]", "[ten]").replace("::: page-turn", f"{MORE}\n\n::: page-turn")


def _shortened(kind: str, by_s: Fraction) -> Callable[[Fault], Fault]:
    def fault(steps: Fault) -> Fault:
        return tuple(
            replace(s, wait_s=s.wait_s - by_s) if isinstance(s, Wait) and s.kind == kind else s
            for s in steps
        )

    return fault


def _without(role: str, reading: int) -> Callable[[Fault], Fault]:
    """Drop one reading of question 1 with the silence before it."""

    def fault(steps: Fault) -> Fault:
        kept: list[Step] = []
        for s in steps:
            is_lost = isinstance(s, Say) and s.question == QuestionRef(1) and s.reading == reading
            if is_lost and getattr(s, "role", "") == role:
                if kept and isinstance(kept[-1], Wait):
                    kept.pop()
                continue
            kept.append(s)
        return tuple(kept)

    return fault


def _doubled(steps: Fault) -> Fault:
    """Say question 2 a third time."""
    at = max(
        i for i, s in enumerate(steps)
        if isinstance(s, Say) and s.question == QuestionRef(2) and s.role == "question"
    )  # fmt: skip
    return (*steps[: at + 1], Wait("between-readings", Fraction(3, 2)), steps[at], *steps[at + 1 :])


def _swapped(steps: Fault) -> Fault:
    """Exchange the words of questions 3 and 4, which differ much in length."""
    first = next(s for s in steps if isinstance(s, Say) and s.question == QuestionRef(3)
                 and s.role == "question")  # fmt: skip
    second = next(s for s in steps if isinstance(s, Say) and s.question == QuestionRef(4)
                  and s.role == "question")  # fmt: skip
    other = {id(first.element): second.element, id(second.element): first.element}

    def swap(step: Step) -> Step:
        if isinstance(step, Say) and step.role == "question":
            return replace(step, element=other.get(id(step.element), step.element))
        return step

    return tuple(swap(s) for s in steps)


def _no_page_turn(steps: Fault) -> Fault:
    """Forget the page turn and its silence."""
    return tuple(
        s for s in steps
        if not (isinstance(s, Wait) and s.kind == "page-turn-time")
        and not (isinstance(s, Say) and getattr(s.element, "words", "") == "Turn over.")
    )  # fmt: skip


FAULTS: dict[str, Callable[[Fault], Fault]] = {
    "answer times 40 ms short": _shortened("answer-time", Fraction(4, 100)),
    "answer times rounded to whole seconds": lambda steps: tuple(
        replace(s, wait_s=Fraction(round(s.wait_s))) if isinstance(s, Wait) else s for s in steps
    ),
    "silence between readings 30 ms long": _shortened("between-readings", Fraction(-3, 100)),
    "page turn stretched by a quarter": _shortened("page-turn-time", Fraction(-1)),
    "first reading lost": _without("question", 1),
    "second reading lost": _without("question", 2),
    "a third reading": _doubled,
    "questions swapped": _swapped,
    "page turn lost": _no_page_turn,
}


@pytest.mark.parametrize("fault", FAULTS.values(), ids=FAULTS.keys())
def test_a_fault_of_the_builder_is_found_and_nothing_delivered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: Callable[[Fault], Fault]
) -> None:
    """The check proves the builder wrong."""
    script = tmp_path / "morning.md"
    script.write_text(SCRIPT, "utf-8")
    right = plan_steps.steps
    monkeypatch.setattr(plan_steps, "steps", lambda worded: fault(right(worded)))
    options = Options(
        tmp_path / "out", formats=("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
        profiles=fake_profiles(tmp_path),
    )  # fmt: skip

    with pytest.raises(CheckFailedError) as caught:
        build(script, options)

    assert caught.value.checks[0].errors
    assert not (tmp_path / "out" / "morning").exists()
