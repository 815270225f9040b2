"""Recordings of a person with everything known: from labelled clips, with the noise of a room.

The clips are one speaker's prompts from Debian's package asterisk-core-sounds-en-wav (CC-BY-SA;
fetched by `apt-get download`, never kept in the repository). Their labels are the names of their
files. What a recording holds is drawn from a seed; its gaps are known because they were made.
"""

from __future__ import annotations

import random
import shutil
import subprocess
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
import soundfile
import soxr
from pausewright.script.numbers_in_words import SMALL, TENS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import NDArray

PACKAGES: Final = ("asterisk-core-sounds-en-wav", "pocketsphinx-testdata")
OTHER_SPEAKERS: Final = {
    "it": ("asterisk-core-sounds-it-wav", "usr/share/asterisk/sounds/it_IT_m_Carlo"),
    "ru": ("asterisk-core-sounds-ru-wav", "usr/share/asterisk/sounds/ru_RU_f_IvrvoiceRU"),
}
"""Packages and folders with the same prompts of other speakers: for silences alone."""
SPEECH_DBFS: Final = -22.0
"""Active level of the speech."""
EDGE_DB: Final = -40.0
"""Where a clip begins and ends, against its active level: the rule of the check."""
_SOUNDS: Final = "usr/share/asterisk/sounds/en_US_f_Allison"

_OPENINGS: Final = (
    (("one-moment-please", "One moment, please."),),
    (("hello", "Hello."), ("one-moment-please", "One moment, please.")),
    (("vm-goodbye", "Goodbye."), ("hello", "Hello.")),
)
_NAMES: Final = [
    "alpha",
    "bravo",
    "charlie",
    "delta",
    "echo",
    "foxtrot",
    "golf",
    "hotel",
    "india",
    "juliet",
    "kilo",
    "lima",
    "mike",
    "november",
    "oscar",
    "papa",
    "quebec",
    "romeo",
    "sierra",
    "tango",
    "uniform",
    "victor",
    "whiskey",
    "x-ray",
    "yankee",
    "zulu",
]


def fetched(folder: Path, speaker: str = "") -> Path:
    """Return the folder with the packages' files, fetched into `folder` if they are not there.

    `speaker` is one of `OTHER_SPEAKERS`, or "" for the English one.
    """
    root = folder / "packages"
    package, sounds = OTHER_SPEAKERS.get(speaker, ("", _SOUNDS))
    if not (root / sounds).is_dir():
        root.mkdir(parents=True, exist_ok=True)
        names = [package] if speaker else PACKAGES
        subprocess.run(["apt-get", "download", "-q", *names], cwd=folder, check=True)
        for file in folder.glob("*.deb"):
            subprocess.run(["dpkg-deb", "-x", str(file), str(root)], check=True)
    return root


@dataclass
class Reading:
    """One reading of a question, an opening or an end, as it lies in the recording."""

    number: int
    """Of its question; 0 for what is no question."""
    words: str
    start_s: float
    end_s: float
    word_starts_s: list[float] = field(default_factory=list)


@dataclass
class Case:
    """A recording with all that is known of it."""

    samples: NDArray[np.float32]
    rate_hz: int
    readings: list[Reading]
    answer_times_s: list[float]
    """For each question, as declared."""
    paper: str
    """The text of the paper."""
    noise_dbfs: float
    is_reverberant: bool

    @property
    def gaps(self) -> list[tuple[float, float]]:
        """Return start and end of each silence between two readings, in seconds."""
        return [(a.end_s, b.start_s) for a, b in pairwise(self.readings)]


class Clips:
    """The clips of a package, trimmed to their edges and brought to one level."""

    def __init__(self, root: Path, rate_hz: int, speaker: str = "") -> None:
        """Take the folder that `fetched` returned, the rate to have them at, and whose they are."""
        self._root = root / OTHER_SPEAKERS.get(speaker, ("", _SOUNDS))[1]
        self.rate_hz = rate_hz
        self._kept: dict[str, NDArray[np.float32]] = {}

    def clip(self, name: str) -> NDArray[np.float32]:
        """Return a clip by its name, of shape (n_samples,)."""
        if name not in self._kept:
            wave, rate_hz = soundfile.read(self._root / f"{name}.wav", dtype="float32")
            fine = soxr.resample(wave, rate_hz, self.rate_hz, quality="VHQ")
            self._kept[name] = _trimmed(fine, self.rate_hz)
        return self._kept[name]


def _trimmed(wave: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """Return a clip at the speech's level, cut where it passes 40 dB below that."""
    n = round(0.01 * rate_hz)
    power = np.convolve(np.square(wave, dtype=np.float64), np.ones(n) / n, "same")
    active = power[power > power.max() * 10**-1.6].mean()
    heard = np.flatnonzero(power > active * 10 ** (EDGE_DB / 10))
    gain = 10 ** (SPEECH_DBFS / 20) / np.sqrt(active)
    cut = wave[heard[0] : heard[-1] + 1] * np.float32(gain)
    n_ramp = round(0.002 * rate_hz)
    ramp = np.linspace(0, 1, n_ramp, dtype=np.float32)
    cut[:n_ramp] *= ramp
    cut[-n_ramp:] *= ramp[::-1]
    return cut


def _number(n: int) -> list[tuple[str, str]]:
    """Return clips and words of a whole number below 100."""
    if n <= 20 or n % 10 == 0:
        return [(f"digits/{n}", str(n))]
    return [(f"digits/{n - n % 10}", str(n)), (f"digits/{n % 10}", "")]


def _question(draw: random.Random) -> list[tuple[str, str]]:
    """Return clips of a question, each with the words that it has on the paper ("": none)."""
    kind = draw.choice(("sum", "sum", "sum", "letters", "names", "code"))
    if kind == "sum":
        sign, shown = draw.choice((("letters/plus", "+"), ("digits/minus", "−")))
        a, b = draw.randint(21, 99), draw.randint(2, 20)
        return [*_number(a), (sign, shown), *_number(b), ("letters/equals", "=")]
    if kind == "letters":
        picked = draw.sample("abcdefghijklmnopqrstuvwxy", draw.randint(4, 6))
        return [("letters/" + one, one.upper()) for one in picked]
    if kind == "names":
        picked = draw.sample(_NAMES, draw.randint(3, 5))
        return [(f"phonetic/{one[0]}_p", one.capitalize()) for one in picked]
    picked = [str(draw.randint(0, 9)) for _ in range(draw.randint(4, 6))]
    return [("extension", "Extension"), *((f"digits/{one}", one) for one in picked)]


_ANNOUNCED: Final = "announced as another"
_MORE_READINGS: Final = {"read once": -1, "read once more": 1}
_TOO_MUCH: Final = (("hello", "hello"), ("one-moment-please", "one moment please"))


def _otherwise(parts: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return a question with one of its words read as another of its kind."""
    for i in range(len(parts) - 1, -1, -1):
        name, _, one = parts[i][0].partition("/")
        others: dict[str, Sequence[str]] = {
            "digits": [str((int(one) + 3) % 10)] if one.isdigit() and int(one) < 10 else [],
            "letters": [chr(97 + (ord(one) - 97 + 9) % 25)] if len(one) == 1 else [],
            "phonetic": [f"{chr(97 + (ord(one[0]) - 97 + 9) % 26)}_p"] if one else [],
        }
        if others.get(name):
            return [*parts[:i], (f"{name}/{others[name][0]}", parts[i][1]), *parts[i + 1 :]]
    i = next(i for i, (name, _) in enumerate(parts) if name.startswith("digits/"))
    other = "digits/40" if parts[i][0] == "digits/60" else "digits/60"
    return [*parts[:i], (other, parts[i][1]), *parts[i + 1 :]]


def _words(parts: Sequence[tuple[str, str]]) -> str:
    return " ".join(word for _, word in parts if word)


def drawn(  # noqa: PLR0915  one recording from its beginning to its end
    clips: Clips,
    seed: int,
    *,
    noise_dbfs: float = -60.0,
    n_questions: int = 10,
    is_reverberant: bool = False,
    rustles: int = 0,
    fault: tuple[str, int] = ("", 0),
) -> Case:
    """Return a recording drawn from a seed: an opening, questions read once to three times, an end.

    Every reading is a take of its own: another speed (within 4 %), level and silence between its
    words. `rustles` bursts of noise lie in answer times. `fault` is what the reader does wrong, and
    in which question: then every question is read twice.
    """
    draw = random.Random(seed)  # noqa: S311  no secret
    rate = clips.rate_hz
    n_readings = draw.choice((1, 2, 2, 2, 3))
    if fault[0]:
        n_readings = 2
    answer_s = draw.choice((5.0, 6.0, 8.0, 10.0))
    longer_s = answer_s + draw.choice((0.0, 4.0, 5.0))
    between_s = draw.choice((1.5, 2.0, 3.0))
    announced_s = draw.choice((0.15, 0.4, 0.8, 1.2))
    pieces: list[NDArray[np.float32]] = []
    readings: list[Reading] = []
    at = 0

    def silence(length_s: float) -> None:
        nonlocal at
        pieces.append(np.zeros(round(length_s * rate), np.float32))
        at += len(pieces[-1])

    def say(
        number: int, parts: Sequence[tuple[str, str]], after: tuple[int, float] = (0, 0)
    ) -> None:
        nonlocal at
        speed = draw.uniform(0.96, 1.04)
        gain = 10 ** (draw.uniform(-1.5, 1.5) / 20)
        start, starts = at, []
        for i, (name, _) in enumerate(parts):
            if i:
                silence(after[1] if i == after[0] else draw.uniform(0.06, 0.22))
            starts.append(at / rate)
            wave = soxr.resample(clips.clip(name), rate, round(rate * speed), quality="HQ")
            pieces.append(wave * np.float32(gain))
            at += len(wave)
        readings.append(Reading(number, _words(parts), start / rate, at / rate, starts))

    silence(draw.uniform(0.6, 2.0))
    opening = draw.choice(_OPENINGS)
    for name, words in opening:
        say(0, [(name, words)])
        silence(draw.uniform(1.0, 2.0))
    paper = [*(words for _, words in opening), ""]
    times = []
    for number in range(1, n_questions + 1):
        parts = _question(draw)
        wrong = fault[0] if number == fault[1] else ""
        said = [("number", "Number"), *_number(number + (7 if wrong == _ANNOUNCED else 0))]
        paper.append(f"{number}. {_words(parts)}")
        for k in range(n_readings + _MORE_READINGS.get(wrong, 0)):
            if wrong == "said too much" and k == 0:
                parts = [*parts, *_TOO_MUCH]
            if wrong == "second reading" and k:
                parts = _otherwise(parts)
            if k:
                between = between_s * (0.5 if wrong == "pause halved" else 1)
                silence(between * draw.uniform(0.97, 1.03))
            if k:
                say(number, parts)
            else:
                say(number, [*said, *parts], (len(said), announced_s * draw.uniform(0.9, 1.1)))
        times.append(answer_s if number <= n_questions // 2 else longer_s)
        silence(
            times[-1] * (0.5 if wrong == "answer time halved" else 1) + draw.uniform(-0.12, 0.12)
        )
    say(0, [("vm-goodbye", "Goodbye.")])
    silence(draw.uniform(0.8, 1.5))
    samples = np.concatenate(pieces)
    noise = np.random.default_rng(seed)
    if is_reverberant:
        samples = _reverberant(samples, rate, noise)
        _tails_counted(samples, readings, rate)
    _rustle(samples, readings, rustles, noise, rate)
    noisy = samples + _room(len(samples), noise_dbfs, noise, rate)
    paper += ["", "Goodbye."]
    whole = "\n".join(paper)
    return Case(noisy.astype(np.float32), rate, readings, times, whole, noise_dbfs, is_reverberant)


def _room(
    n_samples: int, noise_dbfs: float, noise: np.random.Generator, rate_hz: int
) -> NDArray[np.float64]:
    """Return noise that falls by 3 dB an octave or less, as rooms have it, at a level."""
    white = noise.standard_normal(n_samples)
    spectrum = np.fft.rfft(white)
    hz = np.fft.rfftfreq(n_samples, 1 / rate_hz)
    spectrum *= 1 / np.sqrt(1 + hz / noise.uniform(150, 3000))
    wave = np.fft.irfft(spectrum, n_samples)
    found: NDArray[np.float64] = wave * 10 ** (noise_dbfs / 20) / np.sqrt(np.mean(wave**2))
    return found


def _reverberant(
    wave: NDArray[np.float32], rate_hz: int, noise: np.random.Generator
) -> NDArray[np.float32]:
    """Return sound as in a room of RT60 0.35 to 0.5 s, the direct sound foremost."""
    rt60_s = noise.uniform(0.35, 0.5)
    n = round(rt60_s * rate_hz)
    tail = noise.standard_normal(n) * 10 ** (-3 * np.arange(n) / n)
    tail *= 0.35 / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    size = 1 << (len(wave) + n).bit_length()
    wet = np.fft.irfft(np.fft.rfft(wave, size) * np.fft.rfft(tail, size), size)
    return wet[: len(wave)].astype(np.float32)


def _tails_counted(samples: NDArray[np.float32], readings: Sequence[Reading], rate_hz: int) -> None:
    """Let each reading end where its tail falls 40 dB below the speech: what is audible counts."""
    n = round(0.01 * rate_hz)
    power = np.convolve(np.square(samples, dtype=np.float64), np.ones(n) / n, "same")
    edge = 10 ** ((SPEECH_DBFS + EDGE_DB) / 10)
    for one, following in zip(readings, [*readings[1:], None], strict=True):
        first = round(one.end_s * rate_hz)
        last = len(power) if following is None else round(following.start_s * rate_hz)
        soft = np.flatnonzero(power[first:last] < edge)
        one.end_s = (first + (int(soft[0]) if len(soft) else 0)) / rate_hz


def _rustle(
    wave: NDArray[np.float32],
    readings: Sequence[Reading],
    n: int,
    noise: np.random.Generator,
    rate_hz: int,
) -> None:
    """Add bursts of noise into long silences, in place."""
    gaps = [(a.end_s, b.start_s) for a, b in pairwise(readings) if b.start_s - a.end_s > 4]
    for _ in range(n):
        start_s, end_s = gaps[int(noise.integers(len(gaps)))]
        at = round(rate_hz * noise.uniform(start_s + 1.2, end_s - 1.6))
        length = round(rate_hz * noise.uniform(0.1, 0.4))
        burst = noise.standard_normal(length) * np.hanning(length) * 10 ** (-38 / 20)
        wave[at : at + length] += burst.astype(np.float32)


@dataclass
class PassageCase:
    """A passage of which the beginning of every word is known, and the end of the last."""

    samples: NDArray[np.float32]
    rate_hz: int
    text: str
    word_starts_s: list[float]
    end_s: float


def passage(clips: Clips, seed: int, n_words: int) -> PassageCase:
    """Return words in a row: pauses at marks, and seldom between words without one."""
    draw = random.Random(seed)  # noqa: S311  no secret
    pool = [(f"digits/{n}", word) for n, word in enumerate((*SMALL[1:], TENS[0]), start=1)]
    pool += [(f"digits/{n}", word) for n, word in zip(range(30, 100, 10), TENS[1:], strict=True)]
    pool += [(f"phonetic/{one[0]}_p", one) for one in _NAMES if one != "x-ray"]
    pool += [("extension", "extension"), ("number", "number"), ("letters/plus", "plus")]
    pool += [("letters/equals", "equals"), ("hello", "hello"), ("minutes", "minutes")]
    rate = clips.rate_hz
    pieces = [np.zeros(rate // 2, np.float32)]
    at, text, starts, end_s = rate // 2, "", [], 0.0
    for k in range(n_words):
        name, word = draw.choice(pool)
        is_end = draw.random() < 0.16 or k == n_words - 1
        starts.append(at / rate)
        begins = not text or text.endswith(". ")
        text += (word.capitalize() if begins else word) + (". " if is_end else " ")
        between_s = draw.uniform(0.0, 0.12)
        if is_end:
            between_s = draw.uniform(0.35, 1.2)
        elif draw.random() < 0.06:
            between_s = draw.uniform(0.2, 0.5)
        pieces += [clips.clip(name), np.zeros(round(between_s * rate), np.float32)]
        end_s = (at + len(pieces[-2])) / rate
        at += len(pieces[-2]) + len(pieces[-1])
    wave = np.concatenate(pieces)
    noisy = wave + _room(len(wave), -60, np.random.default_rng(seed), rate)
    return PassageCase(noisy.astype(np.float32), rate, text, starts, end_s)


def removed(folder: Path) -> None:
    """Remove what `fetched` fetched."""
    shutil.rmtree(folder / "packages", ignore_errors=True)
