"""Figures and letters of a code or telephone number, one by one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

FEW: Final = 2
"""Figures of a room or bus up to this many are a number."""


def phone_words(scan: Scan, written: str) -> str:
    """Return a telephone number in words, its groups parted by commas."""
    zero = "zero" if scan.zero == "zero" else "oh"
    is_short = written.isdigit() and len(written) == 3  # 999, 111: known figure by figure
    repeated = "each" if is_short else scan.style("repeated-digits")
    head = ""
    if written.startswith("+"):
        head, written = f"{scan.language.word('plus')} ", written[1:]
    return named(head + numbers.digits(written, zero, repeated=repeated, language=scan.language))


def code_words(scan: Scan, written: str) -> str:
    """Return digits one by one, in words, and letters by their names."""
    zero = "zero" if scan.zero == "zero" else "oh"
    return named(numbers.digits(written, zero, language=scan.language))


def short(scan: Scan, figure: str) -> str:
    """Return figures of a code: up to two as a number, more one by one."""
    if len(figure) <= FEW and figure[0] != "0":
        return numbers.whole_words(int(figure), scan.language)
    if re.fullmatch(r"[1-9]00|[1-9]000", figure):
        return numbers.whole_words(int(figure), scan.language)
    return numbers.digits(figure, "zero" if scan.zero == "zero" else "oh", language=scan.language)
