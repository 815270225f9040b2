"""How long what is heard lasts before anything is voiced: known, read from a file, estimated."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.plan.timeline import Say, Wait
from pausewright.problems import SoundError
from pausewright.wording.line_elements import Excerpt, ToneCue

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.plan.timeline import Step
    from pausewright.script.declared import Settings
    from pausewright.script.model import Sound
    from pausewright.wording.line_elements import Utterance


def step_s(
    step: Step, settings: Settings, kept_s: Callable[[Utterance], Fraction | None]
) -> tuple[Fraction, bool]:
    """Return how long a step lasts in seconds, and whether that is known.

    `kept_s` gives the length of an utterance that was voiced before, in seconds, or None.
    """
    if isinstance(step, Wait):
        return step.wait_s, True
    if not isinstance(step, Say):
        return Fraction(0), True
    element = step.element
    if isinstance(element, ToneCue):
        return element.spec.tone_s, True
    if isinstance(element, Excerpt):
        return excerpt_s(element.sound)
    return speech_s(settings, element, kept_s(element))


def speech_s(
    settings: Settings, element: Utterance, known_s: Fraction | None
) -> tuple[Fraction, bool]:
    """Return how long words are, and whether that is known and no estimate by their number."""
    if known_s is not None:
        return known_s, True
    pace = settings.pace_wpm * element.speech.pace * element.speech.arranged_pace
    return Fraction(len(element.words.split())) * 60 / pace, False


def excerpt_s(sound: Sound) -> tuple[Fraction, bool]:
    """Return how long a sound is and whether that is exact: trimmed, it will be shorter."""
    is_whole = sound.edges == "as recorded"
    if sound.from_s is not None and sound.to_s is not None:
        return sound.to_s - sound.from_s, is_whole
    from pausewright.sound.sound_reader import read_sound  # noqa: PLC0415  loads a decoder

    try:
        samples, rate_hz = read_sound(sound.file, sound.from_s, sound.to_s, inside=sound.folder)
    except SoundError:  # the build says what is wrong with it
        return Fraction(0), False
    return Fraction(len(samples), rate_hz), is_whole
