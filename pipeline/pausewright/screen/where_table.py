"""What a stop at any place of a track means: what was heard or given there, and what is owed.

One table for each track, made here and nowhere else. The room screen holds it as data and words
it in the same sentences (`room/incident.js`; a test compares the two at many places); a command
can ask it too. It holds no word of the test.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.screen.screen_places import places
from pausewright.script.silences import AUTHORS, CANDIDATES, room_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.plan.timeline import Timeline
    from pausewright.screen.screen_places import Stretch
    from pausewright.script.model import Script

Happens: TypeAlias = Literal["heard", "given", "between", "held"]
"""Something is said; a silence of the candidates runs; the author's pause; the track is held."""
TENTH_MS: Final = 100


@dataclass(frozen=True, slots=True)
class Where:
    """One thing that happens, in the half-open time [start_ms, end_ms)."""

    start_ms: int
    end_ms: int
    happens: Happens
    name: str
    """As in "during NAME": "question 15 of 24, answer time"."""
    back_ms: int
    """Where its question, or its instructions, begin."""
    back_to: str
    """What begins there: "the first reading of question 15", "these instructions"."""


def where_table(script: Script, timeline: Timeline) -> tuple[Where, ...]:
    """Return what happens when, in order, without holes."""
    return tuple(_joined(_rows(script, timeline)))


def where_at(table: Sequence[Where], at_ms: int) -> Where:
    """Return the row of a place; the last one beyond the end."""
    return table[max(0, bisect_right([one.start_ms for one in table], at_ms) - 1)]


def told(one: Where, at_ms: int) -> str:
    """Return what a stop at a place of a row means, in sentences for a log."""
    whole = round_tenths(one.end_ms - one.start_ms)
    part = min(whole, max(0, at_ms - one.start_ms) // TENTH_MS)
    back = f"go back to {one.back_to}"
    if one.happens == "heard":
        return (
            f"Stopped during {one.name}: {seconds(part)} of {seconds(whole)} s heard, "
            f"{seconds(whole - part)} s still to be heard. Continue here, or {back}."
        )
    if one.happens == "given":
        return (
            f"Stopped during {one.name}: {seconds(part)} of {seconds(whole)} s given, "
            f"{seconds(whole - part)} s owed. Continue here to give the rest, or {back}."
        )
    if one.happens == "held":
        return f"Stopped at {one.name}, where the track waits. Nothing was missed."
    return f"Stopped after {one.name}. Nothing was missed. Continue here, or {back}."


def round_tenths(length_ms: int) -> int:
    """Return a length in tenths of a second, to the nearest, halves up."""
    return (2 * length_ms + TENTH_MS) // (2 * TENTH_MS)


def seconds(tenths: int) -> str:
    """Return tenths of a second as a number of seconds: "4.5", "15"."""
    whole, rest = divmod(tenths, 10)
    return f"{whole}.{rest}" if rest else str(whole)


def _rows(script: Script, timeline: Timeline) -> Iterator[Where]:
    clock = Clock(timeline.rate_hz)
    stretches = places(script, timeline).stretches
    starts = [one.start_ms for one in stretches]
    for one in timeline.placed:
        step = one.step
        start_ms, end_ms = clock.milliseconds(one.start_sample), clock.milliseconds(one.end_sample)
        if isinstance(step, Mark) or start_ms == end_ms:
            continue
        here = stretches[bisect_right(starts, start_ms) - 1]
        yield Where(
            start_ms, end_ms, _happens(step), _name(here, step), here.back_ms, _back_to(here)
        )


def _happens(step: Say | Wait) -> Happens:
    if isinstance(step, Say):
        return "heard"
    if step.kind == "hold":
        return "held"
    return "between" if step.kind in AUTHORS else "given"


def _name(here: Stretch, step: Say | Wait) -> str:
    told_here = here.sentence.removeprefix(f"{here.part}: ") if here.part else here.sentence
    name = f"{told_here[:1].lower()}{told_here[1:]}"
    if not isinstance(step, Wait) or step.kind not in CANDIDATES or ", before the " in name:
        return name
    if room_name(step.kind) not in name:
        return f"{name}, {room_name(step.kind)}"
    return name


def _back_to(here: Stretch) -> str:
    if here.asked is None:
        return "the start of these instructions"
    name = f"{here.asked.name[:1].lower()}{here.asked.name[1:]}"
    return f"the first reading of {name} {here.asked.number}"


def _joined(rows: Iterator[Where]) -> Iterator[Where]:
    """Join what is said without a silence of the candidates between into one row."""
    held: Where | None = None
    pause: Where | None = None
    for one in rows:
        if one.happens == "between" and held is not None and held.happens == "heard":
            pause = one if pause is None else pause
            continue
        is_same = held is not None and one.happens == held.happens == "heard"
        if held is not None and is_same and (one.name, one.back_ms) == (held.name, held.back_ms):
            held = Where(held.start_ms, one.end_ms, "heard", held.name, held.back_ms, held.back_to)
            pause = None
            continue
        if held is not None:
            yield from _ended(held, pause, one.start_ms)
        held, pause = one, None
    if held is not None:
        yield from _ended(held, pause, pause.end_ms if pause else held.end_ms)


def _ended(held: Where, pause: Where | None, until_ms: int) -> Iterator[Where]:
    """Give what was said, and the author's pause after it as a row of its own."""
    yield held
    if pause is not None:
        yield Where(pause.start_ms, until_ms, "between", held.name, held.back_ms, held.back_to)
