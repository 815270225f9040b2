"""The header of an MP3 that says how many samples are the encoder's and not ours.

Layout of the header: LAME's Info tag, revision 1 (check value FM-08; offsets from memory,
checked in the tests by decoding with two independent decoders).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path

_MARKS: Final = (b"Info", b"Xing")
_FRAME_COUNT: Final = slice(8, 12)
_DELAY_AND_PADDING: Final = slice(141, 144)
_CHECKSUM: Final = slice(154, 156)
_LARGEST_PADDING: Final = 0xFFF

_SEARCHED_BYTES: Final = 4096
"""The header lies in the first frame, after an ID3 tag of a few bytes."""


def state_length(path: Path, n_samples: int, *, rate_hz: int, shown: Path) -> None:
    """Make an MP3's header state that it holds exactly `n_samples` samples a channel.

    The muxer in use understates the padding by up to 46 samples when the last frame holds
    fewer than 47 (measured), so decoders would give back a millisecond too much. Only the
    padding and the header's checksum change, before any tags are written.

    Raises
    ------
    OutputError
        If the header is missing or cannot describe this length: the file is not whole.
    """
    n_frame = 1152 if rate_hz >= 32_000 else 576
    try:
        with path.open("r+b") as file:
            start = bytearray(file.read(_SEARCHED_BYTES))
            at = next((found for mark in _MARKS if (found := start.find(mark)) >= 0), -1)
            frame = _frame_start(start, at)
            tag = start[at:]
            delay = int.from_bytes(tag[_DELAY_AND_PADDING], "big") >> 12
            n_frames = int.from_bytes(tag[_FRAME_COUNT], "big")
            padding = n_frames * n_frame - delay - n_samples
            if at < 0 or frame < 0 or not 0 <= padding <= _LARGEST_PADDING:
                raise OutputError(
                    f"‘{shown}’ was not written whole ({n_frames} frames for {n_samples} samples)",
                    "make room on the disk, or choose another folder with --out",
                )
            tag[_DELAY_AND_PADDING] = (delay << 12 | padding).to_bytes(3, "big")
            before = start[frame:at] + tag[: _CHECKSUM.start]
            tag[_CHECKSUM] = _crc16(before).to_bytes(2, "big")
            file.seek(at)
            file.write(tag[: _CHECKSUM.stop])
    except OSError as error:
        raise OutputError(
            f"‘{shown}’ cannot be written ({error.strerror})",
            "make room on the disk, or choose another folder with --out",
        ) from error


def _frame_start(start: bytearray, tag_at: int) -> int:
    """Return where the frame with the tag begins: at the last sync word before it, or -1."""
    for at in range(tag_at - 2, -1, -1):
        if start[at] == 0xFF and start[at + 1] & 0xE0 == 0xE0:
            return at
    return -1


def _crc16(data: bytearray) -> int:
    """Return the CRC-16 with the reflected polynomial 0xA001, from 0."""
    value = 0
    for byte in data:
        value ^= byte
        for _ in range(8):
            value = (value >> 1) ^ 0xA001 if value & 1 else value >> 1
    return value
