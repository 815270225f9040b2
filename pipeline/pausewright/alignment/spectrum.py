"""The power of a recording over time, in bands, in frames of 5 ms."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

HOP_MS: Final = 5
_WINDOW_MS: Final = 16
_BANDS_HZ: Final = (100, 250, 450, 700, 1000, 1400, 2000, 2800, 3800, 5200, 7800)
_CHUNK_FRAMES: Final = 1 << 14


@frozen
class Spectrum:
    """Power in bands. Frame i lies around i × `HOP_MS`."""

    bands: Floats
    """Shape (n_frames, n_bands): power, full scale 1."""
    total: Floats
    """Shape (n_frames,): power above 100 Hz."""
    freedom: Floats
    """Shape (n_bands,): degrees of freedom of each band's power in noise."""


def spectrum(samples: NDArray[np.int16], rate_hz: int) -> Spectrum:
    """Return the power of a recording in one channel; `samples` of shape (n_samples,)."""
    hop, size = rate_hz * HOP_MS // 1000, rate_hz * _WINDOW_MS // 1000
    window = np.hanning(size + 1)[:size].astype(np.float32)
    window /= np.float32(np.sqrt(np.sum(window**2)) * 32767)
    n_fft = 1 << (size - 1).bit_length()
    hz = np.fft.rfftfreq(n_fft, 1 / rate_hz)
    edges = [int(np.searchsorted(hz, at)) for at in _BANDS_HZ if at < rate_hz / 2]
    n_frames = len(samples) // hop + 1
    bands = np.empty((n_frames, len(edges) - 1), np.float32)
    padded = np.pad(samples, (size // 2, size + hop))
    frames = np.lib.stride_tricks.sliding_window_view(padded, size)[::hop][:n_frames]
    for at in range(0, n_frames, _CHUNK_FRAMES):
        power = np.abs(np.fft.rfft(frames[at : at + _CHUNK_FRAMES] * window, n_fft)) ** 2
        sums = np.add.reduceat(power[:, : edges[-1]], edges[:-1], axis=1)
        bands[at : at + len(power)] = sums * (2 / n_fft)
    # a Hann window leaves about two thirds of the bins independent
    bins = np.diff(edges) * (size / n_fft)
    return Spectrum(bands, bands.sum(axis=1), np.maximum(2, 2 * bins / 1.5).astype(np.float32))
