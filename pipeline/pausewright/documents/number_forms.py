"""Numbers of lists as word processors and browsers print them."""

from __future__ import annotations

from typing import Final

_ROMAN: Final = tuple(
    zip(
        (1000, 900, 500, 400, 100, 90, 50, 40, 10, 9, 5, 4, 1),
        ["m", "cm", "d", "cd", "c", "xc", "l", "xl", "x", "ix", "v", "iv", "i"],
        strict=True,
    )
)
_MOST_ROMAN: Final = 3999


def letters(n: int) -> str:
    """Return a, b … z, aa, bb … as word processors count; a number below 1 in figures."""
    return chr(ord("a") + (n - 1) % 26) * ((n - 1) // 26 + 1) if 1 <= n <= 26 * 30 else str(n)


def letters_in_turn(n: int) -> str:
    """Return a, b … z, aa, ab … as browsers count; a number below 1 in figures."""
    if n < 1:
        return str(n)
    found = ""
    while n:
        n, left = divmod(n - 1, 26)
        found = chr(ord("a") + left) + found
    return found


def roman(n: int) -> str:
    """Return i, ii … of 1 to 3999, other numbers in figures."""
    if not 1 <= n <= _MOST_ROMAN:
        return str(n)
    found = ""
    for value, sign in _ROMAN:
        while n >= value:
            found += sign
            n -= value
    return found
