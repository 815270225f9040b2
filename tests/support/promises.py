"""A version laid beside its promise as if its track were heard without a fault."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.expect.expect import expect
from pausewright.checker.expect.lengths import RateModel
from pausewright.checker.judge.arrangement_effects import expected_of
from pausewright.checker.match.match import Matching
from pausewright.checker.match.measured import MeasuredSilence
from pausewright.checker.promises.found import found_on
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.promises.said_as_promised import SaidAsPromised
from pausewright.checker.promises.sounded_as_promised import SoundedAsPromised
from pausewright.checker.promises.timed_breaks import TimedBreaks, breaks_heard_after
from pausewright.checker.promises.waited_as_promised import DECLARED, WaitedAsPromised

if TYPE_CHECKING:
    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.promises.differences import Difference
    from pausewright.deliver.version import Version
    from pausewright.script.model import Script

RATE_HZ = 44_100


def as_if_heard(expectation: Expectation) -> Matching:
    """Return what a track without a fault would be measured as."""
    n = len(expectation.sounds)
    silences = tuple(
        MeasuredSilence(
            one, one.wait_s, one.wait_s / 100, at_frame=0, n_frames=int(one.wait_s * RATE_HZ),
            state="measured",
        )
        for one in expectation.silences
    )  # fmt: skip
    return Matching(((0, 1),) * n, (True,) * n, (((0, 1),),) * n, silences, (), RateModel())


def differences(script: Script, version: Version) -> list[Difference]:
    """Return what a version of a standard script, heard without a fault, lacks of its promise."""
    promise = promise_of(script, version.arrangement)
    expectation = expected_of(expect(version.worded), version.worded).expectation
    matching = as_if_heard(expectation)
    found = found_on(expectation, matching, RATE_HZ, DECLARED)
    breaks_after = breaks_heard_after(promise, expectation)
    promise = promise_of(script, version.arrangement, breaks_after)
    sounded = SoundedAsPromised(promise, found, expectation, matching, RATE_HZ)
    return [
        *SaidAsPromised(promise, found).differences(),
        *WaitedAsPromised(promise, found).differences(),
        *TimedBreaks(promise, expectation, matching, RATE_HZ).differences(),
        *sounded.voices_and_pace(),
    ]
