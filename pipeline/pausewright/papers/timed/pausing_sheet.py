"""The manual pausing sheet: a version's extra time given by hand, on the standard track.

For a room that must play a recording as it comes: where to press pause, how long to hold, when to
press play. The sum of what is held is the extra time, never less at any place.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.clock import counter
from pausewright.plan.timeline import Say, Wait
from pausewright.script.references import QuestionSpan
from pausewright.script.silences import CANDIDATES, room_name
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.plan.extra_time import Added, Grant
    from pausewright.plan.timeline import Placed, Questions, Step, Timeline

TEMPLATE: Final = "pausing-sheet"
_BY_HAND: Final = frozenset(
    {
        "extra-time",
        "stretch",
        "share-of",
        "where",
        "fixed-pause",
        "extra-words",
        "captions",
        "transcript",
        "format",
    }
)
"""Fields that leave the sounds of the standard track as they are, each in its order."""


def can_be_given_by_hand(arrangement: Arrangement) -> bool:
    """Return whether an arrangement adds time to the standard track and changes no sound."""
    changes = set(arrangement.changes)
    return "extra-time" in changes and changes <= _BY_HAND


def pausing_sheet_data(
    standard: Timeline, steps: Sequence[Step], grant: Grant
) -> dict[str, object]:
    """Return what the template of the manual pausing sheet is given.

    Parameters
    ----------
    standard : timeline of the standard track
    steps : of the version, whose arrangement `can_be_given_by_hand`
    grant : its extra time; `steps` and it belong together
    """
    waits = [one for one in standard.placed if _is_candidates(one.step)]
    order = _order(steps)
    rows: list[dict[str, str]] = []
    due_s, held_s = Fraction(0), 0
    for number, added in enumerate(grant.added, 1):
        due_s += added.added_s
        hold_s = -(-due_s.numerator // due_s.denominator) - held_s
        place = waits[order[added.step]]
        press_s = _press_s(place, standard.rate_hz)
        rows.append(
            {
                "number": str(number),
                "what": _name(added),
                "counter": counter(Fraction(press_s)),
                "due": _seconds(added.added_s),
                "hold": f"{hold_s} s",
                "pressed": counter(Fraction(press_s + held_s)),
                "released": counter(Fraction(press_s + held_s + hold_s)),
                "say": _words_before(steps, added.step) if added.is_announced else "",
            }
        )
        held_s += hold_s
    length_s = Fraction(standard.n_samples, standard.rate_hz)
    return {
        "rows": rows,
        "sum": grant.sum_text,
        "due": _seconds(grant.entitled_s),
        "held": f"{held_s} s",
        "length": counter(length_s),
        "end": counter(length_s + held_s),
    }


def _is_candidates(step: Step) -> bool:
    return isinstance(step, Wait) and step.kind in CANDIDATES


def _order(steps: Sequence[Step]) -> dict[int, int]:
    """Return for each silence of the version which one of the standard track it stands in."""
    found: dict[int, int] = {}
    n_before = 0
    for at, step in enumerate(steps):
        if not _is_candidates(step):
            continue
        if isinstance(step, Wait) and step.kind == "extra-time":  # after the silence before it
            found[at] = max(0, n_before - 1)
        else:
            found[at] = n_before
            n_before += 1
    return found


def _press_s(place: Placed, rate_hz: int) -> int:
    """Return what the counter shows when pause is pressed: a second before the silence ends.

    In a silence that is too short for that, the second that its middle lies in.
    """
    start_s, end_s = (Fraction(at, rate_hz) for at in (place.start_sample, place.end_sample))
    last = int(end_s) - 1
    return last if last >= start_s else int((start_s + end_s) / 2)


def _name(added: Added) -> str:
    about = _question(added.question)
    kind = "end" if added.kind == "extra-time" else room_name(added.kind)
    if kind == "end":
        return f"After {about[0].lower()}{about[1:]}" if about else "At the end of the part"
    return f"{about}, {kind}" if about else kind.capitalize()


def _question(about: Questions | None) -> str:
    if about is None:
        return ""
    if isinstance(about, QuestionSpan):
        return f"Questions {about}"
    return str(about) if about.practice else f"Question {about}"


def _words_before(steps: Sequence[Step], at: int) -> str:
    """Return the words that the version says before a piece of time."""
    said: list[str] = []
    for step in reversed(steps[:at]):
        if isinstance(step, Say) and isinstance(step.element, Utterance):
            said.insert(0, step.element.words)
        elif _is_candidates(step):
            break
    return " ".join(said)


def _seconds(time_s: Fraction) -> str:
    """Return seconds to a hundredth, rounded up."""
    hundredths = -(-time_s.numerator * 100 // time_s.denominator)
    return f"{hundredths // 100}.{hundredths % 100:02d}".rstrip("0").rstrip(".") + " s"
