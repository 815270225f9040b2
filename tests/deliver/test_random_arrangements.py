"""Random scripts and declarations: the sum is exact, never below, and both sides agree."""

from __future__ import annotations

import tempfile
from fractions import Fraction
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Say, Wait
from support.amounts import cases
from support.scripts.versions import END, HEAD, expected_waits, version, waits

KINDS = ("answer-time", "between-readings", "look-time", "extra-time")
TENTHS = st.integers(min_value=7, max_value=600)


@st.composite
def scripts(draw: st.DrawFn) -> str:
    """Return a script of one to three parts with questions of random times."""
    rows = []
    number = 0
    for part in range(draw(st.integers(1, 3))):
        rows.append(f'# Part {part + 1} {{readings="{draw(st.integers(1, 3))}"}}\n')
        if draw(st.booleans()):
            rows.append(f'Look. {{look-time="{draw(TENTHS) / 10} s"}}\n')
        for _ in range(draw(st.integers(1, 3))):
            number += 1
            cue = ' time-cue="half"' if draw(st.booleans()) else ""
            rows.append(f'{number}. What is it? {{answer-time="{draw(TENTHS) / 10} s"{cue}}}\n')
        rows.append("Rest now.\n")
    return HEAD.replace("---\n\n", "test-time: 40 min\n---\n\n") + "\n".join(rows) + END


@st.composite
def declarations(draw: st.DrawFn) -> list[str]:
    """Return the fields of an arrangement with extra time."""
    kinds = draw(st.sets(st.sampled_from(("between-readings", "look-time")))) | {"answer-time"}
    fields = [f"stretch: [{', '.join(sorted(kinds))}]"]
    if draw(st.booleans()):
        fields += [f"extra-time: {draw(st.integers(1, 100))} %"]
        fields += ["share-of: " + draw(st.sampled_from(("listed-silences", "whole-test")))]
    else:
        fields += [f"extra-time: {draw(st.integers(100, 5000)) / 7:.3f} s"]
    where = draw(st.sampled_from(("each-gap", "part-end", "test-end", "fixed-and-remainder")))
    fields.append(f"where: {where}")
    if where == "fixed-and-remainder":
        fields.append("fixed-pause: 0.3 s")
    if draw(st.booleans()):
        fields.append("extra-words: 'You have {time} more.'")
    if draw(st.booleans()):
        fields.append("readings: 3")
    return draw(st.permutations(fields))


@settings(max_examples=cases(25, 600), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(scripts(), declarations())
def test_what_is_given_is_what_is_entitled(text: str, fields: list[str]) -> None:
    """Sum exact as fractions; whole samples never below; builder and check agree on each gap."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        made = version(folder, text, ", ".join(fields), errors=True)
        if made.grant is None:
            assert any("are more than the whole" in p.message for p in made.problems)
            return
        if any("no words for the time" in p.message for p in made.problems):
            # a piece of less than half a second cannot be told in whole seconds
            assert any(0 < one.lump_s < Fraction(1, 2) for one in made.grant.added)
            return
        plain = version(
            folder, text, "readings: 3" if "readings: 3" in fields else "captions: nothing"
        )
        turned = version(folder, text, ", ".join(reversed(fields)))
    clock = Clock(44_100)
    entitled = made.grant.entitled_s
    listed = next(f for f in fields if f.startswith("stretch"))
    base_s = sum((s for k in KINDS if k in listed for s in waits(plain, k)), Fraction(0))
    share = next(f for f in fields if f.startswith("extra-time"))
    amount = Fraction(share.split()[1])
    if "%" in share:
        base_s = Fraction(2400) if "share-of: whole-test" in fields else base_s
        amount = amount / 100 * base_s

    assert made.grant.given_s == entitled == amount
    assert sum(waits(made, *KINDS)) - sum(waits(plain, *KINDS)) == entitled
    laid = sum(clock.samples(s) for s in waits(made, *KINDS))
    before = sum(waits(plain, *KINDS))
    assert 0 <= clock.seconds(laid) - before - entitled < Fraction(len(waits(made, *KINDS)), 44_100)
    assert expected_waits(made, *KINDS) == waits(made, *KINDS)
    assert waits(turned, *KINDS) == waits(made, *KINDS)
    for step, after in zip(made.steps, made.steps[1:], strict=False):
        assert not (isinstance(step, Wait) and isinstance(after, Wait)), (step, after)
    sounds = [s.element for s in made.steps if isinstance(s, Say)]
    own = [p for p in sounds if "more" in getattr(p, "words", "")]
    assert len(sounds) - len(own) == len([s for s in plain.steps if isinstance(s, Say)])


@settings(max_examples=cases(10, 250), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(scripts(), st.integers(1, 99))
def test_a_split_that_is_off_is_refused(text: str, off: int) -> None:
    """A stated split of 100 s that adds up to something else is an error with both sums."""
    with tempfile.TemporaryDirectory() as name:
        made = version(
            Path(name), text,
            "extra-time: 100 s, stretch: [answer-time], "
            f"where: {{each-gap: {off} s, test-end: {100 - off} s}}",
        )  # fmt: skip
        wrong = version(
            Path(name), text,
            "extra-time: 100 s, stretch: [answer-time], "
            f"where: {{each-gap: {off} s, test-end: {101 - off} s}}", errors=True,
        )  # fmt: skip

    assert made.grant is not None
    assert made.grant.given_s == 100
    assert any("the split adds up to 101 s" in p.message for p in wrong.problems)
