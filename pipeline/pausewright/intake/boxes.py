"""Measures the boxes of an MP4 (ISO/IEC 14496-12): their number and nesting, tags and tables.

A decoder makes room for as many samples as a table claims, so claims are compared with the bytes
that are there.
"""

from __future__ import annotations

import sys
from array import array
from typing import TYPE_CHECKING, Final

from pausewright.intake.tag_limits import MOST_TAG_BYTES, Count, TagsError

if TYPE_CHECKING:
    from typing import BinaryIO

MOST_BOXES: Final = 100_000
"""12 hours in fragments of 4 seconds are 11,000, of 8 boxes each."""
MOST_BOXES_NESTED: Final = 12
"""The deepest that have a meaning here: moov, trak, mdia, minf, stbl, stsd and what is in it."""
MOST_SAMPLES: Final = 8_000_000
"""Coded pieces of a track: 12 hours of AAC at 96,000 Hz are 4 million."""
MOST_EDITS: Final = 100
MOST_TABLE_BYTES: Final = 256_000_000
"""All boxes but sound and pictures: some tables of 8 million samples of 8 bytes."""
_HOLDING: Final = frozenset(
    b"moov trak mdia minf stbl udta meta ilst edts dinf mvex moof traf mfra tref".split()
)
_ENTRY_BYTES: Final = {
    b"stts": 8,
    b"ctts": 8,
    b"stsc": 12,
    b"stco": 4,
    b"co64": 8,
    b"stss": 4,
    b"elst": 12,
}
"""Tables with a count after version and flags, and the least size of an entry."""


def measure_boxes(file: BinaryIO, start: int) -> None:
    """Judge all boxes of a file that begins at `start`; raises TagsError."""
    end = file.seek(0, 2)
    _Walk(file).boxes(start, end, 1, b"")


class _Walk:
    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._n_boxes = 0
        self._n_edits = 0
        self._listed = Count(0)
        self._n_tag_bytes = 0
        self._n_table_bytes = 0

    def boxes(self, at: int, end: int, depth: int, holder: bytes) -> None:
        """Walk the boxes between two places of the file, which lie in a box called `holder`."""
        if depth > MOST_BOXES_NESTED:
            raise TagsError("its boxes are nested too deeply")
        while at + 8 <= end:
            self._n_boxes += 1
            if self._n_boxes > MOST_BOXES:
                raise TagsError(f"it holds more than {MOST_BOXES} boxes")
            self._file.seek(at)
            head = self._file.read(16)
            size, name, n_head = int.from_bytes(head[:4], "big"), head[4:8], 8
            if size == 1:
                size, n_head = int.from_bytes(head[8:16], "big"), 16
            elif size == 0:
                size = end - at
            if size < n_head:
                return
            stop = min(at + size, end)
            if holder == b"ilst":
                self._field(stop - at)
            if name in _HOLDING or holder == b"ilst":
                inner = at + n_head + (self._skipped(at + n_head) if name == b"meta" else 0)
                self.boxes(inner, stop, depth + 1, name)
            elif name not in {b"mdat", b"free", b"skip", b"wide"}:
                self._table(name, at + n_head, stop)
            at += size

    def _skipped(self, at: int) -> int:
        """Return how far behind its head the boxes of a `meta` begin: some have no flags."""
        self._file.seek(at)
        return 0 if self._file.read(8)[4:] == b"hdlr" else 4

    def _field(self, n_bytes: int) -> None:
        self._n_tag_bytes += n_bytes
        Count(self._n_tag_bytes)
        self._listed.add()

    def _table(self, name: bytes, start: int, stop: int) -> None:
        n_bytes = stop - start
        self._n_table_bytes += n_bytes
        if self._n_table_bytes > MOST_TABLE_BYTES:
            raise TagsError(f"its tables are larger than {MOST_TABLE_BYTES // 1_000_000} MB")
        if name == b"stsz":
            self._file.seek(start)
            head = self._file.read(12)
            each, count = int.from_bytes(head[4:8], "big"), int.from_bytes(head[8:12], "big")
            self._fits(name, count, 0 if each else 4, n_bytes - 12)
        elif name in _ENTRY_BYTES:
            self._counted(name, start, n_bytes)
        elif name in {b"stsd", b"hdlr", b"chpl", b"Xtra", b"uuid"} and n_bytes > MOST_TAG_BYTES:
            raise TagsError("its tags are too large")

    def _counted(self, name: bytes, start: int, n_bytes: int) -> None:
        self._file.seek(start)
        head = self._file.read(8)
        count, entry_bytes = int.from_bytes(head[4:8], "big"), _ENTRY_BYTES[name]
        self._fits(name, count, entry_bytes, n_bytes - 8)
        if name == b"elst":
            self._n_edits += count
            if self._n_edits > MOST_EDITS:
                raise TagsError(f"it holds more than {MOST_EDITS} edits")
        if name in {b"stts", b"ctts"}:
            table = self._file.read(8 * count)
            if _first_column_sum(table) > MOST_SAMPLES:
                raise TagsError(f"it claims more than {MOST_SAMPLES} samples")

    def _fits(self, name: bytes, count: int, entry_bytes: int, n_bytes: int) -> None:
        if count > MOST_SAMPLES:
            raise TagsError(f"it claims more than {MOST_SAMPLES} samples")
        if count * entry_bytes > max(0, n_bytes):
            raise TagsError(f"its table ‘{name.decode('latin-1')}’ claims more than it holds")


def _first_column_sum(table: bytes) -> int:
    """Return the sum of the first numbers of pairs of two 32-bit numbers."""
    numbers = array("I", table[: len(table) // 8 * 8])
    if sys.byteorder == "little":
        numbers.byteswap()
    return sum(numbers[::2])
