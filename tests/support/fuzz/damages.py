"""Damage that knows what files look like: values, names, markers, levels, lines and signs.

Slips of the hand come from `damage.damages`; these go for the places where a reader decides.
"""

from __future__ import annotations

import random
import re
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.settings.settings_table import SETTINGS

from support.damage.slips import damages

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Dice = random.Random

_VALUE: Final = re.compile(r'(?<==")[^"\n]*(?=")|(?<=: )[^\n{\[]+|(?<=,)[^,\n]*(?=,)')
_NAME: Final = re.compile(r"(?<=[{ ])\.?[a-z][a-z-]+(?==|[ }])|^ *[a-z][a-z-]+(?=:)", re.MULTILINE)
_NUMBER: Final = re.compile(r"\d+(?:[.,:]\d+)*")
_WORD: Final = re.compile(r"\w+")

_NAMES: Final = (*VALUES, *YES_WORDS, *SETTINGS, "words", "lexicon", "label", "basis", "stretch")
_EXTREMES: Final = (
    "", " ", "0", "-1", "1e9", "0.0000001", "9" * 30, "9" * 5000, "1" + "0" * 400 + " s", "nan",
    "inf", "none", "no", "yes", "~", "null", "true", "{number}", "{x}", "{", "}", "[]", "{}",
    "a\0b", "\\0", "½", "٣", "²", "１２", "1:2:3:4", "1/0", "0 s", "25 h", "1 s, 2 s", "1 s to 2 s",
    "5-1", "1-9999", "../../x.md", "/etc/passwd", "C:\\x", "%00", "a" * 300, "x" * 6000, "&a", "*a",
    "!!x", "!!python/object:x", "<<: *a", "|", ">", "- - -", "? a", "'", '"', "''",
    "\ud7ff", "\U0010ffff",
)  # fmt: skip
_SIGNS: Final = (
    "\x1b[31m", "\x00", "\x07", "\x08", "\x7f", "\x85", "\x9b", "\u2028", "\u202e", "\u2066",
    "\ufeff", "\ufffc", "\ufffd", "\u00a0", "\u200b", "\u0301", "\ue000", "\t", "\r", "\x0c", "²",
    "½", "Ⅳ", "①", "ﬁ", "İ", "ß", "ς", "中", "א", "😀", "−", "–", "…", "£", "€", "°", "′", "√", "×",
)  # fmt: skip
_PAIRS: Final = (
    ("*", "*"), ("**", "**"), ("_", "_"), ("[", "]"), ("[", ']{say="a"}'), ("(", ")"), ("{", "}"),
    ('"', '"'), ("`", "`"), ("<!-- ", " -->"), ("![", "](a.wav)"), ("[", "](a.md){.include}"),
    ("::: passage\n", "\n:::"), ("> ", ""), ("- ", ""), ("1. ", ""), ("    ", ""), ("√(", ")"),
    ("a: {", "}"), ("[", ","), ("<i>", "</i>"),
)  # fmt: skip
_ENDS: Final = (
    "\n\n",
    "\n",
    "\r\n",
    "\r",
    "\n    ",
    "\n\n    ",
    "\n:::\n",
    "\n---\n",
    "\n# A\n",
    " ",
)


def damaged(texts: Sequence[str], seed: int) -> str:
    """Return one of the texts with one to four damages; the same for the same seed."""
    dice = Dice(seed)
    text = dice.choice(texts)
    for _ in range(dice.choice((1, 1, 1, 2, 2, 3, 4))):
        if not text.strip():
            break
        text = dice.choice(_DAMAGES)(text, dice, texts)
    return text


def _slip(text: str, dice: Dice, _: Sequence[str]) -> str:
    return next(damages(text, dice.randrange(1 << 30), 1))[1]


def _replaced(pattern: re.Pattern[str], text: str, dice: Dice, by: Callable[[str], str]) -> str:
    found = list(pattern.finditer(text))
    if not found:
        return text
    one = dice.choice(found)
    return text[: one.start()] + by(one[0]) + text[one.end() :]


def _value(text: str, dice: Dice, _: Sequence[str]) -> str:
    return _replaced(_VALUE, text, dice, lambda _: dice.choice(_EXTREMES))


def _number(text: str, dice: Dice, _: Sequence[str]) -> str:
    def other(written: str) -> str:
        return dice.choice(
            (*_EXTREMES, written * dice.randint(2, 40), f"-{written}", f"{written}.")
        )

    return _replaced(_NUMBER, text, dice, other)


def _name(text: str, dice: Dice, _: Sequence[str]) -> str:
    return _replaced(_NAME, text, dice, lambda _: dice.choice(_NAMES))


def _attributes(text: str, dice: Dice, _: Sequence[str]) -> str:
    n = dice.randint(1, 4)
    items = " ".join(f'{dice.choice(_NAMES)}="{dice.choice(_EXTREMES)}"' for _ in range(n))
    rows = text.split("\n")
    rows[dice.randrange(len(rows))] += f" {{{items}}}"
    return "\n".join(rows)


def _sign(text: str, dice: Dice, _: Sequence[str]) -> str:
    at = dice.randrange(len(text) + 1)
    return text[:at] + dice.choice(_SIGNS) * dice.choice((1, 1, 2, 50)) + text[at:]


def _wrap(text: str, dice: Dice, _: Sequence[str]) -> str:
    before, after = dice.choice(_PAIRS)
    n = dice.choice((1, 1, 2, 3, 10, 30, 300))
    return _replaced(_WORD, text, dice, lambda word: before * n + word + after * n)


def _repeat(text: str, dice: Dice, _: Sequence[str]) -> str:
    rows = text.split("\n")
    start = dice.randrange(len(rows))
    stop = min(len(rows), start + dice.randint(1, 4))
    rows[start:start] = rows[start:stop] * dice.choice((1, 2, 3, 50))
    return "\n".join(rows)


def _move(text: str, dice: Dice, _: Sequence[str]) -> str:
    rows = text.split("\n")
    one = rows.pop(dice.randrange(len(rows)))
    rows.insert(dice.randrange(len(rows) + 1), one)
    return "\n".join(rows)


def _splice(text: str, dice: Dice, texts: Sequence[str]) -> str:
    rows, other = text.split("\n"), dice.choice(texts).split("\n")
    start = dice.randrange(len(other))
    at = dice.randrange(len(rows) + 1)
    rows[at:at] = other[start : start + dice.randint(1, 12)]
    return "\n".join(rows)


def _indent(text: str, dice: Dice, _: Sequence[str]) -> str:
    rows = text.split("\n")
    for at in range(dice.randrange(len(rows)), len(rows))[: dice.choice((1, 2, 5))]:
        rows[at] = dice.choice((" " * dice.randint(1, 9) + rows[at], rows[at].lstrip()))
    return "\n".join(rows)


def _cut(text: str, dice: Dice, _: Sequence[str]) -> str:
    start = dice.randrange(len(text))
    return text[:start] + text[start + dice.choice((1, 5, 40, 400, len(text))) :]


def _line_end(text: str, dice: Dice, _: Sequence[str]) -> str:
    if dice.random() < 0.2:
        return text.replace("\n", dice.choice(("\r\n", "\r", "\n\n")))
    return _replaced(re.compile("\n"), text, dice, lambda _: dice.choice(_ENDS))


_DAMAGES: Final = (
    _slip, _slip, _slip, _value, _value, _number, _name, _attributes, _sign, _wrap, _repeat, _move,
    _splice, _indent, _cut, _line_end,
)  # fmt: skip
