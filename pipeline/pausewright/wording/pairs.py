"""Two or three figures with a sign between them: ratios, scores, ranges, coordinates."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_N: Final = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"
_R: Final = rf"\d{{1,3}}(?:{BLANK}\d{{3}})+(?!\d)|{_N}"
_RATIO: Final = re.compile(rf"(?:{_N})(?:{BLANK}?:{BLANK}?(?:{_R})){{1,3}}(?![\w:])", re.ASCII)
_DASHED: Final = re.compile(
    rf"(?P<first>{_N})(?P<mark>[–-])(?P<second>{_N})(?![\w:%°–-])(?!\.\d)(?![/]\d)", re.ASCII
)
_POINT: Final = re.compile(
    rf"\({BLANK}?(?P<x>[−-]?(?:{_N})|[−-]?[a-z]){BLANK}?,{BLANK}?(?P<y>[−-]?(?:{_N})|[−-]?[a-z])"
    rf"(?:{BLANK}?,{BLANK}?(?P<z>[−-]?(?:{_N})|[−-]?[a-z]))?{BLANK}?\)",
    re.ASCII,
)


def read(scan: Scan, at: int) -> Reading | None:
    """Read a ratio, or figures with a dash."""
    if not scan.language.has("ratios"):
        return None
    return _ratio(scan, at) or _dashed(scan, at)


def ratio_words(scan: Scan, written: str) -> str:
    """Return the words of figures with colons: "five to two"."""
    parts = [part.strip(" \u00a0\u202f\u2009") for part in written.split(":")]
    return f" {scan.language.word('to')} ".join(_words(scan, part) for part in parts)


def score_words(scan: Scan, first: str, second: str) -> str:
    """Return the words of a score: "five nil"."""
    nil = scan.style("nil")
    return " ".join(nil if int(part) == 0 else _words(scan, part) for part in (first, second))


def _words(scan: Scan, written: str) -> str:
    number = numbers.number_at(re.sub(BLANK, "", written), 0, scan.language)
    return scan.words_of(number) if number else written


def _ratio(scan: Scan, at: int) -> Reading | None:
    found = _RATIO.match(scan.text, at)
    if found is None:
        return None
    parts = found[0].split(":")
    if any(re.match(r"0\d", part.strip()) for part in parts):
        return None
    words = ratio_words(scan, found[0])
    if scan.mentions("ratios") or len(parts) > 2:
        return Reading(found.end(), words, "ratio")
    if all(part.strip().isdigit() and len(part.strip()) <= 3 for part in parts):
        score = score_words(scan, *(part.strip() for part in parts))
        if scan.mentions("scores"):
            doubt = scan.doubt(at, found.end(), ("score", score), ("ratio", words))
            return Reading(found.end(), score, "ratio", (doubt,))
        doubt = scan.doubt(at, found.end(), ("ratio", words), ("score", score))
        return Reading(found.end(), words, "ratio", (doubt,))
    return Reading(found.end(), words, "ratio")


def _dashed(scan: Scan, at: int) -> Reading | None:
    """Read `5–6`, `5–0`, `5-2`: a range, a score or a subtraction."""
    found = _DASHED.match(scan.text, at)
    if found is None:
        return None
    first, second = found["first"], found["second"]
    a, b = _words(scan, first), _words(scan, second)
    low, high = (float(part.replace(",", "")) for part in (first, second))
    language = scan.language
    a_range = f"{a} {language.word('to')} {b}"
    difference = f"{a} {language.word('minus')} {b}"
    whole = first.isdigit() and second.isdigit()
    score = score_words(scan, first, second) if whole else ""
    if scan.beside_operator(at, found.end()):
        return Reading(found.end(), difference)
    rising = low < high
    if rising and scan.mentions("ranges"):
        return Reading(found.end(), a_range, "range")
    choices = [("", a_range)] if rising else []
    choices.append(("", difference))
    if whole:
        is_score = scan.mentions("scores") or (found["mark"] == "–" and not rising)
        choices.insert(0 if is_score else len(choices), ("score", score))
        if is_score and scan.mentions("scores"):
            return Reading(found.end(), score, "score")
    return Reading(found.end(), choices[0][1], "range", (scan.doubt(at, found.end(), *choices),))


def read_point(scan: Scan, at: int) -> Reading | None:
    """Read coordinates: `(3, −2)`."""
    found = _POINT.match(scan.text, at)
    if found is None or not scan.language.has("ratios"):
        return None
    said = []
    for part in (found["x"], found["y"], found["z"]):
        if part is None:
            continue
        minus = f"{scan.style('negative')} " if part[0] in "−-" else ""
        core = part.lstrip("−-")
        letter = named(core)
        said.append(minus + (letter if core.isalpha() else _words(scan, core)))
    return Reading(found.end(), ", ".join(said), "point")
