"""Tracks for tests of the check: noise that is spoken like words, laid by hand.

Nothing of the builder is used. A layout is a list of words and silences written out by the test;
`laid` turns it into samples. Equal words are equal noise, as one take would be.
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import soundfile
from pausewright.checker.expect.expect import expect
from pausewright.script.reader import read_script
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded
from scipy.signal import butter, sosfilt

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    Wave: TypeAlias = NDArray[np.float32]

RATE_HZ = 44_100
SPEECH_DBFS = -22.5


@dataclass(frozen=True)
class Say:
    """Words to be spoken."""

    words: str
    tag: str = ""
    """What it is, for tests that look for it: "5" the words of question 5, "n5" its number."""


@dataclass(frozen=True)
class Gap:
    """Digital silence."""

    wait_s: Fraction
    tag: str = ""
    """"answer 5", "between 5" …"""


@dataclass(frozen=True)
class Beep:
    """The continuation tone."""

    tone_s: Fraction = Fraction(2, 5)


Item: TypeAlias = "Say | Gap | Beep"


def gap(wait_s: str | float, tag: str = "") -> Gap:
    """Return a silence of a decimal number of seconds."""
    return Gap(Fraction(str(wait_s)), tag)


@cache
def speech(words: str, rate_hz: int = RATE_HZ, seconds_a_letter: float = 0.07) -> Wave:
    """Return noise in bursts, one a word, with silences of 0.24 to 0.36 s at commas.

    Lengths vary by word (±25 %), the same for the same words. Each word rises within 15 ms and
    falls within 30 ms, as speech does; all of it rises from 40 dB below its
    level within 20 ms and falls back within 50 ms, and is cut there, as a trimmed take is.
    """
    random = np.random.default_rng(zlib.crc32(words.encode()))
    band = butter(2, [250, 2500], "bandpass", fs=rate_hz, output="sos")
    parts = []
    for word in words.split():
        n_letters = sum(c.isalnum() for c in word)
        length_s = (0.08 + seconds_a_letter * n_letters) * random.uniform(0.75, 1.25)
        n = max(200, round(length_s * rate_hz))
        noise = sosfilt(band, random.standard_normal(n + 2000))[2000:]
        noise *= 10 ** (SPEECH_DBFS / 20) / np.sqrt(np.mean(noise**2))
        for edge, ramp_s in ((noise, 0.015), (noise[::-1], 0.03)):
            n_ramp = min(round(ramp_s * rate_hz), n // 3)
            edge[:n_ramp] *= 10 ** (np.linspace(-40, 0, n_ramp) / 20)
        parts += [noise, np.zeros(round(0.03 * rate_hz))]
        if re.search(r"[,;:]$", word):
            parts.append(np.zeros(round(random.uniform(0.21, 0.33) * rate_hz)))
    wave = np.clip(np.concatenate(parts), -0.8, 0.8)
    wave = wave[: np.flatnonzero(wave)[-1] + 1]
    for edge, length_s in ((wave, 0.02), (wave[::-1], 0.05)):
        n = round(length_s * rate_hz)
        edge[:n] *= 10 ** (np.linspace(-40, 0, n) / 20)
    heard = np.flatnonzero(np.abs(wave) >= 10 ** ((SPEECH_DBFS - 40) / 20))
    spoken: Wave = wave[heard[0] : heard[-1] + 1].astype(np.float32)
    spoken.flags.writeable = False
    return spoken


def beep(tone_s: Fraction, rate_hz: int = RATE_HZ) -> Wave:
    """Return a tone of 520 Hz with ramps of 10 ms."""
    n = round(tone_s * rate_hz)
    ramp = np.minimum(1, np.minimum(np.arange(n) + 1, np.arange(n)[::-1] + 1) / (0.01 * rate_hz))
    level = 10 ** ((SPEECH_DBFS - 3) / 20) * np.sqrt(2)
    wave: Wave = (level * ramp * np.sin(2 * np.pi * 520 * np.arange(n) / rate_hz)).astype(
        np.float32
    )
    return wave


def laid(items: Sequence[Item], rate_hz: int = RATE_HZ) -> Wave:
    """Return the samples of a layout; a silence is rounded up to a whole sample."""
    parts = []
    for item in items:
        if isinstance(item, Gap):
            parts.append(np.zeros(-int(-item.wait_s * rate_hz // 1), dtype=np.float32))
        elif isinstance(item, Beep):
            parts.append(beep(item.tone_s, rate_hz))
        else:
            parts.append(speech(item.words, rate_hz))
    return np.concatenate(parts)


def written(path: Path, wave: Wave, rate_hz: int = RATE_HZ, mp3_level: float = 0.75) -> Path:
    """Write samples by the ending of `path`; MP3 at a constant rate (0.75: 96 kbit/s)."""
    if path.suffix == ".mp3":
        soundfile.write(
            str(path),
            wave,
            rate_hz,
            format="MP3",
            subtype="MPEG_LAYER_III",
            bitrate_mode="CONSTANT",
            compression_level=mp3_level,
        )
    else:
        soundfile.write(str(path), wave, rate_hz, subtype="PCM_16")
    return path


def worded(folder: Path, text: str, name: str = "test.md") -> Worded:
    """Return a script, worded, from its text."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return Worded(read_script(path))


HEAD = "---\ntitle: T\nlanguage: en-GB\n---\n\n"
"""Settings of short scripts."""


def shape(folder: Path, text: str) -> list[str]:
    """Return expected sounds and silences of a script, in order, as short strings.

    A silence is its kind and its seconds, exact; a sound its words, or the name of its kind.
    """
    expectation = expect(worded(folder, text))
    parts = []
    for silence, sound in zip(expectation.silences, expectation.sounds, strict=False):
        element = sound.element
        words = element.words if isinstance(element, Utterance) else type(element).__name__
        parts += [_silence(silence.kind, silence.wait_s), words]
    last = expectation.silences[-1]
    return [*parts, _silence(last.kind, last.wait_s)]


def _silence(kind: str, wait_s: Fraction) -> str:
    if 10_000 % wait_s.denominator:
        return f"{kind} {wait_s}"
    return f"{kind} {float(wait_s):g}"


QUESTIONS = (
    "How many legs have two spiders?",
    "Take nine from forty.",
    "A rope is thirty metres long, and it is cut into six equal pieces: how long is each?",
    "What is half of one hundred and thirty?",
    "Share seventy-two eggs equally between eight trays, then add one to what you get.",
    "Double nineteen.",
    "Which of the numbers on your sheet is a multiple of seven?",
    "How many minutes are there in three and a half hours?",
)
SCRIPT = f"""---
title: Eight sums
language: en-GB
voice: siwis
accept-voice-language: "noise that no voice says: one whose lengths nobody knows"
readings: 2
between-readings: 1.5 s
announce: "Number {{number}}."
announcement-pause: 0.8 s
loudness: -22.5 LUFS
---

# Start

There are eight sums. Each is read twice, and then you have time to write.

::: stop {{for="9 s"}}
Ask now, if anything is unclear.
:::

# Sums

## Short {{answer-time="5 s"}}

1. {QUESTIONS[0]}
2. {QUESTIONS[1]}
3. {QUESTIONS[2]}
4. {QUESTIONS[3]}

::: page-turn {{for="6 s"}}
Turn your sheet over.
:::

## Long {{answer-time="8.5 s"}}

Now the answers take longer to write.

5. {QUESTIONS[4]}
6. {QUESTIONS[5]}
7. {QUESTIONS[6]}
8. {QUESTIONS[7]}

# End

That was the last one. [1.2 s]{{.pause}} Leave your sheet here, please.
"""
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight")


def layout() -> list[Item]:
    """Return the layout of a good track of `SCRIPT`, worked out by hand."""
    items: list[Item] = [
        gap("0.5"),
        Say("There are eight sums."),
        gap("0.4"),
        Say("Each is read twice, and then you have time to write.", "intro"),
        gap("0.8"),
        Say("Ask now, if anything is unclear.", "stop"),
        gap("9", "hold"),
        Beep(),
        gap("0.8"),
        Say("The recording continues.", "continues"),
        gap("0.8"),
    ]
    for number, (name, words) in enumerate(zip(NUMBERS, QUESTIONS, strict=True), 1):
        if number == 5:
            items += [
                Say("Turn your sheet over.", "page"),
                gap("6", "page time"),
                Say("Now the answers take longer to write.", "long"),
                gap("0.8"),
            ]
        items += [
            Say(f"Number {name}.", f"n{number}"),
            gap("0.8", f"announced {number}"),
            Say(words, str(number)),
            gap("1.5", f"between {number}"),
            Say(words, str(number)),
            gap("5" if number < 5 else "8.5", f"answer {number}"),
        ]
    return [
        *items,
        Say("That was the last one."),
        gap("1.2", "pause"),
        Say("Leave your sheet here, please."),
        gap("1"),
    ]


def index(items: Sequence[Item], tag: str, nth: int = 1) -> int:
    """Return where the `nth` item with a tag stands."""
    return [i for i, item in enumerate(items) if getattr(item, "tag", "") == tag][nth - 1]
