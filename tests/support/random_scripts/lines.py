"""Random paragraphs of the script language, each with what must be heard of it.

`Dice` is all that chance is asked for, so that Hypothesis or a plain seed can throw them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol, TypeVar

import numpy as np
import soundfile

from support.random_scripts.oracle import RATE_HZ, SPEECH, TONE, Sound, whole_samples

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path
    from random import Random

    from support.random_scripts.oracle import Atom

T = TypeVar("T")


class Dice(Protocol):
    """Where chance comes from."""

    def number(self, least: int, most: int) -> int:
        """Return a whole number from `least` to `most`."""


@dataclass(frozen=True)
class SeededDice:
    """Dice of a plain seed, for long runs."""

    random: Random

    def number(self, least: int, most: int) -> int:
        """Return a whole number from `least` to `most`."""
        return self.random.randint(least, most)


def chance(dice: Dice, percent: int) -> bool:
    """Return True in so many of a hundred cases."""
    return dice.number(1, 100) > 100 - percent


def pick(dice: Dice, choices: Sequence[T]) -> T:
    """Return one of the choices."""
    return choices[dice.number(0, len(choices) - 1)]


# ---- lengths of time -------------------------------------------------------------------------

_TIMES: tuple[tuple[str, int | Fraction], ...] = (
    ("1 s", 1), ("2 s", 2), ("0.3 s", Fraction(3, 10)), ("333 ms", Fraction(333, 1000)),
    ("1.25 s", Fraction(5, 4)), ("0.777 s", Fraction(777, 1000)), ("0.05 min", 3),
    ("2.0001 s", Fraction(20001, 10000)), ("1.5s", Fraction(3, 2)), ("0.001 h", Fraction(18, 5)),
)  # fmt: skip
_PAUSES = (*_TIMES, ("0.1 s", Fraction(1, 10)), ("150 ms", Fraction(3, 20)))


def time(dice: Dice) -> tuple[str, Fraction]:
    """Return a candidates' silence as written and in seconds: 0.3 s or more."""
    written, wait_s = pick(dice, _TIMES)
    return written, Fraction(wait_s)


def pause(dice: Dice) -> tuple[str, Fraction]:
    """Return one of the author's pauses as written and in seconds: 0.1 s or more."""
    written, wait_s = pick(dice, _PAUSES)
    return written, Fraction(wait_s)


def attrs(dice: Dice, items: Sequence[str]) -> str:
    """Return attributes in braces, in any order; "" for none. Bare or in other quotes at times."""
    left = [item for item in items if item]
    if not left:
        return ""
    order = []
    while left:
        item = left.pop(dice.number(0, len(left) - 1))
        name, _, value = item.partition("=")
        inner = value.strip('"')
        if value and chance(dice, 10):
            item = f"{name}=“{inner}”"
        elif value and chance(dice, 10) and inner.isascii() and inner.isalnum():
            item = f"{name}={inner}"
        order.append(item)
    return "{" + " ".join(order) + "}"


# ---- words -----------------------------------------------------------------------------------

_WHO = (
    "The ferry", "An old lighthouse keeper", "Every gull", "My neighbour", "A small boat",
    "Nobody", "The captain of the harbour", "Her brother", "Mr. Otto Brand", "One of the sailors",
)  # fmt: skip
_DOES = (
    "leaves", "waits for", "paints", "does *not* see", "remembers", "carries", "is **not** near",
    "counts", "repairs", "looks after",
)  # fmt: skip
_WHAT = (
    "the island", "a basket of apples", "the evening tide", "eleven passengers", "No. 5",
    "the long wooden bridge", "yesterday's letters", "rope", "a lantern, a map and a coat",
    "the café", "nothing at all", "24 crates", "6.4 metres of sail", "the “old” mill",
)  # fmt: skip
_PLAIN_WHAT = ("the island", "a basket of apples", "rope", "the evening tide", "nothing at all")
_SPANS = (
    '[1/8]{say="one eighth" shown="⅛"}', '[1905]{as="year"}', "[0115]{.digits}",
    "[yacht]{.spell}", '[Ceilidh]{say="kay lee"}', '[read]{ipa="ɹɛd"}', "[bonjour]{lang=fr}",
    '[harbour]{shown="port"}', '[24]{as="number"}', "[77]{as=code}",
    '[very **old** rope]{shown="rope"}', '["tide"]{say="tide"}',
)  # fmt: skip
OPTIONS = (
    "every week", "a gull", "7", "the harbour, at noon", '[1/2]{say="one half"}', "**red** rope",
    "nobody", "twenty-four crates",
)  # fmt: skip


@dataclass(frozen=True)
class Written:
    """A paragraph: Markdown without attributes, and what is heard of it."""

    text: str
    atoms: tuple[Atom, ...]
    ends_in_pause: bool = False


def sentence(dice: Dice, *, plain: bool = False, asks: bool = False) -> str:
    """Return one sentence; `plain` has words only, for any language."""
    what = pick(dice, _PLAIN_WHAT if plain else _WHAT)
    if not plain and chance(dice, 20):
        what = f"{what} and {pick(dice, _SPANS)}"
    does = pick(dice, [d for d in _DOES if not plain or "*" not in d])
    who = pick(dice, [w for w in _WHO if not plain or "." not in w])
    if asks:
        return f"Who {does} {what}?"
    comment = " <!-- ours -->" if not plain and chance(dice, 4) else ""
    ending = "!" if chance(dice, 10) else "."
    return f"{who}{comment} {does} {what}{ending}"


def paragraph(
    dice: Dice, *, sounds: bool = True, plain: bool = False, may_end_in_pause: bool = False
) -> Written:
    """Return one to three sentences, tones and sounds, with pauses between or inside them."""
    texts: list[str] = []
    atoms: list[Atom] = []
    paused = False
    n_units = pick(dice, (1, 1, 1, 2, 2, 3))
    for unit in range(n_units):
        if unit and not paused and chance(dice, 20):
            written, wait_s = time(dice)
            texts.append(f"[{written}]{{.pause}}")
            atoms.append(wait_s)
        paused = False
        if sounds and chance(dice, 12):
            if chance(dice, 50):
                texts.append("[chime]{.tone}")
                atoms.append(TONE)
                continue
            may_pause = unit < n_units - 1 or may_end_in_pause
            text, heard, paused = recording(dice, may_pause=may_pause)
            texts.append(text)
            atoms += heard
        elif not plain and chance(dice, 10):
            written, wait_s = time(dice)
            texts.append(f"Stop writing [{written}]{{.pause}} and listen.")
            atoms += [SPEECH, wait_s, SPEECH]
        else:
            texts.append(sentence(dice, plain=plain, asks=chance(dice, 20)))
            atoms.append(SPEECH)
    joint = "\n" if not plain and chance(dice, 8) else " "
    return Written(joint.join(texts), tuple(atoms), paused)


# ---- recordings ------------------------------------------------------------------------------

BELL, LOW, NORA = "audio/bell.wav", "<audio/low tide.flac>", "audio/nora.wav"
_NORA_LEAD, _NORA_TRAIL = 8_820, 13_230


def write_sounds(folder: Path) -> None:
    """Write the recordings that scripts name: no sample of what is heard in them is zero."""
    audio = folder / "audio"
    audio.mkdir(parents=True, exist_ok=True)
    random = np.random.default_rng(11)

    def noise(n_samples: int, swing_hz: float) -> np.ndarray:
        sign = np.where(random.random(n_samples) < 0.5, -1.0, 1.0)
        swing = 0.7 + 0.3 * np.sin(2 * np.pi * swing_hz * np.arange(n_samples) / RATE_HZ)
        return np.asarray(sign * swing * (0.02 + 0.06 * random.random(n_samples)))

    soundfile.write(audio / "bell.wav", noise(2 * RATE_HZ, 3.0), RATE_HZ, subtype="PCM_16")
    left = noise(22_050, 2.0)
    both = np.stack([left, 0.6 * left], axis=1)
    soundfile.write(audio / "low tide.flac", both, 22_050, subtype="PCM_16")
    said = np.concatenate([np.zeros(_NORA_LEAD), noise(RATE_HZ + 7, 4.0), np.zeros(_NORA_TRAIL)])
    soundfile.write(audio / "nora.wav", said, RATE_HZ, subtype="PCM_16")
    (audio / "nora.txt").write_text("Where is\nthe old ferry?\n", encoding="utf-8")


_CUTS = (
    ('from="0:00.5"', 'to="1.75 s"'), ('to="0:01.333"',), ('from="700 ms"',),
    ('from="0:00:01"', 'to="0:01.9"'),
)  # fmt: skip
_FADES = (("0.5 s", Fraction(1, 2)), ("0.2 s", Fraction(1, 5)), ("1.4 s", Fraction(7, 5)))
CUT_SOFT = 60
"""A cut has a ramp of 5 ms: some of its samples round to zero."""


def recording(dice: Dice, *, may_pause: bool) -> tuple[str, list[Atom], bool]:
    """Return a recording with its attributes, what is heard, and whether its own pause ends it."""
    items: list[str] = []
    kind = pick(dice, ("bell", "bell", "low", "words", "nora"))
    lead = trail = before = after = 0
    path = {"bell": BELL, "low": LOW}.get(kind, NORA)
    if kind == "words":
        words = pick(dice, ("Where is the old ferry?", "audio/nora.txt"))
        items += [f'words="{words}"', pick(dice, ("", 'speaker="Mila"'))]
    elif kind == "nora":
        if chance(dice, 50):
            items.append('edges="trimmed"')
        else:
            lead, trail = _NORA_LEAD, _NORA_TRAIL
    elif kind == "low":
        before = after = 8  # resampled: its edges may ring
    elif chance(dice, 50):
        cut = pick(dice, _CUTS)
        items += cut
        before = CUT_SOFT if cut[0].startswith("from") else 0
        after = CUT_SOFT if cut[-1].startswith("to") else 0
    if kind != "words" and chance(dice, 15):
        items.append(pick(dice, ('level="matched"', 'level="as recorded"')))
    if kind in {"bell", "low"} and chance(dice, 20):
        written, fade_s = pick(dice, _FADES)
        items.append(f'fade-out="{written}"')
        after += whole_samples(fade_s) // 30
    heard: list[Atom] = [Sound("recording", lead, trail, before, after)]
    paused = may_pause and chance(dice, 40)
    if paused:
        written, wait_s = pause(dice)
        items.append(f'pause-after="{written}"')
        heard.append(wait_s)
    name = pick(dice, ("A bell", "The tide at noon", "Nora"))
    return f"![{name}]({path}){attrs(dice, items)}", heard, paused
