"""A promise laid beside a measured track: every difference a finding, every field a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.limits.promised import CONFIRMED_S
from pausewright.checker.promises.differences import Difference
from pausewright.checker.promises.effect import Idle, hint_for, without_effect
from pausewright.checker.promises.found import found_on
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.promises.proof_sentences import ProofSentences
from pausewright.checker.promises.said_as_promised import SaidAsPromised
from pausewright.checker.promises.shown_as_promised import ShownAsPromised, judged_sheet
from pausewright.checker.promises.sounded_as_promised import (
    SoundedAsPromised,
    judged_formats,
    judged_outputs,
)
from pausewright.checker.promises.timed_breaks import TimedBreaks, breaks_heard_after
from pausewright.checker.promises.waited_as_promised import DECLARED, WaitedAsPromised
from pausewright.checker.result.findings import BUILD, Finding

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence
    from pathlib import Path

    from pausewright.checker.promises.delivered_track import Delivered
    from pausewright.checker.promises.found import FoundSilence
    from pausewright.checker.promises.promise import Promise
    from pausewright.checker.result.proofs import FieldProof

MOST_OF_A_CODE = 20
"""Findings of one code; what follows from one cause need not be told a hundred times."""


def kept_promises(
    promise: Promise, delivered: Delivered
) -> tuple[list[Finding], tuple[FieldProof, ...]]:
    """Return what is not as promised, and the line of proof of each declared field."""
    found = found_on(delivered.expectation, delivered.matching, delivered.rate_hz, DECLARED)
    breaks_after = breaks_heard_after(promise, delivered.expectation)
    if breaks_after:
        promise = promise_of(promise.script, promise.arrangement, breaks_after)
    said = SaidAsPromised(promise, found)
    waited = WaitedAsPromised(promise, found)
    sounded = SoundedAsPromised(
        promise, found, delivered.expectation, delivered.matching, delivered.rate_hz
    )
    shown = ShownAsPromised(
        promise, found, delivered.expectation, delivered.matching, delivered.rate_hz
    )
    breaks = TimedBreaks(promise, delivered.expectation, delivered.matching, delivered.rate_hz)
    differences = [
        *said.differences(),
        *waited.differences(),
        *breaks.differences(),
        *sounded.tones(delivered.kept),
        *sounded.recordings(),
        *sounded.level(delivered.loudness_lufs, delivered.built_for_lufs),
        *sounded.voices_and_pace(),
        *judged_formats(promise, delivered.container, delivered.path),
    ]
    # pieces and videos have no transcripts of their own; captions of a file are all it has
    differences += shown.differences(delivered.captions, delivered.others)
    differences += shown.elsewhere(delivered.texts)
    for sheet in delivered.sheets:
        differences += judged_sheet(sheet, promise)
    differences += _confirmed_sum(promise)
    findings = _findings(promise, differences)
    findings += _ineffective(promise, found.silences)
    sentences = ProofSentences(promise, found, delivered.matching, differences)
    return findings, sentences.proofs(waited, shown.count, sounded, delivered)


def _confirmed_sum(promise: Promise) -> Iterator[Difference]:
    """Give an error where the extra time is not the sum that somebody confirmed."""
    confirmed_s = promise.arrangement.extra_time_confirmed_s
    if confirmed_s is not None and abs(confirmed_s - promise.entitled_s) >= CONFIRMED_S:
        yield Difference(
            "promise-extra-time",
            "extra-time-confirmed",
            "the sum of extra time is not the one that was confirmed",
            None,
            None,
            confirmed_s,
            promise.entitled_s,
            "s",
        )


def outputs_as_promised(promise: Promise, endings: Collection[str], n_pieces: int) -> list[Finding]:
    """Return an error for each declared output that was not delivered.

    Parameters
    ----------
    endings : those of the names of a version's tracks, without a point
    n_pieces : how many pieces of tracks were delivered
    """
    return _findings(promise, [*judged_outputs(promise, endings, n_pieces)])


def sheet_as_promised(sheet: Path, promise: Promise) -> list[Finding]:
    """Return an error for each thing that an answer sheet by itself should not hold, or lacks.

    Raises
    ------
    TrackError
        If it cannot be read.
    """
    return _findings(promise, [*judged_sheet(sheet, promise, tells_seal=False)])


def _findings(promise: Promise, differences: Sequence[Difference]) -> list[Finding]:
    n_told: dict[str, int] = {}
    found: list[Finding] = []
    for one in differences:
        n_told[one.code] = n_told.get(one.code, 0) + 1
        if n_told[one.code] > MOST_OF_A_CODE:
            continue
        place = one.place
        if place is None and one.field is not None:
            place = promise.place_of(one.field)
        difference = None
        if one.expected is not None and one.measured is not None:
            difference = one.measured - one.expected
        found.append(
            Finding(
                one.code,
                "error",
                one.sentence,
                BUILD,
                at_s=one.at_s,
                question=one.item,
                place=place,
                expected=one.expected,
                measured=one.measured,
                difference=difference,
                unit=one.unit,
            )
        )
    return found


def _ineffective(promise: Promise, silences: Sequence[FoundSilence]) -> list[Finding]:
    """Return an error for each field that changes nothing on this script."""
    idle = list(without_effect(promise.script, promise.arrangement))
    place = promise.timed_breaks_at
    if place is not None and not any(one.place == place for one in silences):
        idle.append(Idle("rest-breaks", hint_for("rest-breaks")))
    return [
        Finding(
            "arrangement-without-effect",
            "error",
            f"‘{one.written}’ is declared and changes nothing on this script",
            one.hint,
            place=promise.place_of(one.name),
        )
        for one in idle
    ]
