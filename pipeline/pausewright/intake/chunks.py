"""Measures the chunks of RIFF (WAV) and AIFF files that hold no sound."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.intake.id3 import HEAD_BYTES, id3_bytes, measure_id3
from pausewright.intake.tag_limits import Count, TagsError

if TYPE_CHECKING:
    from typing import BinaryIO

MOST_CHUNKS: Final = 1000
_SOUND: Final = frozenset({b"data", b"SSND"})
_PADDING: Final = frozenset({b"JUNK", b"junk", b"PAD ", b"FLLR", b"fact", b"ds64"})


def measure_chunks(file: BinaryIO, start: int, *, is_big_endian: bool) -> None:
    """Judge all chunks of a file that begins at `start`; raises TagsError."""
    at = start + 12
    n_chunks = n_tag_bytes = 0
    while True:
        file.seek(at)
        head = file.read(8)
        if len(head) < 8:
            return
        n_chunks += 1
        if n_chunks > MOST_CHUNKS:
            raise TagsError(f"it holds more than {MOST_CHUNKS} chunks")
        name = head[:4]
        size = int.from_bytes(head[4:], "big" if is_big_endian else "little")
        if name not in _SOUND | _PADDING:
            n_tag_bytes += _measured(file, name, size, is_big_endian=is_big_endian)
            Count(n_tag_bytes)
        at += 8 + size + size % 2


def _measured(file: BinaryIO, name: bytes, size: int, *, is_big_endian: bool) -> int:
    """Judge one chunk, from behind its head; return how much of it is there."""
    start = file.tell()
    there = min(size, file.seek(0, 2) - start)
    count = Count(there)
    file.seek(start)
    if name.lower() == b"id3 ":
        held = file.read(there)
        if id3_bytes(held[:HEAD_BYTES]):
            measure_id3(held)
    elif name == b"LIST":
        held = file.read(there)
        at = 4
        while at + 8 <= len(held):
            count.add()
            inner = int.from_bytes(held[at + 4 : at + 8], "big" if is_big_endian else "little")
            count.add_text(min(inner, len(held) - at))
            at += 8 + inner + inner % 2
    return there
