"""A version of a recording laid beside its expectation and beside the recording."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.expect.expect import expect
from pausewright.checker.expect.lengths import RateModel
from pausewright.checker.files.decode import files_of
from pausewright.checker.match.match import Matching, Tolerance
from pausewright.checker.match.measured import MeasuredSilence
from pausewright.checker.original.exact_samples import KeptSamples, samples_of
from pausewright.checker.original.gap_targets import GapTargets, is_slowed
from pausewright.checker.original.locating import located, located_slowed
from pausewright.checker.original.own_sounds import own_sounds
from pausewright.checker.original.same_as_recorded import SameAsRecorded
from pausewright.checker.original.stretches import Original
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.expect.extra_time import Granted
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.checker.files.decode import Track
    from pausewright.checker.judge.judge import Judge
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.exact_samples import ExactSamples
    from pausewright.checker.result.findings import Finding
    from pausewright.checker.result.proofs import Comparison
    from pausewright.script.declared import Given, Settings
    from pausewright.script.model import Sound


@frozen
class AgainstOriginal:
    """What came of laying a track beside its recording."""

    matching: Matching
    """Its silences are expected as long as the recording's own, times what is declared."""
    findings: list[Finding]
    cautions: list[str]
    comparison: Comparison | None = None


def match_original(
    track: Track,
    heard: Heard,
    given: Given,
    granted: Granted,
    standard: WordedScript,
    *,
    keeps_level: bool,
) -> AgainstOriginal:
    """Find where on a track each stretch of its recording is, and compare.

    Parameters
    ----------
    granted : what the version must hold
    standard : the script of the standard track, which is the recording itself, with its words
    keeps_level : whether the version is as loud as the recording: then samples must be equal

    Raises
    ------
    TrackError
        If the recording cannot be read.
    """
    expected = expect(standard)
    recording = samples_of(given.file, given.folder)
    files = files_of(track)
    own: ExactSamples | KeptSamples = KeptSamples(heard.kept)
    if len(files) == 1 and heard.track_format.is_exact and heard.track_format.container != "M4A":
        own = samples_of(files[0])
    try:
        original = Original(recording, _sounds_of(expected))
        return _Match(own, original, expected, granted).result(
            given.file.name, keeps_level=keeps_level
        )
    finally:
        recording.close()
        own.close()


def _sounds_of(expected: Expectation) -> list[Sound]:
    return [one.element.sound for one in expected.sounds if isinstance(one.element, Excerpt)]


class _Match:
    def __init__(
        self,
        track: ExactSamples | KeptSamples,
        original: Original,
        standard: Expectation,
        granted: Granted,
    ) -> None:
        self._track = track
        self._original = original
        self._expected = granted.expectation
        self._targets = GapTargets(standard, original).targets(granted)
        self._spans: list[Frames | None] = [None] * len(self._expected.sounds)

    def result(self, name: str, *, keeps_level: bool) -> AgainstOriginal:
        same = SameAsRecorded(
            self._track,
            self._original,
            self._expected,
            self._targets,
            keeps_level=keeps_level,
        )
        findings = same.format_findings(name)
        if self._track.rate_hz != self._original.rate_hz:
            return AgainstOriginal(self._matching(), findings, [])
        self._locate()
        self._find_own()
        findings += same.findings(self._spans)
        paces = [
            one.element.sound.arranged_pace
            for one in self._expected.sounds
            if isinstance(one.element, Excerpt) and is_slowed(one)
        ]
        comparison = same.comparison(name, self._spans, paces[0] if paces else Fraction(1))
        return AgainstOriginal(self._matching(), findings, [same.caution(name)], comparison)

    # ---- where

    def _locate(self) -> None:
        """Find the stretches of the recording, one after another."""
        at = least = 0
        for i, sound in enumerate(self._expected.sounds):
            predicted = at + round(self._targets[i].wait_s * self._track.rate_hz)
            element = sound.element
            if not isinstance(element, Excerpt):
                at = predicted + round(_about_s(sound) * self._track.rate_hz)
                continue
            stretch = self._original.stretch(element.sound)
            n = stretch.end - stretch.start
            if is_slowed(sound):
                ratio = float(1 / element.sound.arranged_pace)
                self._spans[i] = located_slowed(
                    *(self._track, self._original, stretch, predicted), least=least, ratio=ratio
                )
                n = round(n * ratio)
            else:
                start = located(self._track, self._original, stretch, predicted, least)
                if start is not None:
                    self._spans[i] = start, start + n
            span = self._spans[i]
            at = predicted + n if span is None else span[1]
            least = least if span is None else span[1]

    def _find_own(self) -> None:
        """Find what is no part of the recording, between the stretches that were found."""
        sounds = self._expected.sounds
        i = 0
        while i < len(sounds):
            if isinstance(sounds[i].element, Excerpt):
                i += 1
                continue
            last = i
            while last + 1 < len(sounds) and not isinstance(sounds[last + 1].element, Excerpt):
                last += 1
            self._find_between(i, last)
            i = last + 1

    def _find_between(self, first: int, last: int) -> None:
        before = self._spans[first - 1] if first else None
        after = self._spans[last + 1] if last + 1 < len(self._spans) else None
        if (first and before is None) or (last + 1 < len(self._spans) and after is None):
            return
        margin = self._track.rate_hz // 20
        start = before[1] + margin if before else 0
        end = after[0] - margin if after else self._track.n_frames
        waits_s = [float(self._targets[k].wait_s) for k in range(first + 1, last + 1)]
        found = own_sounds(self._track, start, end, self._threshold_db(first), waits_s)
        if found is not None:
            self._spans[first : last + 1] = found

    def _threshold_db(self, i: int) -> float:
        """Return what is louder than the room around an expected sound."""
        for k in (*range(i - 1, -1, -1), *range(i + 1, len(self._expected.sounds))):
            element = self._expected.sounds[k].element
            if isinstance(element, Excerpt):
                return self._original.stretch(element.sound).threshold_db
        return self._original.speech_db - 40

    # ---- as others take it

    def _matching(self) -> Matching:
        spans = self._spans
        return Matching(
            tuple(spans),
            tuple(span is not None for span in spans),
            tuple(() if span is None else (span,) for span in spans),
            tuple(self._silences()),
            (),
            RateModel(),
            Tolerance(),
            {},
        )

    def _silences(self) -> list[MeasuredSilence]:
        found = []
        for i, (silence, target) in enumerate(
            zip(self._expected.silences, self._targets, strict=True)
        ):
            one = MeasuredSilence(silence, target.wait_s, target.tolerance_s)
            start = self._spans[i - 1] if i else (0, 0)
            end = self._spans[i] if i < len(self._spans) else (self._track.n_frames,) * 2
            if start is not None and end is not None:
                n = end[0] - start[1]
                one = replace(
                    one,
                    at_frame=start[1],
                    n_frames=max(0, n),
                    state="measured" if n > 0 else "gone",
                )
            found.append(one)
        return found


def _about_s(sound: ExpectedSound) -> Fraction:
    """Return about how long a sound is that is no part of the recording."""
    spec = getattr(sound.element, "spec", None)
    return spec.tone_s if spec is not None else Fraction(1)


def as_declared(matching: Matching) -> Matching:
    """Return silences as if each were expected as declared: for what asks where sounds begin."""
    return replace(
        matching,
        silences=tuple(replace(one, wait_s=one.expected.wait_s) for one in matching.silences),
    )


def judged_recording(judge: Judge) -> list[Finding]:
    """Return what a judge finds, but for readings that differ: they are takes of their own."""
    return [one for one in judge.findings() if one.code != "readings-differ"]


def rights_of(settings: Settings) -> list[str]:
    """Return the line about whose recording it is, as its author has it; nothing is judged."""
    rights = settings.recording_rights
    return [f"Rights in the recording, as stated: {rights}"] if rights else []
