"""Text that stands higher or lower than its line, as signs: "x" and a raised "2" are x²."""

from __future__ import annotations

from typing import Final

_HIGH: Final = str.maketrans("0123456789+-−=()n", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻⁻⁼⁽⁾ⁿ")
_LOW: Final = str.maketrans("0123456789+-−=()", "₀₁₂₃₄₅₆₇₈₉₊₋₋₌₍₎")
_ORDINALS: Final = frozenset({"st", "nd", "rd", "th"})


def raised(text: str) -> str:
    """Return raised text: figures and signs as such, the end of an ordinal as it is.

    What has no sign stands behind ^, in brackets if it is longer than one character.
    """
    inner = text.strip()
    if not inner or inner in _ORDINALS or not any(c.isalnum() for c in inner):
        return text
    if all(ord(c) in _HIGH for c in inner):
        return text.translate(_HIGH)
    return text.replace(inner, f"^{inner}" if len(inner) == 1 else f"^({inner})")


def lowered(text: str) -> str:
    """Return lowered text: figures and signs as such, other text as it is."""
    return text.translate(_LOW) if all(ord(c) in _LOW for c in text.strip()) else text


def fraction(above: str, below: str) -> str:
    """Return a fraction in one line, with brackets where they are needed."""
    return "/".join(one if one.isalnum() else f"({one})" for one in (above.strip(), below.strip()))
