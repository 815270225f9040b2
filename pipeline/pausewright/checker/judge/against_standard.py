"""A version against the standard track: nothing but what was declared may differ.

Sounds of both tracks that say the same at the same place are laid side by side. At the standard
pace they must be the same recording; at another pace their lengths must be in the declared ratio.
Silences between them that the arrangement does not touch must be as long.
"""

from __future__ import annotations

import math
from difflib import SequenceMatcher
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.checker.expect.expect import expect
from pausewright.checker.judge.arrangement_effects import expected_of
from pausewright.checker.limits.times import (
    PACE_OF_ONE,
    PACE_OF_ONE_S,
    PACE_OVER_ALL,
    STANDARD_ALIKE,
    STANDARD_LENGTH_S,
    STANDARD_SILENCE_S,
)
from pausewright.checker.listen.filters import transform_length
from pausewright.checker.listen.listen import listen
from pausewright.checker.match.matched_track import has_recordings, match_track
from pausewright.checker.result.findings import BUILD, Finding
from pausewright.checker.result.naming import role_name, where_of
from pausewright.checker.result.proofs import Comparison
from pausewright.frozen import frozen
from pausewright.problems import TrackError
from pausewright.script.silences import silence_name
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.expect.extra_time import Granted
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.checker.files.decoded_track import Kept
    from pausewright.checker.match.match import Matching
    from pausewright.checker.match.measured import Frames

_LAG_S: Final = 0.02
_LONGEST_S: Final = 4
"""Seconds of a sound that are compared at most."""


@frozen
class MeasuredTrack:
    """A track laid beside its expectation."""

    name: str
    """File name."""
    kept: Kept
    expectation: Expectation
    matching: Matching
    is_exact: bool

    @property
    def rate_hz(self) -> int:
        """Frames a second."""
        return self.kept.rate_hz

    def length_s(self, i: int) -> Fraction | None:
        """Return how long expected sound `i` is on the file; None where it is not heard alone."""
        span = self.matching.heard[i]
        if span is None or not self.matching.alone[i]:
            return None
        return Fraction(span[1] - span[0], self.rate_hz)

    def silence_s(self, i: int) -> Fraction | None:
        """Return how long expected silence `i` is on the file; None where it was not measured."""
        n_frames = self.matching.silences[i].n_frames
        return None if n_frames is None else Fraction(n_frames, self.rate_hz)


def measured_track(track: Path, worded: WordedScript) -> MeasuredTrack:
    """Listen to a track and lay it beside its expectation.

    Raises
    ------
    TrackError
        If it cannot be read or holds no sound.
    """
    expectation = expected_of(expect(worded), worded).expectation
    heard = listen(track, has_recordings=has_recordings(expectation))
    if not heard.stretches:
        raise TrackError(f"nothing is heard on ‘{track.name}’", "name the standard track")
    heard, matching, _, _ = match_track(heard, expectation)
    is_exact = heard.track_format.is_exact
    return MeasuredTrack(track.name, heard.kept, expectation, matching, is_exact)


def beside_standard(
    own: MeasuredTrack,
    entitled: Granted,
    worded: WordedScript,
    standard: MeasuredTrack | None,
    on_measured: Callable[[MeasuredTrack], None] | None,
    known: Comparison | None,
) -> tuple[list[Finding], Comparison | None]:
    """Give `on_measured` the track; return what differs from the standard one undeclared.

    `known` is a comparison that was made already: then there is no other.
    """
    if on_measured is not None:
        on_measured(own)
    return ([], known) if standard is None or known else compared(own, entitled, worded, standard)


def compared(
    version: MeasuredTrack, granted: Granted, worded: WordedScript, standard: MeasuredTrack
) -> tuple[list[Finding], Comparison]:
    """Return what differs from the standard track without being declared, and the summary."""
    return _Comparer(version, granted, worded, standard).compared()


class _Comparer:
    def __init__(
        self,
        version: MeasuredTrack,
        granted: Granted,
        worded: WordedScript,
        standard: MeasuredTrack,
    ) -> None:
        self._version = version
        self._standard = standard
        arrangement = worded.arrangement if isinstance(worded, ArrangementWords) else None
        self._pace = arrangement.arranged_pace if arrangement else Fraction(1)
        self._keeps_voice = arrangement is None or arrangement.voice is None
        self._has_look_times = arrangement is not None and arrangement.look_time is not None
        self._has_pauses = arrangement is not None and arrangement.pauses is not None
        self._touched = {one.index for one in granted.longer}
        self._partners = _partners(version.expectation.sounds, standard.expectation.sounds)
        keeps_loudness = arrangement is None or arrangement.loudness is None
        self._is_exact = version.is_exact and standard.is_exact and keeps_loudness

    def compared(self) -> tuple[list[Finding], Comparison]:
        findings = list(self._lengths())
        ratios = self._ratios()
        over_all = self._over_all(ratios)
        if over_all is not None and abs(over_all / self._pace - 1) > PACE_OVER_ALL:
            findings.append(
                Finding(
                    "pace-differs", "error",
                    "the speech over all is not at the declared share of the standard pace", BUILD,
                    expected=float(self._pace), measured=round(float(over_all), 4),
                    allowed=float(PACE_OVER_ALL),
                )
            )  # fmt: skip
        n_same = 0
        if self._pace == 1 and self._keeps_voice:
            for i, is_same in self._same_recordings():
                n_same += is_same
                if not is_same:
                    findings.append(self._finding(i, "standard-sound-differs", "is another sound"))
        untouched = list(self._untouched())
        findings += [finding for finding in untouched if finding is not None]
        own = [one for one, _, _ in ratios]
        comparison = Comparison(
            self._standard.name, len(self._version.expectation.sounds), len(self._partners),
            n_same, untouched.count(None), self._pace, over_all,
            (min(own), max(own)) if own else None, self._keeps_voice,
        )  # fmt: skip
        return findings, comparison

    # ---- lengths and pace

    def _spoken(self, i: int) -> bool:
        element = self._version.expectation.sounds[i].element
        return isinstance(element, Utterance | Excerpt)

    def _ratios(self) -> list[tuple[Fraction, Fraction, Fraction]]:
        """Return pace, own length and standard length of each spoken partner."""
        found = []
        for i, k in self._partners:
            own_s, like_s = self._version.length_s(i), self._standard.length_s(k)
            if own_s and like_s and self._spoken(i) and self._keeps_voice:
                found.append((like_s / own_s, own_s, like_s))
        return found

    @staticmethod
    def _over_all(ratios: Sequence[tuple[Fraction, Fraction, Fraction]]) -> Fraction | None:
        own_s = sum((own for _, own, _ in ratios), Fraction(0))
        return sum((like for _, _, like in ratios), Fraction(0)) / own_s if own_s else None

    def _lengths(self) -> Iterator[Finding]:
        for i, k in self._partners:
            own_s, like_s = self._version.length_s(i), self._standard.length_s(k)
            if own_s is None or like_s is None or not self._keeps_voice:
                continue
            pace = self._pace if self._spoken(i) else Fraction(1)
            wanted_s = like_s / pace
            allowed_s = STANDARD_LENGTH_S[self._is_exact]
            if pace != 1:
                allowed_s = max(PACE_OF_ONE * wanted_s, PACE_OF_ONE_S)
            if abs(own_s - wanted_s) > allowed_s:
                code = "pace-differs" if pace != 1 else "standard-sound-differs"
                what = "is not at the declared pace" if pace != 1 else "is of another length"
                yield self._finding(i, code, what, (wanted_s, own_s, allowed_s))

    def _finding(
        self,
        i: int,
        code: str,
        what: str,
        numbers: tuple[Fraction, Fraction, Fraction] | None = None,
    ) -> Finding:
        sound = self._version.expectation.sounds[i]
        span = self._version.matching.heard[i]
        wanted, measured, allowed = numbers or (None, None, None)
        return Finding(
            code, "error",
            f"{role_name(sound)}{where_of(sound)} {what} than on the standard track"
            if code != "pace-differs" else f"{role_name(sound)}{where_of(sound)} {what}",
            BUILD,
            at_s=Fraction(span[0], self._version.rate_hz) if span else None,
            question=sound.question, place=sound.place, expected=wanted, measured=measured,
            difference=None if wanted is None or measured is None else measured - wanted,
            allowed=allowed, unit="s" if numbers else "",
        )  # fmt: skip

    # ---- silences

    def _untouched(self) -> Iterator[Finding | None]:
        """Give a finding, or None where it is the same, for each untouched silence."""
        partner_of = dict(self._partners)
        silences = self._version.expectation.silences
        for i, silence in enumerate(silences[:-1]):
            k = partner_of.get(i)
            is_first = i == 0 and k == 0
            follows = i > 0 and k is not None and k > 0 and partner_of.get(i - 1) == k - 1
            if i in self._touched or k is None or not (is_first or follows):
                continue
            if silence.kind == "look-time" and self._has_look_times:
                continue
            if silence.kind == "pause" and self._has_pauses:
                continue
            own_s, like_s = self._version.silence_s(i), self._standard.silence_s(k)
            if own_s is None or like_s is None:
                continue
            allowed_s = STANDARD_SILENCE_S[self._is_exact] * (1 if self._pace == 1 else 4)
            if abs(own_s - like_s) <= allowed_s:
                yield None
                continue
            at_frame = self._version.matching.silences[i].at_frame
            yield Finding(
                "standard-silence-differs", "error",
                f"the {silence_name(silence.kind)}{where_of(silence)} is not as on the standard "
                "track, and no change of it is declared", BUILD,
                at_s=None if at_frame is None else Fraction(at_frame, self._version.rate_hz),
                question=silence.question, place=silence.place, expected=like_s, measured=own_s,
                difference=own_s - like_s, allowed=allowed_s, unit="s",
            )  # fmt: skip

    # ---- the same recording

    def _same_recordings(self) -> Iterator[tuple[int, bool]]:
        """Give for each partner, in order, whether both are one recording."""
        rate_hz = self._version.rate_hz
        if rate_hz != self._standard.rate_hz:
            return
        for i, k in self._partners:
            mine, theirs = self._version.matching.heard[i], self._standard.matching.heard[k]
            if mine is None or theirs is None:
                continue
            a, b = _beginning(self._version, mine), _beginning(self._standard, theirs)
            alike = STANDARD_ALIKE[self._is_exact]
            yield i, _likeness(a, b, int(_LAG_S * rate_hz), alike) >= alike


def _beginning(track: MeasuredTrack, span: Frames) -> NDArray[np.float32]:
    """Return one channel of a stretch, of its first seconds if it is long."""
    end = min(span[1], span[0] + _LONGEST_S * track.rate_hz)
    return track.kept.read(span[0], end)[:, 0]


def _partners(
    sounds: Sequence[ExpectedSound], standard: Sequence[ExpectedSound]
) -> list[tuple[int, int]]:
    """Return pairs of indices of sounds that say the same at the same place, in order."""
    one = [_key(sound) for sound in sounds]
    other = [_key(sound) for sound in standard]
    found: list[tuple[int, int]] = []
    for a, b, n in SequenceMatcher(None, one, other, autojunk=False).get_matching_blocks():
        found += [(a + step, b + step) for step in range(n)]
    return found


def _key(sound: ExpectedSound) -> tuple[object, ...]:
    element = sound.element
    if isinstance(element, Utterance):
        words: object = (element.words, element.speech.take, element.speech.language)
    elif isinstance(element, ToneCue):
        words = element.spec
    else:
        words = (element.sound.path, element.sound.from_s, element.sound.to_s)
    return sound.role, sound.question, sound.reading, words


def _likeness(
    a: NDArray[np.float32], b: NDArray[np.float32], most_lag: int, enough: float
) -> float:
    """Return the greatest correlation of two stretches that may be shifted by a few samples.

    One that is `enough` without a shift, as most are, is returned at once.
    """
    n = min(len(a), len(b))
    size = math.sqrt(float(np.dot(a[:n], a[:n])) * float(np.dot(b[:n], b[:n])))
    if size == 0:
        return 0.0
    unshifted = float(np.dot(a[:n], b[:n])) / size
    if unshifted >= enough:
        return unshifted
    n_fft = transform_length(n + most_lag)  # no lag so small is mixed with another
    together = np.fft.irfft(np.fft.rfft(a[:n], n_fft) * np.fft.rfft(b[:n], n_fft).conj(), n_fft)
    near = np.concatenate([together[: most_lag + 1], together[-most_lag:]])
    return float(near.max()) / size
