"""The first frame of an MP3: how long it is, and which samples are the encoder's and not ours.

An encoder puts samples before and after those that it was given. A player that reads this frame
leaves them out, so that the sound begins at its first sample and has its exact length.

Layout: LAME's Info frame (check value FM-08), as `PutVbrTag` and `PutLameVBR` write it in
libmp3lame/VbrTag.c (LAME 3.100); checked in the tests by five decoders.
"""

from __future__ import annotations

from typing import Final

from fastcrc.crc16 import arc

ENCODER_DELAY: Final = 576
"""Samples that LAME puts before the first one; a decoder adds 529 of its own and knows it."""

_LARGEST_PADDING: Final = 0xFFF
_SIGNED: Final = b"LAME3.100"
"""Who encoded; players believe delay and padding of encoders that they know."""

_SIDE_BYTES: Final = {(True, 1): 17, (True, 2): 32, (False, 1): 9, (False, 2): 17}
"""By MPEG-1 (else 2) and channels: what lies between a frame's 4 bytes of header and our words."""
_TOLD: Final = 0b1111
"""Which of these are there: number of frames, number of bytes, places, quality."""
_N_PLACES: Final = 100
_CONSTANT_RATE: Final = 1

_LEAST_KBPS: Final = 64
"""A frame of this bit rate has room for the 156 bytes of our words at every sample rate."""
_LEAST_KBPS_MARK: Final = {True: 0x50, False: 0x80}
"""How a header says so, in MPEG-1 and 2."""


def is_mpeg_1(rate_hz: int) -> bool:
    """Return whether a sample rate belongs to MPEG-1 and not to 2."""
    return rate_hz >= 32_000


def samples_a_frame(rate_hz: int) -> int:
    """Return how many samples a frame of Layer III holds (ISO/IEC 11172-3 and 13818-3)."""
    return 1152 if is_mpeg_1(rate_hz) else 576


class Frames:
    """A stream of MP3 frames of one bit rate, counted as its bytes come."""

    def __init__(self, *, rate_hz: int, channels: int, kbps: int) -> None:
        """Start before the first byte."""
        self.n_frames = 0
        self._rate_hz = rate_hz
        self._channels = channels
        self._kbps = kbps
        self._n_bytes = 0
        self._sum = 0
        self._head = b""
        self._next_head = 0
        """Place in the stream."""
        self._started = bytearray()
        """What there is of the next header."""

    @property
    def n_first_bytes(self) -> int:
        """Length of the frame that tells of the others."""
        return self._frame_bytes(max(self._kbps, _LEAST_KBPS))

    def add(self, data: bytes) -> None:
        """Take the next bytes.

        Raises
        ------
        ValueError
            If a frame does not begin where the one before it ends.
        """
        self._sum = arc(data, self._sum)
        end = self._n_bytes + len(data)
        while self._next_head < end:
            at = self._next_head - self._n_bytes + len(self._started)
            self._started += data[at : at + 4 - len(self._started)]
            if len(self._started) < 4:
                break
            head = bytes(self._started)
            self._started.clear()
            if head[0] != 0xFF or head[1] & 0xE0 != 0xE0:
                raise ValueError(f"frame {self.n_frames + 1} begins with {head.hex()}")
            self._head = self._head or head
            self._next_head += self._frame_bytes(self._kbps) + (head[2] >> 1 & 1)
            self.n_frames += 1
        self._n_bytes = end

    def first_frame(self, n_samples: int) -> bytes:
        """Return the frame to put before the others, which hold `n_samples` samples a channel.

        Raises
        ------
        ValueError
            If they cannot hold so many, or much more: the stream is not whole.
        """
        padding = self.n_frames * samples_a_frame(self._rate_hz) - ENCODER_DELAY - n_samples
        if not 0 <= padding <= _LARGEST_PADDING or self._n_bytes != self._next_head:
            raise ValueError(f"{self.n_frames} frames for {n_samples} samples")
        n_all = self.n_first_bytes + self._n_bytes
        places = bytes(256 * number // _N_PLACES for number in range(_N_PLACES))
        frame = bytearray(self._first_head())
        frame += bytes(_SIDE_BYTES[is_mpeg_1(self._rate_hz), self._channels])
        frame += b"Info" + _bytes(_TOLD, 4) + _bytes(self.n_frames, 4) + _bytes(n_all, 4)
        frame += places + bytes(4)  # nothing is told of the quality
        frame += _SIGNED + _bytes(_CONSTANT_RATE, 1)
        frame += bytes(10)  # nor of low pass, peak, gains and noise shaping
        frame += _bytes(min(self._kbps, 255), 1) + _bytes(ENCODER_DELAY << 12 | padding, 3)
        frame += _bytes(self._source(), 1) + bytes(3)  # no gain, no preset
        frame += _bytes(n_all, 4) + _bytes(self._sum, 2)
        frame += _bytes(arc(bytes(frame)), 2)
        return bytes(frame.ljust(self.n_first_bytes, b"\0"))

    def _frame_bytes(self, kbps: int) -> int:
        """Return the length of a frame without the byte that some have more."""
        return samples_a_frame(self._rate_hz) // 8 * 1000 * kbps // self._rate_hz

    def _first_head(self) -> bytes:
        """Return the header of the other frames, with room enough and no byte more."""
        sync, kind, rates, mode = self._head
        rates &= 0b1111_1101
        if self._kbps < _LEAST_KBPS:
            rates = rates & 0x0F | _LEAST_KBPS_MARK[is_mpeg_1(self._rate_hz)]
        return bytes((sync, kind, rates, mode))

    def _source(self) -> int:
        """Return the byte with the channels and the rate of what was encoded."""
        mode = 0 if self._channels == 1 else 1 if self._head[3] >> 6 == 0 else 3
        rate = 0 if self._rate_hz <= 32_000 else 2 if self._rate_hz == 48_000 else 1
        return mode << 2 | rate << 6


def _bytes(value: int, n_bytes: int) -> bytes:
    return value.to_bytes(n_bytes, "big")
