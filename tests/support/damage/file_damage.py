"""Random damage to the bytes of files, blind and by their structure; the same for the same seed."""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

_SIZES = (0, 1, 7, 8, 0x7F, 0x80, 0xFF, 0x7FFF, 0xFFFF, 0x7FFF_FFFF, 0x8000_0000, 0xFFFF_FFFF)
_JSON_VALUES = (
    b"null", b"true", b"-1", b"0", b"1e999", b"NaN", b"9" * 5000, b'""', b'"\\u0000"',
    b'"\\ud800"',
    b"[]", b"{}", b"[" * 300, b'{"a":' * 200, b'"../../etc/x"', b'"a\\\\b"',
    b'"' + b"x" * 70_000 + b'"',
)  # fmt: skip
_TEXT_PIECES = (
    b"-->", b"\0", b"\xff", b"\xed\xa0\x80", b"\r", b"\n\n", b"<", b"</c>", b"&#x0;", b"&amp",
    b"<c.",
    b"99:99:99.999", b"00:00:00,000 --> 00:00:00,000", b"WEBVTT", b"NOTE", b"REGION\n",
    b"<00:00:01.000>",
    b"9" * 400, b"\xe2\x80\xa8", b'"', b"''", b";", b"\t", b",,,,", b"\x1b[31m", b"{}",
    b"\xef\xbb\xbf",
    b"line:-1% position:101%,line-left", b"1" * 30 + b":00:00.000",
)  # fmt: skip


def damaged(good: bytes, dice: random.Random, *, is_text: bool = False) -> bytes:
    """Return bytes with one to five damages."""
    raw = bytearray(good)
    for _ in range(dice.randint(1, 5)):
        dice.choice(_TEXT if is_text else _BINARY)(raw, dice)
    return bytes(raw)


def damaged_json(good: bytes, dice: random.Random) -> bytes:
    """Return JSON with one to three values or names in place of others, or damaged as bytes."""
    if dice.random() < 0.3:
        return damaged(good, dice, is_text=True)
    raw = good
    for _ in range(dice.randint(1, 3)):
        marks = [at for at, byte in enumerate(raw) if byte in b':[,{}]"']
        at = dice.choice(marks or [0])
        end = next((m for m in marks if m > at), len(raw))
        raw = raw[: at + 1] + dice.choice(_JSON_VALUES) + raw[end:]
    return raw


def _at(raw: bytearray, dice: random.Random) -> int:
    head = min(len(raw), 200)
    return dice.randrange(max(1, head if dice.random() < 0.5 else len(raw)))


def _flip(raw: bytearray, dice: random.Random) -> None:
    if raw:
        raw[_at(raw, dice)] ^= 1 << dice.randrange(8)


def _cut(raw: bytearray, dice: random.Random) -> None:
    at = _at(raw, dice)
    del raw[at : at + dice.choice((1, 2, 4, 16, 400))]


def _shorten(raw: bytearray, dice: random.Random) -> None:
    del raw[dice.randrange(len(raw) + 1) :]


def _double(raw: bytearray, dice: random.Random) -> None:
    at = _at(raw, dice)
    n = dice.choice((1, 4, 8, 40, 400))
    raw[at:at] = raw[at : at + n] * dice.choice((1, 2, 50))


def _noise(raw: bytearray, dice: random.Random) -> None:
    at = _at(raw, dice)
    raw[at : at + dice.randint(0, 4)] = dice.randbytes(dice.choice((1, 3, 8, 64)))


def _size(raw: bytearray, dice: random.Random) -> None:
    """Put a number into four bytes, as all these formats write sizes and counts."""
    at = _at(raw, dice)
    value = dice.choice(_SIZES) if dice.random() < 0.7 else dice.randrange(len(raw) * 2 + 1)
    raw[at : at + 4] = struct.pack(dice.choice(("<I", ">I")), value & 0xFFFF_FFFF)


def _near(raw: bytearray, dice: random.Random) -> None:
    """Change a number by little."""
    at = _at(raw, dice)
    if at + 4 <= len(raw):
        value = int.from_bytes(raw[at : at + 4], "big") + dice.choice((-8, -4, -1, 1, 4, 8))
        raw[at : at + 4] = (value % 2**32).to_bytes(4, "big")


def _move(raw: bytearray, dice: random.Random) -> None:
    at, to, n = _at(raw, dice), _at(raw, dice), dice.choice((4, 8, 30))
    part = raw[at : at + n]
    del raw[at : at + n]
    raw[to:to] = part


def _piece(raw: bytearray, dice: random.Random) -> None:
    at = _at(raw, dice)
    raw[at:at] = dice.choice(_TEXT_PIECES) * dice.choice((1, 1, 1, 3, 200))


def _line(raw: bytearray, dice: random.Random) -> None:
    """Double, drop or move a line."""
    rows = bytes(raw).split(b"\n")
    at = dice.randrange(len(rows))
    row = rows.pop(at)
    for _ in range(dice.choice((0, 1, 2, 300))):
        rows.insert(dice.randrange(len(rows) + 1), row)
    raw[:] = b"\n".join(rows)


_BINARY: tuple[Callable[[bytearray, random.Random], None], ...] = (
    _flip, _flip, _cut, _shorten, _double, _noise, _size, _size, _near, _near, _move,
)  # fmt: skip
_TEXT: tuple[Callable[[bytearray, random.Random], None], ...] = (
    _flip, _cut, _shorten, _double, _noise, _piece, _piece, _piece, _line, _line, _move,
)  # fmt: skip
