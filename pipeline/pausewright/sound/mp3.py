"""MP3 by LAME, in a thread of its own.

The only module that encodes with lameenc. It lets the interpreter go while it encodes, so the next
blocks are made meanwhile (docs/decisions/mp3.md).
"""

from __future__ import annotations

import contextlib
from collections import deque
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Final

import lameenc
import numpy as np

from pausewright.files.writing import ROOM_HINT, unwritable
from pausewright.problems import OutputError
from pausewright.sound.gapless import Frames, is_mpeg_1
from pausewright.sound.recording.source import as_int16

if TYPE_CHECKING:
    from concurrent.futures import Future
    from pathlib import Path

    from pausewright.sound.recording.source import Written

MP3_RATES_HZ: Final = (16_000, 22_050, 24_000, 32_000, 44_100, 48_000)
MP3_SCALES: Final = {
    **dict.fromkeys((32, 40, 48, 56, 64, 80, 96, 112, 128, 160), 0.95),
    192: 0.97,
    224: 0.98,
    256: 1.0,
    320: 1.0,
}
"""Bit rates in kbit/s, and the factor by which LAME turns sound down at each (measured at every
sample rate, in mono and stereo); it is given back before encoding, so that an MP3 is as loud as the
other formats."""
MOST_KBPS_BELOW_32_KHZ: Final = 160

_FASTEST_GOOD: Final = 7
"""LAME's effort, 2 (slow) to 9: on speech at 96 kbit/s, 7 takes a third less time than the default
5; beyond it psychoacoustics are off."""
_FULL_SCALE: Final = 32767
_MOST_WAITING: Final = 8
"""Blocks that wait for the encoder at most, so that memory stays flat."""


class Mp3Encoder:
    """MP3 at a constant bit rate, whose decoded sound has the length of what was written.

    A block must not be changed after it was added.
    """

    def __init__(self, part: Path, shown: Path, *, rate_hz: int, channels: int, kbps: int) -> None:
        """Open `part`; messages name `shown`.

        Raises
        ------
        OutputError
            If the file cannot be written.
        ValueError
            If MP3 does not know the rate or the bit rate.
        """
        _refuse_unknown(rate_hz, kbps)
        self._shown = shown
        self._gain = np.float32(1 / MP3_SCALES[kbps])
        self._n_samples = 0
        self._frames = Frames(rate_hz=rate_hz, channels=channels, kbps=kbps)
        self._coder = _coder(rate_hz, channels, kbps)
        self._waiting: deque[Future[None]] = deque()
        try:
            self._file = part.open("wb")
            self._file.write(bytes(self._frames.n_first_bytes))
        except OSError as error:
            raise unwritable(shown, error, ROOM_HINT) from error
        self._thread = ThreadPoolExecutor(1, "mp3")

    def add(self, block: Written) -> None:
        """Hand one block to the encoder; wait if it is far behind."""
        self._n_samples += len(block)
        self._waiting.append(self._thread.submit(self._encode, block))
        self._await(_MOST_WAITING)

    def close(self) -> None:
        """Wait for the encoder, and write the frame that tells of the others."""
        self._waiting.append(self._thread.submit(self._finish))
        self._await(0)
        self._thread.shutdown()

    def abandon(self) -> None:
        """Stop the encoder."""
        self._thread.shutdown(cancel_futures=True)
        with contextlib.suppress(OSError):
            self._file.close()

    def _await(self, n_most: int) -> None:
        """Wait until at most `n_most` blocks are left to encode."""
        try:
            while len(self._waiting) > n_most:
                self._waiting.popleft().result()
        except OSError as error:
            raise unwritable(self._shown, error, ROOM_HINT) from error
        except (RuntimeError, ValueError) as error:  # of LAME; of the stream that it gave
            raise OutputError(f"‘{self._shown}’ cannot be written ({error})", ROOM_HINT) from error

    def _encode(self, samples: Written) -> None:
        block = as_int16(samples)
        if self._gain != 1:
            louder = np.rint(block * self._gain)
            block = np.clip(louder, -_FULL_SCALE, _FULL_SCALE).astype(np.int16)
        self._write(self._coder.encode(block.astype("<i2", copy=False).tobytes()))

    def _finish(self) -> None:
        self._write(self._coder.flush())
        self._file.seek(0)
        self._file.write(self._frames.first_frame(self._n_samples))
        self._file.close()

    def _write(self, coded: bytearray) -> None:
        self._frames.add(bytes(coded))
        self._file.write(coded)


def _refuse_unknown(rate_hz: int, kbps: int) -> None:
    if (
        rate_hz not in MP3_RATES_HZ
        or kbps not in MP3_SCALES
        or (kbps > MOST_KBPS_BELOW_32_KHZ and not is_mpeg_1(rate_hz))
    ):
        raise ValueError(
            f"an MP3 has a rate in {MP3_RATES_HZ} and a bit rate in {tuple(MP3_SCALES)}, of at "
            f"most {MOST_KBPS_BELOW_32_KHZ} below 32,000 Hz, not {kbps} kbit/s at {rate_hz} Hz"
        )


def _coder(rate_hz: int, channels: int, kbps: int) -> lameenc.Encoder:
    """Return a new encoder that is ready for samples."""
    coder = lameenc.Encoder()
    coder.silence()
    coder.set_channels(channels)
    coder.set_in_sample_rate(rate_hz)
    coder.set_out_sample_rate(rate_hz)  # else LAME chooses a lower one for low bit rates
    coder.set_bit_rate(kbps)
    coder.set_quality(_FASTEST_GOOD)
    coder.encode(b"")  # without this, an end that comes before any sample would be an error
    return coder
