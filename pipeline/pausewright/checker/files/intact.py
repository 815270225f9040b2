"""Sums that a compressed file carries of itself: are its bytes those that were written?

Decoders skip over damage and play on. The sums do not: an MP3 with an encoder's tag holds a CRC-16
of its audio bytes (from memory, guarded by files of two encoders), FLAC an MD5 of its samples
(RFC 9639), every Ogg page a CRC-32 (RFC 3533).
"""

from __future__ import annotations

import hashlib
import zlib
from typing import TYPE_CHECKING, BinaryIO, TypeAlias

import numpy as np

from pausewright.checker.files.headers import frame_bytes, skip_id3
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

LANES = 1 << 12
PIECE_BYTES = 1 << 20
_TAG_BYTES = 4096


def _table() -> NDArray[np.uint16]:
    """Return the byte table of CRC-16 with the polynomial 0x8005, reflected."""
    table = np.arange(256, dtype=np.uint16)
    for _ in range(8):
        table = np.where(table & 1, (table >> 1) ^ 0xA001, table >> 1).astype(np.uint16)
    return table


class Crc16:
    """CRC-16 of a stream, thousands of bytes at a time."""

    def __init__(self) -> None:
        """Start at 0."""
        self._table = _table()
        every = np.arange(1 << 16, dtype=np.uint16)
        first = self._table[every & 0xFF] ^ (every >> 8)
        self._pairs = self._table[first & 0xFF] ^ (first >> 8)
        """What two bytes of 0 make of each sum; they may be added to the sum beforehand."""
        self._advances: dict[int, tuple[list[int], list[int]]] = {}
        self.value = 0

    def add(self, data: bytes) -> None:
        """Take the next bytes."""
        n_columns = len(data) // (2 * LANES)
        if n_columns >= 4:
            whole = 2 * LANES * n_columns
            lanes = np.frombuffer(data[:whole], dtype="<u2").reshape(LANES, n_columns)
            crc = np.zeros(LANES, dtype=np.uint16)
            for column in np.ascontiguousarray(lanes.T):
                crc = self._pairs[crc ^ column]
            low, high = self._advance(2 * n_columns)
            value = self.value
            for one in crc.tolist():
                value = low[value & 0xFF] ^ high[value >> 8] ^ one
            self.value = value
            data = data[whole:]
        table = self._table
        value = self.value
        for byte in data:
            value = int(table[(value ^ byte) & 0xFF]) ^ (value >> 8)
        self.value = value

    def _advance(self, n_bytes: int) -> tuple[list[int], list[int]]:
        """Return what each low and each high byte of the sum becomes after `n_bytes` zeros."""
        if n_bytes not in self._advances:
            sums = np.concatenate([np.arange(256), np.arange(256) << 8]).astype(np.uint16)
            for _ in range(n_bytes):
                sums = self._table[sums & 0xFF] ^ (sums >> 8)
            self._advances[n_bytes] = sums[:256].tolist(), sums[256:].tolist()
        return self._advances[n_bytes]


def is_damaged(path: Path, container: str) -> bool:
    """Return whether the file's own sums show that its bytes are not those that were written.

    False where the file carries no sums. FLAC is judged while it is decoded: see `FlacSum`.
    """
    try:
        with opened(path, TRACK) as file:
            if container == "MP3":
                return _mp3_damaged(file)
            if container in {"OGG Vorbis", "Opus"}:
                return _ogg_damaged(file)
    except (PausewrightError, OSError, ValueError):
        pass
    return False


def _mp3_damaged(file: BinaryIO) -> bool:
    start = skip_id3(file)
    first = file.read(_TAG_BYTES)
    at = max(first.find(b"Xing"), first.find(b"Info"))
    if at < 0 or len(first) < at + 156:
        return False
    flags = int.from_bytes(first[at + 4 : at + 8], "big")
    lame = at + 8 + 4 * (flags & 1) + 4 * (flags >> 1 & 1) + 100 * (flags >> 2 & 1)
    lame += 4 * (flags >> 3 & 1)
    if not first[lame : lame + 4].strip(b"\0 ") or len(first) < lame + 36:
        return False
    n_bytes = int.from_bytes(first[lame + 28 : lame + 32], "big")
    stated = int.from_bytes(first[lame + 32 : lame + 34], "big")
    tag_bytes = frame_bytes(first[:4])
    if not stated or not tag_bytes or n_bytes <= tag_bytes:
        return False
    crc = Crc16()
    file.seek(start + tag_bytes)
    left = n_bytes - tag_bytes
    while left > 0 and (piece := file.read(min(PIECE_BYTES, left))):
        crc.add(piece)
        left -= len(piece)
    return crc.value != stated


def _ogg_damaged(file: BinaryIO) -> bool:
    """Walk the pages: each must have its own sum, the last must say that it is the last."""
    is_last = False
    reverse = bytes(int(f"{i:08b}"[::-1], 2) for i in range(256))
    while len(head := file.read(27)) == 27:
        if head[:4] != b"OggS":
            return True
        lacing = file.read(head[26])
        body = file.read(sum(lacing))
        if len(lacing) < head[26] or len(body) < sum(lacing):
            return True
        page = head[:22] + b"\0\0\0\0" + head[26:] + lacing + body
        crc = zlib.crc32(page.translate(reverse), 0xFFFFFFFF) ^ 0xFFFFFFFF
        value = int(f"{crc:032b}"[::-1], 2)
        if value != int.from_bytes(head[22:26], "little"):
            return True
        is_last = bool(head[5] & 4)
    return bool(head) or not is_last


class FlacSum:
    """MD5 of a FLAC file's samples, compared with the one in its header."""

    def __init__(self, path: Path) -> None:
        """Read what the header states."""
        self._stated = b""
        self._bits = 0
        try:
            with opened(path, TRACK) as file:
                head = file.read(42)
        except (PausewrightError, OSError):
            return
        if head[:4] == b"fLaC" and len(head) == 42 and head[4] & 0x7F == 0:
            self._bits = (int.from_bytes(head[20:22], "big") >> 4 & 0x1F) + 1
            self._stated = head[26:42]
        self._sum = hashlib.md5(usedforsecurity=False)

    @property
    def is_stated(self) -> bool:
        """Whether there is a sum that can be compared."""
        return self._bits in {16, 24} and any(self._stated)

    def add(self, block: Samples) -> None:
        """Take the next frames as they were decoded."""
        scaled = np.rint(block.astype(np.float64) * 2 ** (self._bits - 1)).astype("<i4")
        if self._bits == 16:
            self._sum.update(scaled.astype("<i2").tobytes())
        else:
            self._sum.update(scaled.reshape(-1, 1).view(np.uint8)[:, :3].tobytes())

    @property
    def is_damaged(self) -> bool:
        """Whether the samples are not those that were written."""
        return self.is_stated and self._sum.digest() != self._stated
