"""Is all of each utterance there? Its length against what its voice needs for just these words.

Of a bundled voice the check knows how long it takes for every sound (`expect.voice_lengths`); what
is left is a few hundredths. A track that strays further is somebody else's reading, and is judged
by `likeness` as any stranger's: against the rest of the file. Where it strays only a little
further, what lies far outside of that lost words all the same.
"""

from __future__ import annotations

import math
from collections import defaultdict
from fractions import Fraction
from statistics import fmean, median
from typing import TYPE_CHECKING, Final

from pausewright.checker.expect.voice_lengths import estimates
from pausewright.checker.judge.nuclei import nuclei
from pausewright.checker.limits.words import (
    AS_LONG_IN_NOISE_S,
    AS_LONG_S,
    DOUBTED_LONG_S,
    DOUBTED_LONG_SHARE,
    DOUBTED_SHORT_SHARE,
    FEWEST_FOR_A_MIDDLE,
    FEWEST_FOR_A_SPREAD,
    LENGTH_WEIGHT,
    LONG_S,
    LONG_SHARE,
    MORE_WORDS_FROM,
    MOST_OFF_PACE,
    MOST_WITH_MORE_WORDS,
    SHORT_S,
    SHORT_SPREADS,
    SHORTENED_SHARE,
    SOFT_EDGES_S,
    SPREAD_BEYOND_ALL,
    SPREAD_FROM_S,
    SPREAD_OF_A_STRANGER,
    SPREAD_OF_OTHERS,
    SPREADS,
    SPREADS_OF_STRANGERS,
)
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.checker.result.naming import role_name, where_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.expect.voice_lengths import Estimate
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching


@frozen
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
    stray_s: float
    """By what its length may stray beyond the limits, as `Estimate` has it."""
    quicker_s: float
    """What an honest reading of it may be shorter."""
    key: object

    @property
    def log(self) -> float:
        """Natural logarithm of measured to likely length."""
        return math.log(self.measured_s / self.likely_s)


@frozen
class LostWords:
    """What lengths tell of the bundled voices."""

    findings: tuple[Finding, ...]
    judged: frozenset[int]
    """Indices of the expected sounds that were judged by their voice's own lengths."""
    shortened: frozenset[int]
    """Those that are on the short side for their voice, so that the ear listens for lost words."""
    strangers: frozenset[str]
    """Voices that are declared but stray further than they do: somebody else may speak."""


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
    shortened: set[int] = set()
    strangers: set[str] = set()
    for voice, pace in _paces(voices, in_noise=matching.tolerance.in_noise).items():
        if pace is None or not pace.is_own:
            strangers.add(voice)
        if pace is None:
            continue
        for one in voices[voice]:
            if one.measured_s < SHORTENED_SHARE * one.likely_s * math.exp(pace.scale):
                shortened.update(one.indices)
            finding = _judged(one, pace, expectation, matching, heard)
            is_sure = finding is not None and finding.severity == "error"
            # what is doubted of others is judged by the rest of the file
            if pace.is_own or is_sure:
                judged.update(one.indices)
                if finding is not None:
                    findings.append(finding)
    return LostWords(tuple(findings), frozenset(judged), frozenset(shortened), frozenset(strangers))


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
                sum(one.stray_s for one in own),
                quicker_s(own, n_pauses=sum(len(matching.parts[i]) - 1 for i in members)),
                tuple((e.spoken, e.speech) for e in said),
            )
        )
    return found


def quicker_s(said: Sequence[Estimate], *, n_pauses: int) -> float:
    """Return what an honest reading may be shorter: a mark that is run over, words run together."""
    reduced_s = sum(one.reduced_s for one in said)
    if n_pauses >= sum(one.n_marks for one in said):
        return reduced_s
    return reduced_s + max(one.run_over_s for one in said)


@frozen
class _Pace:
    """How a voice speaks in this file."""

    scale: float
    """By how much it runs slower than its pace, as a natural logarithm."""
    spread: float
    """How its lengths stray, as in `SPREADS`."""
    is_own: bool = True
    """Whether they stray no more than this voice's; else they may be somebody else's."""


def _paces(voices: Mapping[str, Sequence[_Said]], *, in_noise: bool) -> dict[str, _Pace | None]:
    """Return how each voice speaks in this file.

    None if it is not this voice that speaks: the same words are not as long again, lengths stray
    far too much, or all are far off. Where they stray a little too much, what they stray by is the
    measure of them. A voice that says too little to tell is taken for itself if the others of the
    file are. The middle of few utterances says little: it counts the less for it.
    """
    found: dict[str, _Pace | None] = {}
    few: dict[str, float] = {}
    for voice, said in voices.items():
        # equal utterances count once
        pairs = {one.key: (one.log, one.likely_s) for one in said}.values()
        if len(pairs) < FEWEST_FOR_A_MIDDLE:
            few[voice] = median(log for log, _ in pairs)
        else:
            found[voice] = (
                _pace(voice, list(pairs)) if _are_copies(said, in_noise=in_noise) else None
            )
    is_known = all(pace is not None and pace.is_own for pace in found.values())
    for voice, middle in few.items():
        is_itself = is_known if found else abs(middle) <= MOST_OFF_PACE
        found[voice] = _own_pace(voice, 0.0) if is_itself else None
    return found


def _own_pace(voice: str, scale: float) -> _Pace:
    return _Pace(scale, SPREADS.get(voice, SPREAD_OF_OTHERS))


def _pace(voice: str, pairs: Sequence[tuple[float, float]]) -> _Pace | None:
    logs = [log for log, likely_s in pairs if likely_s >= SPREAD_FROM_S]
    if len(logs) < FEWEST_FOR_A_SPREAD:
        # too few for a scale of their own, but enough to see another voice
        is_near = abs(median(log for log, _ in pairs)) <= MOST_OFF_PACE
        return _own_pace(voice, 0.0) if is_near else None
    middle = median(logs)
    longer = [x - middle for x in logs if x >= middle]
    near = [x for x in longer if x <= MORE_WORDS_FROM]
    if abs(middle) > MOST_OFF_PACE:
        return None
    scale = middle * len(logs) / (len(logs) + FEWEST_FOR_A_SPREAD)
    most = SPREADS_OF_STRANGERS.get(voice, SPREAD_OF_A_STRANGER)
    has_few_long = len(longer) - len(near) <= MOST_WITH_MORE_WORDS * len(logs)
    if _spread(longer) <= most or (has_few_long and _spread(near) <= most):
        return _own_pace(voice, scale)
    if _spread(longer) > SPREAD_BEYOND_ALL:
        return None
    return _Pace(scale, max(_spread(longer), SPREAD_OF_OTHERS), is_own=False)


def _spread(off: Sequence[float]) -> float:
    return math.sqrt(fmean(x**2 for x in off))


def _are_copies(said: Sequence[_Said], *, in_noise: bool) -> bool:
    """Return whether what is said again in the same words is mostly as long as before.

    One that is not may be what lost words: it makes no stranger of the voice.
    """
    most_s = AS_LONG_IN_NOISE_S if in_noise else AS_LONG_S
    first: dict[object, float] = {}
    n_pairs = n_alike = 0
    for one in said:
        if one.key in first:
            n_pairs += 1
            n_alike += abs(one.measured_s - first[one.key]) <= most_s
        first.setdefault(one.key, one.measured_s)
    return n_pairs - n_alike <= 1 or 2 * n_alike >= n_pairs


@frozen
class Verdict:
    """What is wrong with the length of an utterance."""

    how: str
    """As the end of a sentence."""
    is_sure: bool
    limit_s: float
    """The length from which it would have been right."""


_LOST: Final = "too short for its words: some of them may be missing"
_MORE: Final = "too long for its words: more may be said than the script has"
_ODD: Final = "surprisingly long for its words: the voice may read something in another way"


def judged_length(
    measured_s: float,
    likely_s: float,
    likely_syllables: float,
    count: Callable[[], int],
    stray_s: float = SOFT_EDGES_S,
    quicker_s: float = 0.0,
    spread: float = SPREAD_OF_OTHERS,
) -> Verdict | None:
    """Return what is wrong with an utterance by its length and syllables; None for nothing.

    Parameters
    ----------
    measured_s : from its first to its last audible sample
    likely_s, likely_syllables : what its voice needs, and what should be heard
    count : returns the syllables heard in it; only asked where it is short
    stray_s : by what its length may stray beyond the limits
    quicker_s : what it may be shorter because the voice ran over a mark or ran words together
    spread : how the voice strays from its lengths, as in `SPREADS`
    """
    least_likely_s = likely_s - quicker_s
    least_s = min(DOUBTED_SHORT_SHARE * least_likely_s, least_likely_s - SHORT_S - stray_s)
    most_s = max(LONG_SHARE * likely_s, likely_s + LONG_S + stray_s)
    doubted_s = max(DOUBTED_LONG_SHARE * likely_s, likely_s + DOUBTED_LONG_S + stray_s)
    if measured_s < least_s:
        # more syllables than the words have are miscounted ones, and excuse nothing
        of_count = min(1.0, (count() + 0.5) / (max(likely_syllables, 0.5) + 0.5))
        least_share = math.exp(-SHORT_SPREADS * spread)
        of_both = (measured_s / least_likely_s) ** LENGTH_WEIGHT * of_count ** (1 - LENGTH_WEIGHT)
        return Verdict(_LOST, is_sure=True, limit_s=least_s) if of_both < least_share else None
    if measured_s > most_s:
        return Verdict(_MORE, is_sure=True, limit_s=most_s)
    if measured_s > doubted_s:
        return Verdict(_ODD, is_sure=False, limit_s=doubted_s)
    return None


def _judged(
    one: _Said, pace: _Pace, expectation: Expectation, matching: Matching, heard: Heard
) -> Finding | None:
    def count() -> int:
        speech_dbfs = heard.speech.active_dbfs if heard.speech else 0.0
        wave = heard.kept.read(*one.span)
        return nuclei(wave[:, 0], heard.track_format.rate_hz, speech_dbfs)

    likely_s = one.likely_s * math.exp(pace.scale)
    stray_s = one.stray_s + max(SOFT_EDGES_S, float(matching.tolerance.hidden_s))
    verdict = judged_length(
        one.measured_s, likely_s, one.likely_syllables, count, stray_s, one.quicker_s, pace.spread
    )
    if verdict is None:
        return None
    sound = expectation.sounds[one.indices[0]]
    return Finding(
        "length-impossible" if verdict.is_sure else "length-unlikely",
        "error" if verdict.is_sure else "warning",
        f"{role_name(sound)}{where_of(sound)} is {verdict.how}",
        LISTEN,
        at_s=Fraction(one.span[0], heard.track_format.rate_hz),
        question=sound.question,
        place=sound.place,
        expected=round(likely_s, 3),
        measured=round(one.measured_s, 3),
        difference=round(one.measured_s - likely_s, 3),
        allowed=round(abs(verdict.limit_s - likely_s), 3),
        unit="s",
    )
