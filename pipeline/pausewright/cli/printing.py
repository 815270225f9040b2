"""Everything that is printed goes through here: no sign of a user's file acts on the terminal."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from pausewright.shown_text import harmless, json_text

if TYPE_CHECKING:
    from typing import SupportsInt


def use_utf8() -> None:
    """Print in UTF-8 whatever the system prefers; what cannot be printed shows as a sign."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")


def say(text: str) -> None:
    """Print on standard error, with a sign for each control character."""
    print(harmless(text), file=sys.stderr)


def tell(text: str, *, end: str = "\n", flush: bool = False) -> None:
    """Print on standard output, with a sign for each control character."""
    print(harmless(text), end=end, flush=flush)


def tell_json(data: object, *, indent: int | None = 2) -> None:
    """Print data as JSON on standard output, control characters escaped."""
    print(json_text(data, indent=indent))


def tell_exactly(text: str) -> None:
    """Print text that may be piped into a file: lines end in LF on every system."""
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(newline="\n")
    if sys.stdout.isatty():
        tell(text, end="")
    else:
        print(text, end="")


def counted(n: int, word: str) -> str:
    """Return a number with its noun: "1 error", "1,200 errors"."""
    return f"{n:,} {word}" if n == 1 else f"{n:,} {word}s"


def minutes(length_s: SupportsInt) -> str:
    """Return a length in minutes and whole seconds."""
    seconds = int(length_s)
    return f"{seconds // 60} min {seconds % 60} s"
