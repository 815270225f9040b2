"""What a share of extra time can be a share of: every reading side by side, in seconds.

"25 % extra time" is read as a share of the listed silences, of all silences, of the test time or of
the whole track, with practice and without. They are far apart, and a room that works one out while
the track gives another ends at another time.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import Share
from pausewright.deliver.step_lengths import step_s
from pausewright.frozen import frozen
from pausewright.plan.clock import counter, exact_seconds
from pausewright.plan.extra_time import percent, seconds
from pausewright.plan.steps import steps as planned
from pausewright.plan.timeline import Say, Wait
from pausewright.script.model import Stop
from pausewright.script.silences import CANDIDATES

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.arrange.arrangement import Arrangement, ExtraTime
    from pausewright.papers.timed.day_time import DayTime
    from pausewright.plan.extra_time import Grant
    from pausewright.problems import Problems
    from pausewright.script.model import Script
    from pausewright.wording.line_elements import Utterance
    from pausewright.wording.worded import Worded

MOST_APART: Final = Fraction(11, 10)
"""The largest reading may be so many times the smallest before a sum has to be confirmed."""


@frozen
class ShareReading:
    """One thing that the share can be a share of."""

    of: str
    """"the listed silences", "all candidates' silences", "the test time", "the whole track"."""
    with_practice: bool
    base_s: Fraction
    sum_s: Fraction
    """The share of it, or the ceiling if that is less."""
    end_s: Fraction
    """When the track would end that gives this sum, from its start."""
    is_declared: bool
    """Whether the arrangement says that this one is meant."""


@frozen
class ShareReadings:
    """All readings of the extra time of one version."""

    share: Fraction
    readings: tuple[ShareReading, ...]
    test_time_s: Fraction | None
    """As it is stated; None if it is not."""
    track_s: Fraction
    """The track without extra time, and without the slate, which is no test time."""
    is_exact: bool
    """Whether all its words are voiced: else lengths of speech are estimates."""

    @property
    def apart(self) -> Fraction:
        """How many times the smallest sum the largest is."""
        sums = [one.sum_s for one in self.readings if one.sum_s]
        return max(sums) / min(sums) if sums else Fraction(1)


def readings_of(
    worded: Worded,
    arrangement: Arrangement,
    kept_s: Callable[[Utterance], Fraction | None] = lambda _: None,
) -> ShareReadings | None:
    """Return what the share of a version can mean; None without extra time, or for fixed minutes.

    `worded` is the script as the version has it, with its words.
    `kept_s` gives the length of an utterance that was voiced before; the others are estimated.
    """
    extra = arrangement.extra_time
    if extra is None or not isinstance(extra.amount, Share):
        return None
    sums = _Sums(worded, kept_s)
    share = extra.amount.of_base
    stated_s = arrangement.test_time_s or worded.script.settings.test_time_s
    bases: list[tuple[str, bool, Fraction]] = []
    for of, kinds in (
        ("the listed silences", frozenset(extra.stretch)),
        ("all candidates’ silences", CANDIDATES),
    ):
        bases += [(of, True, sums.waited(kinds, with_practice=True))] if kinds else []
        if kinds and sums.has_practice:
            bases.append((of, False, sums.waited(kinds, with_practice=False)))
    bases += [("the test time", True, stated_s)] if stated_s is not None else []
    bases.append(("the whole track", True, sums.lasted(with_practice=True)))
    if sums.has_practice:
        bases.append(("the whole track", False, sums.lasted(with_practice=False)))
    found = [
        ShareReading(
            of,
            with_practice,
            base_s,
            _sum_s(extra, share * base_s),
            sums.end_s + _sum_s(extra, share * base_s),
            is_declared=with_practice
            and of == ("the test time" if extra.base == "whole-test" else "the listed silences"),
        )
        for of, with_practice, base_s in bases
    ]
    track_s = sums.lasted(with_practice=True)
    return ShareReadings(share, tuple(found), stated_s, track_s, sums.is_exact)


def _sum_s(extra: ExtraTime, sum_s: Fraction) -> Fraction:
    return sum_s if extra.at_most_s is None else min(sum_s, extra.at_most_s)


class _Sums:
    """Sums over the track of a version before its extra time."""

    def __init__(self, worded: Worded, kept_s: Callable[[Utterance], Fraction | None]) -> None:
        plain = planned(worded)
        kinds = _blocks(worded.script)
        settings = worded.script.settings
        lengths = [step_s(step, settings, kept_s) for step in plain]
        self._rows = [
            (step, length_s, kinds.get(step.block, ""))
            for step, (length_s, _) in zip(plain, lengths, strict=True)
        ]
        self.is_exact = all(is_exact for _, is_exact in lengths)
        self.has_practice = "practice" in kinds.values()
        self.end_s = sum((length_s for length_s, _ in lengths), Fraction(0))

    def waited(self, kinds: frozenset[str], *, with_practice: bool) -> Fraction:
        """Return the sum of silences of some kinds."""
        return sum(
            (
                step.wait_s
                for step, _, kind in self._rows
                if isinstance(step, Wait) and step.kind in kinds
                if with_practice or kind != "practice"
            ),
            Fraction(0),
        )

    def lasted(self, *, with_practice: bool) -> Fraction:
        """Return how long all lasts, without the slate."""
        left_out = {"slate"} if with_practice else {"slate", "practice"}
        return sum(
            (
                length_s
                for step, length_s, kind in self._rows
                if isinstance(step, Say | Wait) and kind not in left_out
            ),
            Fraction(0),
        )


def _blocks(script: Script) -> dict[int, str]:
    """Return of each block, counted as the plan counts them, whether it is practice or slate."""
    found: dict[int, str] = {}
    at = -1
    for part in script.parts:
        for group in part.groups:
            for block in group.blocks:
                at += 1
                if isinstance(block, Stop) and block.is_slate:
                    found[at] = "slate"
                elif part.practice:
                    found[at] = "practice"
        at += part.answers
    return found


def refuse_unconfirmed(
    worded: Worded, arrangement: Arrangement, grant: Grant | None, problems: Problems
) -> None:
    """Add an error where the sum of extra time is not the one that was confirmed, or has to be.

    It has to be where the script states its test time, so that a share of that can be worked out
    beside the track, and the readings of the share are more than 10 % apart.
    """
    if grant is None:
        return
    script = worded.script
    confirmed_s = arrangement.extra_time_confirmed_s
    if confirmed_s is not None:
        if seconds(confirmed_s) != seconds(grant.entitled_s):
            problems.error(
                arrangement.place_of("extra-time-confirmed", script.path),
                f"{seconds(confirmed_s)} of extra time are confirmed, and the arrangement gives "
                f"{seconds(grant.entitled_s)}",
                "ask whoever confirmed it which sum is meant: compare shows all readings",
                code="extra-time-confirmed",
            )
        return
    if script.settings.test_time_s is None and arrangement.test_time_s is None:
        return
    found = readings_of(worded, arrangement)
    if found is None or found.apart <= MOST_APART:
        return
    least, most = (pick(found.readings, key=lambda one: one.sum_s) for pick in (min, max))
    problems.error(
        arrangement.place_of("extra-time", script.path),
        f"{percent(found.share)} extra time can mean {seconds(_whole(least.sum_s))} (of "
        f"{least.of}) to {seconds(_whole(most.sum_s))} (of {most.of}); this arrangement gives "
        f"{seconds(grant.entitled_s)}",
        f"if that sum is right, state it: extra-time-confirmed: {_written(grant.entitled_s)}",
        code="extra-time-unconfirmed",
    )


def share_rows(found: ShareReadings, start: DayTime | None = None) -> list[str]:
    """Return all readings for the screen: sum, and when the track would end."""
    about = "" if found.is_exact else "about "
    ends = "the track ends" + (f" (start {start})" if start else " after")
    rows = [f"what {percent(found.share)} can be a share of, what that comes to, when {ends}:"]
    for one in found.readings:
        practice = "" if one.with_practice else ", practice left out"
        is_sure = found.is_exact or one.of != "the whole track"
        sum_text = seconds(one.sum_s) if is_sure else f"about {_whole(one.sum_s)} s"
        end = start.after(one.end_s) if start else counter(one.end_s + Fraction(1, 2))
        declared = "   <- declared" if one.is_declared else ""
        rows.append(f"  {one.of + practice:44}{sum_text:>16}{about + end:>18}{declared}")
    if found.test_time_s is None:
        rows.append("  the test time: not stated (test-time in the settings)")
    else:
        rows.append(
            f"  the test time is {counter(found.test_time_s)}, the track without extra time lasts "
            f"{about}{counter(found.track_s + Fraction(1, 2))}"
        )
    return rows


def share_data(found: ShareReadings) -> dict[str, object]:
    """Return all readings as plain data; times are exact decimals or fractions."""
    return {
        "share": exact_seconds(found.share),
        "is_exact": found.is_exact,
        "test_time_s": None if found.test_time_s is None else exact_seconds(found.test_time_s),
        "track_s": exact_seconds(found.track_s),
        "readings": [
            {
                "of": one.of,
                "with_practice": one.with_practice,
                "base_s": exact_seconds(one.base_s),
                "sum_s": exact_seconds(one.sum_s),
                "end_s": exact_seconds(one.end_s),
                "is_declared": one.is_declared,
            }
            for one in found.readings
        ],
    }


def _whole(sum_s: Fraction) -> Fraction:
    return Fraction(round(sum_s))


def _written(sum_s: Fraction) -> str:
    return seconds(sum_s).replace(",", "")
