"""Measures the comments of FLAC (RFC 9639) and Ogg files (RFC 3533, Vorbis and Opus, RFC 7845)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.intake.tag_limits import MOST_TAG_BYTES, Count, TagsError

if TYPE_CHECKING:
    from typing import BinaryIO

MOST_BLOCKS: Final = 1000
_COMMENT: Final = 4
_PICTURE: Final = b"METADATA_BLOCK_PICTURE="
MOST_PAGES: Final = 1000
"""Of an Ogg file, until its second packet ends: a page holds up to 64 kB."""
_STARTS: Final = (b"\x03vorbis", b"OpusTags", b"\x84theora")


def flac_head(file: BinaryIO) -> bytes:
    """Return the mark and all metadata blocks of a FLAC file, from where the file stands.

    Raises
    ------
    TagsError
        If they are too many or too large.
    """
    parts = [file.read(4)]
    n_bytes = 4
    for _ in range(MOST_BLOCKS):
        head = file.read(4)
        if len(head) < 4:
            return b"".join(parts)
        size = int.from_bytes(head[1:], "big")
        n_bytes += size
        if n_bytes > MOST_TAG_BYTES:
            raise TagsError(f"its tags are larger than {MOST_TAG_BYTES // 1_000_000} MB")
        parts += [head, file.read(size)]
        if head[0] & 0x80:
            return b"".join(parts)
    raise TagsError(f"it holds more than {MOST_BLOCKS} blocks of tags")


def measure_flac(file: BinaryIO) -> None:
    """Judge the metadata blocks of a FLAC file, from where the file stands; raises TagsError."""
    head = flac_head(file)
    count = Count(len(head))
    at = 4
    while at + 4 <= len(head):
        size = int.from_bytes(head[at + 1 : at + 4], "big")
        if head[at] & 0x7F == _COMMENT:
            _measure_comments(head[at + 4 : at + 4 + size], count)
        at += 4 + size


def _measure_comments(data: bytes, count: Count) -> None:
    """Judge a list of comments: a maker's name, a count, and texts, each after its length."""
    vendor = int.from_bytes(data[:4], "little")
    at = 4 + vendor
    count.add_text(min(vendor, len(data)))
    n_stated = int.from_bytes(data[at : at + 4], "little")
    if len(data) >= at + 4 and n_stated > len(data) // 4:
        raise TagsError(f"its tags claim {n_stated} fields and have no room for them")
    at += 4
    for _ in range(n_stated):
        size = int.from_bytes(data[at : at + 4], "little")
        at += 4
        if at + size > len(data):
            return
        count.add()
        if data[at : at + len(_PICTURE)].upper() != _PICTURE:
            count.add_text(size)
        at += size


def measure_ogg(file: BinaryIO) -> None:
    """Judge the comments of an Ogg file, which are its second packet; raises TagsError."""
    for start in _STARTS:
        packet = _second_packet(file)
        if packet.startswith(start):
            count = Count(len(packet))
            _measure_comments(packet[len(start) :], count)
        return


def _second_packet(file: BinaryIO) -> bytes:
    n_ended = 0
    held = bytearray()
    for _ in range(MOST_PAGES):
        head = file.read(27)
        if len(head) < 27 or head[:4] != b"OggS":
            return bytes(held)
        for size in file.read(head[26]):
            part = file.read(size)
            if n_ended == 1:
                held += part
            n_ended += size < 255
            if n_ended > 1:
                return bytes(held)
    raise TagsError(f"its tags are larger than {MOST_TAG_BYTES // 1_000_000} MB")
