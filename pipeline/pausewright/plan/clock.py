"""The builder's only clock: exact seconds in, whole samples out.

The checker must not import this module; it has arithmetic of its own.
"""

from __future__ import annotations

from fractions import Fraction

from pausewright.frozen import frozen
from pausewright.problems import PausewrightError
from pausewright.script.attributes.values import decimal


class ClockError(PausewrightError):
    """A time does not fit the clock."""


@frozen
class Clock:
    """Time at one sample rate, `rate_hz` samples a second."""

    rate_hz: int

    def samples(self, wait_s: Fraction) -> int:
        """Return the least whole number of samples that lasts at least `wait_s` seconds.

        Raises
        ------
        ClockError
            If `wait_s` is negative.
        """
        if wait_s < 0:
            raise ClockError(f"a wait cannot be negative: {wait_s} s")
        return -(-wait_s.numerator * self.rate_hz // wait_s.denominator)

    def seconds(self, n_samples: int) -> Fraction:
        """Return how long `n_samples` samples last, exactly."""
        return Fraction(n_samples, self.rate_hz)

    def milliseconds(self, sample: int) -> int:
        """Return when `sample` comes in whole milliseconds, to the nearest, halves up."""
        return (2 * 1000 * sample + self.rate_hz) // (2 * self.rate_hz)


def counter(at_s: Fraction) -> str:
    """Return a place as a player's counter shows it: minutes and the whole seconds gone by."""
    minutes, seconds = divmod(int(at_s), 60)
    return f"{minutes}:{seconds:02d}"


def exact_seconds(wait_s: Fraction) -> str:
    """Return a time of 0 s or more exactly: a decimal if it has an end, else a fraction."""
    rest = wait_s.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    if rest != 1:
        return f"{wait_s.numerator}/{wait_s.denominator}"
    places = 0
    while (wait_s * 10**places).denominator != 1:
        places += 1
    digits = str((wait_s * 10**places).numerator).rjust(places + 1, "0")
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits


def shown_seconds(wait_s: Fraction) -> str:
    """Return a time for people: exactly if its decimal ends, else to the nearest thousandth."""
    exact = exact_seconds(wait_s)
    return decimal(wait_s) if "/" in exact else exact
