"""The interpreter's copy: every sound with the silence after it, in which the track can be paused.

It holds the whole test and belongs to the staff alone.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.papers.timed.moments import Moment, StaffNote, happenings
from pausewright.papers.timed.reading_copy import sound_name, spoken_words
from pausewright.plan.clock import counter
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.silences import CANDIDATES, room_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.plan.timeline import Timeline
    from pausewright.script.model import Script

TEMPLATE: Final = "interpreter-copy"


def interpreter_copy_data(script: Script, timeline: Timeline) -> dict[str, object]:
    """Return what the template of the interpreter's copy is given.

    Parameters
    ----------
    script : as this version has it
    timeline : of the delivered track
    """
    happened = happenings(script, timeline, "interpreter")
    rows: list[dict[str, object]] = []
    n_sounds = 0
    for at, one in enumerate(happened):
        if isinstance(one, StaffNote):
            rows += [{"kind": "note", "text": text} for text in one.lines]
        elif isinstance(one.step, Mark) and one.step.kind != "stop":
            rows.append({"kind": one.step.kind, "text": one.step.title})
        elif isinstance(one.step, Say):
            n_sounds += 1
            silence = list(_silence_after(happened[at + 1 :]))
            rows.append(_row(one, one.step, n_sounds, silence))
    return {"rows": rows}


def _silence_after(later: tuple[Moment | StaffNote, ...]) -> Iterator[tuple[Wait, Fraction]]:
    """Give the waits up to the next sound, with their lengths on the track."""
    for one in later:
        if isinstance(one, StaffNote) or isinstance(one.step, Mark):
            continue
        if isinstance(one.step, Say):
            return
        yield one.step, one.length_s


def _row(
    one: Moment, step: Say, number: int, silence: list[tuple[Wait, Fraction]]
) -> dict[str, object]:
    words = spoken_words(step)
    declared = [wait for wait, _ in silence if wait.kind in CANDIDATES or wait.kind == "hold"]
    last = declared[-1].kind if declared else None
    return {
        "kind": "say",
        "number": str(number),
        "at": counter(one.start_s),
        "until": counter(one.end_s),
        "text": words or sound_name(step),
        "is_words": bool(words),
        "speaker": step.speaker,
        "silence": _tenths(sum((length_s for _, length_s in silence), Fraction(0))),
        "what": "" if last is None else "stop" if last == "hold" else room_name(last),
    }


def _tenths(length_s: Fraction) -> str:
    """Return a silence to a tenth of a second, rounded down: never more than there is."""
    tenths = length_s.numerator * 10 // length_s.denominator
    return f"{tenths // 10}.{tenths % 10} s" if tenths else ""
