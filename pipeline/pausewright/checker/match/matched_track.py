"""A track that was heard, laid beside what it must hold."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from pausewright.checker.expect.recorded_sounds import recorded_sounds
from pausewright.checker.limits.coders import coder_of
from pausewright.checker.limits.times import IN_NOISE_S, TOLERANCE_S
from pausewright.checker.listen.listen import Heard, listen_by_speech
from pausewright.checker.match.match import Matching, Tolerance, match
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation


class MatchedTrack(NamedTuple):
    """What was heard and which sound is which."""

    heard: Heard
    """Anew with the level of the speech, where the track also has sounds as recorded."""
    matching: Matching
    n_unknown: int
    """Recorded sounds that could not be read."""
    speech: Sequence[tuple[int, int]]
    """Half-open ranges of frames that are speech, if there are sounds as recorded; else empty."""


def has_recordings(expectation: Expectation) -> bool:
    """Return whether a track must hold music or effects as recorded, or parts of them."""
    return any(isinstance(sound.element, Excerpt) for sound in expectation.sounds)


def match_track(heard: Heard, expectation: Expectation) -> MatchedTrack:
    """Find which sound of a track is which.

    With sounds as recorded, whose level is another, speech is found first and the track listened
    to again by its level.
    """
    recorded, n_unknown = recorded_sounds(expectation, heard.hidden_below)
    rate_hz = heard.track_format.rate_hz
    tolerance = silence_tolerance(heard)
    matching = match(expectation, heard.stretches, rate_hz, heard.n_frames, recorded, tolerance)
    speech = _speech_beside_recordings(expectation, matching)
    if speech:
        heard = listen_by_speech(heard, speech)
        recorded, _ = recorded_sounds(expectation, heard.hidden_below)
        tolerance = silence_tolerance(heard)
        matching = match(expectation, heard.stretches, rate_hz, heard.n_frames, recorded, tolerance)
    return MatchedTrack(heard, matching, n_unknown, speech)


def _speech_beside_recordings(
    expectation: Expectation, matching: Matching
) -> list[tuple[int, int]]:
    """Return where speech was found, if the script also has sounds as recorded; else nothing."""
    elements = [sound.element for sound in expectation.sounds]
    if not any(isinstance(p, Excerpt) and p.sound.level == "as recorded" for p in elements):
        return []
    return sorted(
        span
        for element, span in zip(elements, matching.heard, strict=True)
        if isinstance(element, Utterance) and span is not None
    )


def silence_tolerance(heard: Heard) -> Tolerance:
    """Return what silences may differ by on this track, by its noise and its format."""
    if not heard.noises:
        coder = coder_of(heard.track_format.container)
        return Tolerance(longer_s=coder.soft_ends_s, shorter_s=coder.early_starts_s)
    return Tolerance(max(TOLERANCE_S, IN_NOISE_S), in_noise=True)
