"""What the header of a delivered file claims about its length, against its own bytes.

Decoders believe headers: one stops at the claimed length, another pads up to it. So the claim
and the bytes are read here without any decoder. Layouts: RIFF/WAVE data chunk; Xing/Info frame
count of MPEG audio; bit rate and rate tables of ISO/IEC 11172-3 and 13818-3 Layer III.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, BinaryIO

from pausewright.checker.limits.coders import coder_of
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from pathlib import Path


@frozen
class HeaderClaim:
    """A stated length and the length that the bytes have room for."""

    claimed_frames: int
    """As the header states it, in sample frames; libsndfile's reading of it."""
    stated_units: int | None = None
    """Data bytes (WAV) or MPEG frames (MP3) that the header states; None if it states none."""
    held_units: int | None = None
    """The same, as found in the file."""
    unit: str = ""
    """"bytes" or "MPEG frames"."""
    slack_frames: int = 0
    """How far a decoder may be off: in M4A the last frame's padding is not always cut off."""

    @property
    def is_true(self) -> bool:
        """Whether the file holds as much as its header states."""
        return self.stated_units is None or self.stated_units == self.held_units


def header_claim(path: Path, container: str, claimed_frames: int) -> HeaderClaim:
    """Return what the header of `path` claims and what its bytes hold.

    `container` is "WAV", "FLAC" or "MP3"; `claimed_frames` is the decoder's reading of the
    header. Never raises for strange bytes: where no claim is found, `stated_units` is None.
    """
    try:
        with opened(path, TRACK) as file:
            if container == "WAV":
                return _wav_claim(file, file.seek(0, 2), claimed_frames)
            if container == "MP3":
                return _mp3_claim(file, claimed_frames)
            if container == "M4A":
                return HeaderClaim(
                    claimed_frames, slack_frames=coder_of(container).length_slack_frames
                )
    except (PausewrightError, OSError, ValueError):
        pass
    return HeaderClaim(claimed_frames)


def _wav_claim(file: BinaryIO, n_file_bytes: int, claimed_frames: int) -> HeaderClaim:
    file.seek(0)
    if file.read(4) != b"RIFF" or len(file.read(8)) < 8:
        return HeaderClaim(claimed_frames)
    while len(head := file.read(8)) == 8:
        n_bytes = int.from_bytes(head[4:], "little")
        if head[:4] == b"data":
            start = file.tell()
            held = min(n_bytes, n_file_bytes - start)
            if held == n_bytes and not _only_chunks(file, start + n_bytes, n_file_bytes):
                held = n_file_bytes - start
            return HeaderClaim(claimed_frames, n_bytes, held, "bytes")
        file.seek(n_bytes + n_bytes % 2, 1)
    return HeaderClaim(claimed_frames)


def _only_chunks(file: BinaryIO, at: int, n_file_bytes: int) -> bool:
    """Return whether what follows the samples is whole chunks, and no more samples."""
    at += at % 2
    while at < n_file_bytes:
        file.seek(at)
        head = file.read(8)
        if len(head) < 8 or not all(0x20 <= byte < 0x7F for byte in head[:4]):
            return False
        at += 8 + int.from_bytes(head[4:], "little")
        at += at % 2
    return at <= n_file_bytes + 1


_PIECE_BYTES = 1 << 16

_KBPS = {
    3: (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    2: (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
}
"""Layer III bit rates of MPEG-1 (version bits 3) and of MPEG-2 and 2.5, in kbit/s."""
_RATES_HZ = {3: (44100, 48000, 32000), 2: (22050, 24000, 16000), 0: (11025, 12000, 8000)}


def _mp3_claim(file: BinaryIO, claimed_frames: int) -> HeaderClaim:
    """Walk the frames one after another; a mapped file would count as memory in use."""
    stated: int | None = None
    held = 0
    lengths: dict[bytes, int] = {}  # by the bytes of a head that tell it: most frames are alike
    piece_at, piece, at = skip_id3(file), b"", 0
    while True:
        head = piece[at : at + 4]
        n_bytes = lengths.get(head[:3])
        if n_bytes is None and len(head) == 4:
            n_bytes = lengths[head[:3]] = frame_bytes(head)
        if n_bytes is None or at + n_bytes > len(piece):
            more = file.read(_PIECE_BYTES)
            if not more:
                break
            piece_at, piece, at = piece_at + at, piece[at:] + more, 0
            continue
        if n_bytes == 0:
            file.seek(piece_at + at + 4)
            if not _to_next_sync(file, head):
                break
            piece_at, piece, at = file.tell(), b"", 0
            continue
        if not held:
            stated = _xing_frames(piece[at : at + n_bytes])
        held += 1
        at += n_bytes
    if stated is None:
        return HeaderClaim(claimed_frames)
    return HeaderClaim(claimed_frames, stated, held - 1, "MPEG frames")


def skip_id3(file: BinaryIO) -> int:
    """Go from the start of a file to behind its ID3v2 tag; return where that is, in bytes."""
    head = file.read(10)
    size = 0
    if head[:3] == b"ID3" and len(head) == 10:
        for byte in head[6:]:
            size = size << 7 | byte & 0x7F
        size += 10
    return file.seek(size)


def _to_next_sync(file: BinaryIO, head: bytes) -> bool:
    """Go from a head that is none to the next bytes that may be one; say if there are any."""
    at = file.tell() - len(head) + 1
    file.seek(at)
    while len(piece := file.read(_PIECE_BYTES)) > 1:
        found = -1
        while (found := piece.find(b"\xff", found + 1)) >= 0:
            if found + 1 < len(piece) and piece[found + 1] & 0xE0 == 0xE0:
                file.seek(at + found)
                return True
        at += len(piece) - 1
        file.seek(at)
    return False


def frame_bytes(head: bytes) -> int:
    """Return the length of a Layer III frame from its 4 header bytes; 0 if they are none."""
    if head[0] != 0xFF or head[1] & 0xE6 != 0xE2:
        return 0
    version = head[1] >> 3 & 3
    rate_index, kbps_index = head[2] >> 2 & 3, head[2] >> 4
    if version == 1 or rate_index == 3 or kbps_index in {0, 15}:
        return 0
    kbps = _KBPS[3 if version == 3 else 2][kbps_index]
    slots = 144_000 if version == 3 else 72_000
    return slots * kbps // _RATES_HZ[version][rate_index] + (head[2] >> 1 & 1)


def _xing_frames(frame: bytes) -> int | None:
    """Return the number of frames that a Xing or Info header in a first frame states."""
    is_mpeg1, is_mono = frame[1] >> 3 & 3 == 3, frame[3] >> 6 == 3
    at = 4 + ((17 if is_mono else 32) if is_mpeg1 else (9 if is_mono else 17))
    if frame[at : at + 4] not in {b"Xing", b"Info"} or len(frame) < at + 12:
        return None
    if not frame[at + 7] & 1:
        return None
    return int.from_bytes(frame[at + 8 : at + 12], "big")
