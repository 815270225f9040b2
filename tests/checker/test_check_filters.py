"""The check's filters, running means and other rates against scipy's."""

from __future__ import annotations

import numpy as np
import pytest
from pausewright.checker.listen.filters import (
    StreamFilter,
    held_peaks,
    resampled,
    running_means,
    transform_length,
)
from pausewright.checker.listen.loudness import weighting
from scipy.ndimage import maximum_filter1d, uniform_filter1d
from scipy.signal import resample_poly, sosfilt


@pytest.mark.parametrize("n_channels", [1, 2])
@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 192_000])
def test_a_stream_is_filtered_as_scipy_filters_it(rate_hz: int, n_channels: int) -> None:
    """The loudness filter over joints of blocks and pieces is scipy's `sosfilt`, within 10⁻⁸."""
    random = np.random.default_rng(rate_hz + n_channels)
    stream = StreamFilter(weighting(rate_hz), n_channels)
    for n_samples in (1, 63, 64, 5_000, 150_001):  # the filter is used again after each
        wave = random.normal(size=(n_channels, n_samples))
        cuts = np.sort(random.integers(0, n_samples + 1, 4))

        parts = [piece for part in np.split(wave, cuts, axis=1) for piece in (*stream.add(part),)]
        whole = np.concatenate([*parts, *stream.finish()], axis=1)

        assert whole.shape == wave.shape
        assert np.abs(whole - sosfilt(weighting(rate_hz), wave)).max() < 1e-8


@pytest.mark.parametrize("width", [3, 5, 12, 41])
def test_running_means_are_scipys(width: int) -> None:
    """Of many values and of one, with either way of going on beyond the ends."""
    values = np.random.default_rng(width).normal(size=(100, 3))

    assert running_means(values, width) == pytest.approx(
        uniform_filter1d(values, width, axis=0, mode="nearest")
    )
    assert running_means(values[:, 0], width, mirrored=True) == pytest.approx(
        uniform_filter1d(values[:, 0], width, mode="reflect")
    )
    assert running_means(values[:1], width) == pytest.approx(values[:1])


def test_a_mean_beside_what_is_far_greater_is_exact() -> None:
    """Soft values after one that is 10²⁰ times as great come back as they were."""
    values = np.array([1e20, *[1.0] * 20])

    assert np.array_equal(running_means(values, 5)[4:], np.ones(17))


@pytest.mark.parametrize("width", [1, 2, 7, 200])
def test_held_peaks_are_scipys(width: int) -> None:
    """The largest of each so many values in a row."""
    values = np.random.default_rng(width).normal(size=500)
    whole = maximum_filter1d(values, width, origin=-(width // 2))

    assert np.array_equal(held_peaks(values, width), whole[: 501 - width])


@pytest.mark.parametrize(("up", "down"), [(1, 3), (1, 4), (160, 441), (320, 441), (2, 3), (1, 1)])
@pytest.mark.parametrize("n_samples", [0, 1, 7, 5_000, 44_100])
def test_other_rates_are_scipys(n_samples: int, up: int, down: int) -> None:
    """As long as `resample_poly` makes it, and the same to rounding."""
    wave = np.random.default_rng(n_samples).normal(size=n_samples)

    found = resampled(wave, up, down)

    if n_samples:
        whole = resample_poly(wave, up, down)
        assert found.shape == whole.shape
        assert np.abs(found - whole).max() < 1e-12
    else:
        assert not len(found)


def test_transforms_are_long_enough() -> None:
    """A quick length is at least what is asked for, and at most a third more."""
    for n_samples in range(4, 3_000):
        assert n_samples <= transform_length(n_samples) <= 4 / 3 * n_samples
