"""Is all of each utterance there? Its length against what its voice needs for just these words.

Of a bundled voice the check knows how long it takes for every sound (`expect.voice_lengths`); what
is left is a few hundredths. A track that strays further is somebody else's reading, and is judged
by `likeness` as any stranger's: against the rest of the file.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from statistics import median
from typing import TYPE_CHECKING, Final

from pausewright.checker.expect.voice_lengths import estimates
from pausewright.checker.judge.nuclei import nuclei
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.checker.result.naming import role_name, where_of
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching

DOUBTED_SHORT_SHARE: Final = 0.88
"""Measured to estimated length under which the syllables are counted too."""
LENGTH_WEIGHT: Final = 0.8
"""What the length says of both (geometric mean); the count of syllables says the rest."""
SHORT_SHARE: Final = 0.77
"""Share of length and syllables together under which words are missing. Takes of words that nothing
was fitted on came to 0.81 at least (scripts/fit_speech_lengths.py --compare)."""
SHORT_S: Final = 0.15
"""And at least so many seconds must be missing: single words stray more."""
LONG_SHARE: Final = 1.5
"""The same for words too much."""
LONG_S: Final = 0.5
DOUBTED_LONG_SHARE: Final = 1.35
"""From there on a warning: a voice may have read something in another way ("part one hundred" for
"Part C" was found so)."""
DOUBTED_LONG_S: Final = 0.25
UNKNOWN_WORD_S: Final = 0.05
"""What the length of each word that the dictionary does not have may stray beyond that."""
SOFT_EDGES_S: Final = 0.03
"""What coders may hide of the softest ends of words."""
SPREAD_OF_A_STRANGER: Final = 0.11
"""Spread of the natural logarithm of measured to estimated length from which it is not this voice
that speaks; the bundled voices' is 0.04 to 0.06. It is taken from what is longer than the middle,
which lost words do not touch."""
SPREAD_FROM_S: Final = 1.0
"""Shorter utterances stray more, and have no part in it."""
FEWEST_FOR_A_SPREAD: Final = 6
FEWEST_FOR_A_MIDDLE: Final = 3
MOST_OFF_PACE: Final = 0.1
"""Natural logarithm by which all lengths may be off the voice's pace together."""


@dataclass(frozen=True, slots=True)
class _Said:
    """Utterances that were heard as one stretch of sound, mostly one."""

    indices: tuple[int, ...]
    voice: str
    likely_s: float
    """At the voice's own pace, with the silences between them."""
    likely_syllables: float
    span: tuple[int, int]
    """Half-open range of frames."""
    measured_s: float
    n_unknown_words: int
    key: object


@dataclass(frozen=True, slots=True)
class LostWords:
    """What lengths tell of the bundled voices."""

    findings: tuple[Finding, ...]
    judged: frozenset[int]
    """Indices of the expected sounds that were judged by their voice's own lengths."""
    strangers: frozenset[str]
    """Voices that are declared but that the file does not have: somebody else speaks."""


def lost_words(
    expectation: Expectation, matching: Matching, heard: Heard, pace_wpm: Fraction
) -> LostWords:
    """Return utterances too short or too long for their words, by their voice's own lengths.

    `pace_wpm` is that of the script's settings.
    """
    rate_hz = heard.track_format.rate_hz
    voices: dict[str, list[_Said]] = defaultdict(list)
    for one in _heard(expectation, matching, rate_hz, pace_wpm):
        voices[one.voice].append(one)
    findings: list[Finding] = []
    judged: set[int] = set()
    strangers: set[str] = set()
    for voice, said in voices.items():
        scale = _scale(said)
        if scale is None:
            strangers.add(voice)
            continue
        for one in said:
            judged.update(one.indices)
            finding = _judged(one, scale, expectation, matching, heard)
            if finding is not None:
                findings.append(finding)
    return LostWords(tuple(findings), frozenset(judged), frozenset(strangers))


def _heard(
    expectation: Expectation, matching: Matching, rate_hz: int, pace_wpm: Fraction
) -> list[_Said]:
    """Return what was heard of known voices, apart from what runs together and should not."""
    sounds = expectation.sounds
    elements = [sound.element for sound in sounds]
    where = [i for i, element in enumerate(elements) if isinstance(element, Utterance)]
    rows = estimates([e for e in elements if isinstance(e, Utterance)], pace_wpm)
    of_sound = dict(zip(where, rows, strict=True))
    groups: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, span in enumerate(matching.heard):
        if span is not None:
            groups[span].append(i)
    found = []
    for span, members in groups.items():
        known = [of_sound.get(i) for i in members]
        is_one = members == list(range(members[0], members[-1] + 1))
        is_run_together = any(matching.silences[i].state == "gone" for i in members[1:])
        if None in known or not is_one or is_run_together:
            continue
        own = [one for one in known if one is not None]
        between_s = sum(float(matching.silences[i].wait_s) for i in members[1:])
        said = [e for i in members if isinstance(e := elements[i], Utterance)]
        found.append(
            _Said(
                tuple(members),
                said[0].speech.voice,
                sum(one.seconds for one in own) + between_s,
                sum(one.syllables for one in own),
                span,
                (span[1] - span[0]) / rate_hz,
                sum(one.n_unknown_words for one in own),
                tuple((e.spoken, e.speech) for e in said),
            )
        )
    return found


def _scale(said: Sequence[_Said]) -> float | None:
    """Return by how much (natural logarithm) the file runs slower than the voice's pace.

    None if it is not this voice: lengths stray too much, or all are far off. Equal utterances
    count once.
    """
    all_logs = {
        one.key: (math.log(one.measured_s / one.likely_s), one.likely_s) for one in said
    }.values()
    logs = [log for log, likely_s in all_logs if likely_s >= SPREAD_FROM_S]
    if len(logs) < FEWEST_FOR_A_SPREAD:
        # too few for a scale of their own, but enough to see another voice
        middle = median(log for log, _ in all_logs)
        return 0.0 if len(all_logs) < FEWEST_FOR_A_MIDDLE or abs(middle) <= MOST_OFF_PACE else None
    middle = median(logs)
    spread = 1.4826 * median(x - middle for x in logs if x >= middle)
    if spread > SPREAD_OF_A_STRANGER or abs(middle) > MOST_OFF_PACE:
        return None
    return middle


def _judged(
    one: _Said, scale: float, expectation: Expectation, matching: Matching, heard: Heard
) -> Finding | None:
    likely_s = one.likely_s * math.exp(scale)
    stray_s = UNKNOWN_WORD_S * one.n_unknown_words + max(
        SOFT_EDGES_S, float(matching.tolerance.hidden_s)
    )
    least_s = min(DOUBTED_SHORT_SHARE * likely_s, likely_s - SHORT_S - stray_s)
    most_s = max(LONG_SHARE * likely_s, likely_s + LONG_S + stray_s)
    doubted_s = max(DOUBTED_LONG_SHARE * likely_s, likely_s + DOUBTED_LONG_S + stray_s)
    if least_s <= one.measured_s <= doubted_s:
        return None
    is_short = one.measured_s < least_s
    if is_short and _share(one, likely_s, heard) >= SHORT_SHARE:
        return None
    sound = expectation.sounds[one.indices[0]]
    is_sure = is_short or one.measured_s > most_s
    if is_short:
        limit_s, how = least_s, "too short for its words: some of them may be missing"
    elif is_sure:
        limit_s, how = most_s, "too long for its words: more may be said than the script has"
    else:
        limit_s = doubted_s
        how = "surprisingly long for its words: the voice may read something in another way"
    return Finding(
        "length-impossible" if is_sure else "length-unlikely",
        "error" if is_sure else "warning",
        f"{role_name(sound)}{where_of(sound)} is {how}",
        LISTEN,
        at_s=Fraction(one.span[0], heard.track_format.rate_hz),
        question=sound.question,
        place=sound.place,
        expected=round(likely_s, 3),
        measured=round(one.measured_s, 3),
        difference=round(one.measured_s - likely_s, 3),
        allowed=round(abs(limit_s - likely_s), 3),
        unit="s",
    )


def _share(one: _Said, likely_s: float, heard: Heard) -> float:
    """Return which share of an utterance is there, by its length and by its syllables."""
    speech_dbfs = heard.speech.active_dbfs if heard.speech else 0.0
    wave = heard.kept.read(*one.span)
    n = nuclei(wave[:, 0], heard.track_format.rate_hz, speech_dbfs)
    of_length = one.measured_s / likely_s
    of_count = (n + 0.5) / (max(one.likely_syllables, 0.5) + 0.5)
    return float(of_length**LENGTH_WEIGHT * of_count ** (1 - LENGTH_WEIGHT))
