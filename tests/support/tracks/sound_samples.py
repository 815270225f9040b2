"""Timelines and takes for tests: speech-like noise of known length, without any voice."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from pausewright.plan.timeline import Mark, Placed, Say, Timeline, Wait, timeline
from pausewright.problems import Place
from pausewright.script.declared import ToneSpec
from pausewright.script.model import Speech
from pausewright.script.references import QuestionRef
from pausewright.sound.take import Take
from pausewright.sound.tones import tone_take
from pausewright.wording.line_elements import SoundElement, SpokenPart, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray
    from pausewright.plan.timeline import Questions, Role, Step
    from pausewright.script.silences import SilenceKind

RATE_HZ = 44_100
SPEECH_DBFS = -26.0
"""RMS of the noise while it sounds."""
EDGE_DBFS = SPEECH_DBFS - 40

HERE = Place(Path("script.md"), 1, 1)
SPEECH = Speech("somebody", "en-GB", Fraction(1), 1)


def utterance(text: str, shown: str | None = None) -> Utterance:
    """Return an utterance; its words are shown unless `shown` says otherwise."""
    return Utterance((SpokenPart(text),), text if shown is None else shown, SPEECH, HERE)


def say(
    text: str,
    *,
    shown: str | None = None,
    captioned: bool = True,
    speaker: str = "",
    question: Questions | None = None,
    reading: int = 0,
    role: Role = "instruction",
) -> Say:
    """Return a spoken step."""
    return Say(utterance(text, shown), role, captioned, question, reading, speaker)


def wait(seconds: str, kind: SilenceKind = "answer-time") -> Wait:
    """Return a silence, its length as an exact decimal."""
    return Wait(kind, Fraction(seconds), HERE)


def chime() -> ToneCue:
    """Return a tone of 0.4 s at 520 Hz."""
    return ToneCue("chime", ToneSpec(Fraction(520), Fraction("0.4")), HERE)


@cache
def noise_take(text: str, rate_hz: int = RATE_HZ) -> Take:
    """Return noise in syllables, 55 ms a character and at least 0.3 s, with fades outside.

    Its first and last samples at or above `EDGE_DBFS` are the edges of the take.
    """
    n_samples = max(len(text) * 55, 300) * rate_hz // 1000
    random = np.random.default_rng(sum(map(ord, text)))
    raw = random.standard_normal(n_samples + 400)
    smooth = np.convolve(raw, np.hanning(24), "same")[200 : 200 + n_samples]
    at = np.arange(n_samples) / rate_hz
    wave = smooth * (0.35 + 0.65 * np.abs(np.sin(2 * np.pi * 2.2 * at)))
    n_ramp = rate_hz // 100
    rise = 0.5 - 0.5 * np.cos(np.pi * np.arange(n_ramp) / n_ramp)
    wave[:n_ramp] *= rise
    wave[-n_ramp:] *= rise[::-1]
    wave *= 10 ** (SPEECH_DBFS / 20) / np.sqrt(np.mean(wave**2))
    samples = np.rint(np.clip(wave, -0.9, 0.9) * 32767).astype(np.int16)[:, np.newaxis]
    loud = np.flatnonzero(np.abs(samples[:, 0]) >= 32767 * 10 ** (EDGE_DBFS / 20))
    samples.flags.writeable = False
    return Take(samples, int(loud[0]), int(loud[-1]) + 1)


def take_of(element: SoundElement) -> Take:
    """Return the mono sound of an element at 44,100 Hz."""
    if isinstance(element, Utterance):
        return noise_take(element.words)
    if isinstance(element, ToneCue):
        return tone_take(element.spec, rate_hz=RATE_HZ, channels=1, level_lufs=SPEECH_DBFS)
    raise TypeError(f"no sound for {element}")


def laid_out(
    steps: Sequence[Step],
    rate_hz: int = RATE_HZ,
    sounds: Callable[[SoundElement], Take] = take_of,
) -> Timeline:
    """Return the timeline of steps, with the lengths of their sounds."""
    return timeline(steps, lambda element: sounds(element).n_sound_samples, rate_hz)


def at_samples(rate_hz: int, *placed: tuple[Step, int, int]) -> Timeline:
    """Return a timeline with steps at given samples."""
    return Timeline(rate_hz, tuple(Placed(step, start, end) for step, start, end in placed))


def small_test() -> list[Step]:
    """Return the steps of a small test: three questions, each read twice, and a tone."""
    steps: list[Step] = [wait("0.5", "lead-in"), Mark("part", "Road")]
    steps += [say("Listen to the following questions."), wait("0.8", "default-pause")]
    for number, gap in enumerate(("5", "10", "15"), 1):
        ref = QuestionRef(number)
        words = f"A crate holds {number} melons. How many melons are in six crates?"
        steps.append(Mark("question", f"Question {number}"))
        steps += [say(f"Question {number}.", question=ref), wait("0.75", "default-pause")]
        steps += [say(words, captioned=False, question=ref, reading=1)]
        steps += [wait("3", "between-readings")]
        steps += [say(words, captioned=False, question=ref, reading=2), wait(gap)]
    steps += [Mark("stop", "Stop"), say("Stop here."), wait("2", "hold")]
    steps += [Say(chime(), "cue", captioned=True), wait("0.8", "default-pause")]
    steps += [say("The recording continues."), wait("1", "run-out")]
    return steps


def full_scale(samples: NDArray[np.int16]) -> NDArray[np.float32]:
    """Return 16-bit samples as floats of full scale 1."""
    return (samples / np.float32(32767)).astype(np.float32)
