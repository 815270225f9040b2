"""Do these sounds belong to these words? Lengths of speech against the words of the script."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction
from statistics import median
from typing import TYPE_CHECKING

from pausewright.checker.expect.expected import CONTENT
from pausewright.checker.expect.lengths import words_fit
from pausewright.checker.judge.lost_words import lost_words
from pausewright.checker.limits.words import (
    IMPOSSIBLE_AT_LEAST,
    IMPOSSIBLE_S,
    OTHER_SCRIPT_BELOW,
    PAUSE_IN_SPEECH_S,
    UNLIKE_AT_LEAST,
    UNLIKE_S,
    UNLIKE_SPREADS,
)
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.checker.result.naming import role_name, where_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching

NOT_JUDGED = (
    "The words were not judged by their lengths: there are too few, or all are about as long."
)


@frozen
class Likeness:
    """What the lengths of speech say of its words."""

    findings: list[Finding]
    words_fit: bool | None
    """Whether they are these words; None where lengths cannot tell."""
    strangers: frozenset[str] = frozenset()
    """Bundled voices that are declared but not heard: somebody else speaks."""
    by_file: frozenset[str] = frozenset()
    """Other voices whose words were judged against the rest of the file only."""

    shortened: frozenset[int] = frozenset()
    """Indices of expected sounds on the short side for their words."""

    @property
    def cautions(self) -> list[str]:
        """What a reader of the report must know about it."""
        said = [NOT_JUDGED] if self.words_fit is None else []
        if self.strangers:
            said.append(
                "The lengths are not those of the bundled voices that the script names: lost words "
                "were judged against the rest of the file only, and a third of an utterance may be "
                "lost without a finding."
            )
        if self.by_file:
            said.append(
                "Some words are of voices or kinds whose lengths are not known beforehand: they "
                "were judged against the rest of the file only, and a third of an utterance may "
                "be lost without a finding."
            )
        return said


def likeness(
    expectation: Expectation, matching: Matching, heard: Heard, pace_wpm: Fraction
) -> Likeness:
    """Return what the lengths of speech say of its words.

    `pace_wpm` is that of the script's settings.
    """
    rate_hz = heard.track_format.rate_hz
    found = sum(span is not None for span in matching.heard)
    if found < OTHER_SCRIPT_BELOW * _n_looked_for(matching):
        other = _other_script(f"only {found} of {len(matching.heard)} sounds were found")
        return Likeness([other], words_fit=False)
    lost = lost_words(expectation, matching, heard, pace_wpm)
    findings: list[Finding] = list(lost.findings)
    estimated: dict[tuple[object, ...], tuple[float, float]] = {}
    content: set[tuple[object, ...]] = set()
    unlike: list[tuple[int, float, float]] = []
    for i, sound in enumerate(expectation.sounds):
        span = matching.heard[i]
        if span is None or not matching.alone[i] or not isinstance(sound.element, Utterance):
            continue
        findings += _pauses(expectation, matching, i, rate_hz)
        seconds = (span[1] - span[0]) / rate_hz
        estimate = matching.model.seconds(sound.element)
        key = (sound.element.spoken, sound.element.speech)
        estimated.setdefault(key, (estimate, seconds))
        if sound.role in CONTENT:
            content.add(key)
        if i not in lost.judged:
            unlike.append((i, estimate, seconds))
    findings += _unlike(expectation, matching, rate_hz, unlike)
    fits = words_fit([pair for key, pair in estimated.items() if key in content])
    if fits is None:
        fits = words_fit(list(estimated.values()))
    if fits is False:
        findings.append(_other_script("the lengths of the sounds do not suit the words"))
    by_file = frozenset(
        e.speech.voice
        for i, _, _ in unlike
        if isinstance(e := expectation.sounds[i].element, Utterance)
    )
    by_file -= lost.strangers
    return Likeness(findings, fits, lost.strangers, by_file, lost.shortened)


def _n_looked_for(matching: Matching) -> int:
    """Return how many sounds should have been found, if the track is this script's.

    Where hardly anything extra is heard, a beginning or end that is lost is no sign of another
    script; those sounds are missing and found to be so.
    """
    heard = [i for i, span in enumerate(matching.heard) if span is not None]
    n_extra = sum(len(extra.stretches) for extra in matching.extras)
    if not heard or n_extra > len(heard) // 2:
        return len(matching.heard)
    return heard[-1] + 1 - heard[0]


def _other_script(why: str) -> Finding:
    return Finding(
        "other-words",
        "error",
        f"this looks like the track of another script: {why}",
        "check that track and script belong together",
    )


def _unlike(
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
    pairs: list[tuple[int, float, float]],
) -> list[Finding]:
    if not pairs:
        return []
    logs = [math.log(seconds / estimate) for _, estimate, seconds in pairs]
    middle = median(logs)
    spread = max(0.12, 1.4826 * median(abs(x - middle) for x in logs))
    limit = max(UNLIKE_AT_LEAST, UNLIKE_SPREADS * spread)
    findings = []
    for (i, estimate, seconds), log in zip(pairs, logs, strict=True):
        likely = estimate * math.exp(middle)
        if abs(log - middle) <= limit or abs(seconds - likely) <= UNLIKE_S:
            continue
        sound, span = expectation.sounds[i], matching.heard[i]
        how = "short" if seconds < likely else "long"
        sure = (
            abs(log - middle) > max(IMPOSSIBLE_AT_LEAST, limit)
            and abs(seconds - likely) > IMPOSSIBLE_S
        )
        findings.append(
            Finding(
                "length-impossible" if sure else "length-unlikely",
                "error" if sure else "warning",
                f"{role_name(sound)}{where_of(sound)} is {'far too' if sure else 'surprisingly'} "
                f"{how} for its words",
                LISTEN,
                at_s=Fraction(span[0], rate_hz) if span else None,
                question=sound.question,
                place=sound.place,
                expected=round(likely, 3),
                measured=round(seconds, 3),
                difference=round(seconds - likely, 3),
                unit="s",
            )
        )
    return findings


def _pauses(expectation: Expectation, matching: Matching, i: int, rate_hz: int) -> list[Finding]:
    sound, parts = expectation.sounds[i], matching.parts[i]
    findings = []
    for (_, end), (start, _) in itertools.pairwise(parts):
        pause_s = Fraction(start - end, rate_hz)
        if pause_s >= PAUSE_IN_SPEECH_S:
            findings.append(
                Finding(
                    "silence-in-speech",
                    "warning",
                    f"{role_name(sound)}{where_of(sound)} has a long silence inside a sentence",
                    LISTEN,
                    at_s=Fraction(end, rate_hz),
                    question=sound.question,
                    place=sound.place,
                    measured=pause_s,
                    allowed=PAUSE_IN_SPEECH_S,
                    unit="s",
                )
            )
    return findings
