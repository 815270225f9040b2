"""Measures an ID3v2 tag (2.2, 2.3 and 2.4; the informal standards of id3.org).

Sizes of 2.4 are written in two ways by the programs that exist; a library guesses which. Both are
walked, and either may be too much.
"""

from __future__ import annotations

from typing import Final

from pausewright.intake.tag_limits import MOST_NESTED, Count, TagsError

HEAD_BYTES: Final = 10
_PICTURES: Final = frozenset(
    {b"APIC", b"GEOB", b"PRIV", b"MCDI", b"UFID", b"PIC", b"GEO", b"MCI", b"UFI"}
)
"""Fields that hold bytes and no lists of texts."""


def id3_bytes(head: bytes) -> int:
    """Return the size of the tag that begins with these 10 bytes, 0 if none does."""
    if len(head) < HEAD_BYTES or head[:3] != b"ID3":
        return 0
    has_footer = head[3] >= 4 and head[5] & 0x10
    return HEAD_BYTES + _seven_bits(head[6:10]) + (HEAD_BYTES if has_footer else 0)


def measure_id3(tag: bytes) -> None:
    """Judge a whole tag, its head included.

    Raises
    ------
    TagsError
        If it is too large, holds too many fields, is nested too deeply or is packed.
    """
    version, flags = tag[3], tag[5]
    Count(id3_bytes(tag[:HEAD_BYTES]))  # what it claims, though the file may end before
    data = tag[HEAD_BYTES:]
    if flags & 0x80 and version < 4:
        data = data.replace(b"\xff\x00", b"\xff")
    if flags & 0x40 and version == 2:
        raise TagsError("its tags are packed")
    starts = {0}
    if flags & 0x40:  # an extended header, whose size is written in three ways
        size = int.from_bytes(data[:4], "big")
        starts |= {4 + size, size, _seven_bits(data[:4])}
    for start in starts:
        if start < len(data):
            for has_seven in (False, True) if version >= 4 else (False,):
                _Walk(len(data), version, has_seven_bits=has_seven).fields(data[start:], 1)


def _seven_bits(raw: bytes) -> int:
    value = 0
    for byte in raw:
        value = value << 7 | byte & 0x7F
    return value


class _Walk:
    def __init__(self, n_bytes: int, version: int, *, has_seven_bits: bool) -> None:
        self._count = Count(n_bytes)
        self._version = version
        self._has_seven_bits = has_seven_bits

    def fields(self, data: bytes, depth: int) -> None:
        """Count the fields in bytes, and those inside them."""
        if depth > MOST_NESTED:
            raise TagsError("its tags are nested too deeply")
        head_bytes = 6 if self._version == 2 else 10
        n_name = 3 if self._version == 2 else 4
        at = 0
        while at + head_bytes <= len(data):
            name = data[at : at + n_name]
            if not any(name):
                return
            raw = data[at + n_name : at + 2 * n_name]
            size = _seven_bits(raw) if self._has_seven_bits else int.from_bytes(raw, "big")
            is_packed = head_bytes == 10 and data[at + 9] & (0x08 if self._version >= 4 else 0x80)
            if is_packed and name.isalnum():
                raise TagsError("its tags are packed")
            self._count.add()
            self._count.add_copy(len(data) - at)
            self._field(name, data[at + head_bytes : at + head_bytes + size], depth)
            at += head_bytes + size

    def _field(self, name: bytes, held: bytes, depth: int) -> None:
        if name in _PICTURES:
            return
        self._count.add_text(len(held))
        if name in {b"CHAP", b"CTOC"}:
            self.fields(held[_inner_start(name, held) :], depth + 1)
            return
        wide = held[:1] in {b"\x01", b"\x02"}
        n_texts = held.count(b"\0\0" if wide else b"\0")
        self._count.add(n_texts)
        self._count.add_copy(n_texts * len(held))


def _inner_start(name: bytes, held: bytes) -> int:
    """Return where the fields inside a chapter or a table of contents begin."""
    at = held.find(b"\0") + 1
    if at == 0:
        return len(held)
    if name == b"CHAP":
        return at + 16
    n_children = held[at + 1] if at + 1 < len(held) else 0
    at += 2
    for _ in range(n_children):
        end = held.find(b"\0", at)
        if end < 0:
            return len(held)
        at = end + 1
    return at
