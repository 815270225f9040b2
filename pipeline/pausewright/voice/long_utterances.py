"""Utterances that are too long for a network, divided by a stated rule.

An utterance of more symbols than a network takes is divided at the last mark that ends a sentence
(. ! ? …) in the second half of what it takes; without one at the last mark inside a sentence
(; : — , and closing quotes) there, without that at the last blank, and else after the last symbol.
The rest is divided likewise. Each piece is said by itself, with a short pause between them.
"""

from __future__ import annotations

from typing import Final

_MARKS: Final = (".!?…", ";:—,”)", " ")


def pieces(symbols: str, most: int) -> tuple[str, ...]:
    """Return pieces of at most `most` symbols, each without blanks at its ends, in order."""
    found = []
    rest = symbols.strip()
    while len(rest) > most:
        end = _end(rest, most)
        found.append(rest[:end].rstrip())
        rest = rest[end:].lstrip()
    return (*found, rest)


def _end(symbols: str, most: int) -> int:
    """Return where the first piece ends."""
    for marks in _MARKS:
        last = most if marks == " " else most - 1  # what is left out may stand behind the end
        for at in range(last, most // 2 - 1, -1):
            # a mark ends a piece only where a blank follows: "3.5" is one word
            if symbols[at] in marks and (marks == " " or symbols[at + 1] == " "):
                return at + 1
    return most
