"""Two or three figures with a sign between them: ratios, scores, ranges, verses, coordinates."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.wording import code_digits, numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_N: Final = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"
_R: Final = rf"\d{{1,3}}(?:{BLANK}\d{{3}})+(?!\d)|{_N}"
_RATIO: Final = Late(
    rf"(?:{_N})(?:{BLANK}?:{BLANK}?(?:{_R}|[a-z](?!\w))){{1,3}}(?!\w|:\w)", re.ASCII
)
_MAP_SCALE: Final = Late(r"1/(\d{1,3}(?:[ ,]\d{3})+)(?![\d,])", re.ASCII)
_SCALED: Final = Late(r"(1):(\d+(?:\.\d+)?)(k|m)(?!\w)", re.ASCII)
_VERSE: Final = Late(r"(\d{1,3}):(\d{1,3})(?:[–-](\d{1,3}))?(?![\w:])", re.ASCII)
_DASHED: Final = Late(
    rf"(?P<first>{_N})(?P<mark>[–—-]|"
    rf"{BLANK}[–-]{BLANK})(?P<second>{_N})(?![\w:°–-]*\d)(?!\.\d)(?!,\d)(?![/]\d)"
    r"(?![a-zA-Z]*[–-]\d)",
    re.ASCII,
)
_POINT: Final = Late(
    rf"\({BLANK}?(?P<x>[−-]?(?:{_N})|[−-]?[a-z]){BLANK}?,{BLANK}?(?P<y>[−-]?(?:{_N})|[−-]?[a-z])"
    rf"(?:{BLANK}?,{BLANK}?(?P<z>[−-]?(?:{_N})|[−-]?[a-z]))?{BLANK}?\)",
    re.ASCII,
)
_SETS: Final = Late(r"(?<![\d–-])(?:[0-6][–-][67]|[67][–-][0-6]|7[–-]6|6[–-]7)(?![\d–-])")
"""The score of a set of tennis."""
_SMALL_SCORE: Final = 20
"""Falling figures up to this with a long dash may be a score."""


def read(scan: Scan, at: int) -> Reading | None:
    """Read a ratio, a verse, or figures with a dash."""
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
    if scan.mentions("tennis"):
        nil = scan.language.word("love") or nil
    return " ".join(nil if int(part) == 0 else _words(scan, part) for part in (first, second))


def _words(scan: Scan, written: str) -> str:
    number = numbers.number_at(re.sub(BLANK, "", written), 0, scan.language)
    return scan.words_of(number) if number else written


def _ratio(scan: Scan, at: int) -> Reading | None:
    verse = _VERSE.match(scan.text, at)
    told = scan.decide("colon", at, verse.end()) if verse else None
    if verse and told is not None and told.reads == "verse":
        return Reading(verse.end(), _verse_words(scan, verse), "ratio", because=told.told(verse[0]))
    map_scale = _MAP_SCALE.match(scan.text, at)
    if map_scale is not None:
        part = re.sub(r"\D", "", map_scale[1])
        joint = scan.language.word(
            "to" if scan.mentions("ratios") or scan.mentions("maps") else "over"
        )
        words = f"{_words(scan, '1')} {joint} {numbers.whole_words(int(part), scan.language)}"
        return Reading(map_scale.end(), words, "ratio")
    scaled = _SCALED.match(scan.text, at)
    if scaled is not None:
        thousand = scan.language.table("amounts")["thousand" if scaled[3] == "k" else "million"]
        to = scan.language.word("to")
        words = f"{_words(scan, scaled[1])} {to} {_words(scan, scaled[2])} {thousand}"
        return Reading(scaled.end(), words, "ratio")
    found = _RATIO.match(scan.text, at)
    if found is None:
        return None
    parts = found[0].split(":")
    if any(re.match(r"0\d", part.strip()) for part in parts):
        return None
    if re.search(r"\d:[ \u00a0]", found[0]):
        told = scan.decide("colon", at, found.end())
        if told is None or told.reads != "ratio":
            return None  # "In 2001: a story", "nearer to 700: 689 or 712"
    words = ratio_words(scan, found[0])
    told = scan.decide("colon", at, found.end())
    if told is not None and told.reads == "ratio":
        return Reading(found.end(), words, "ratio", because=told.told(found[0]))
    if (
        " " in found[0]
        or len(parts) > 2
        or not parts[-1].strip().isdigit()
        or parts[0].strip() == "1"
    ):
        return Reading(found.end(), words, "ratio")
    if all(part.strip().isdigit() and len(part.strip()) <= 3 for part in parts):
        score = score_words(scan, *(part.strip() for part in parts))
        choices = [("ratio", words), ("score", score)]
        if told is not None and told.reads == "score":
            choices.reverse()
            if told.sure:
                return Reading(found.end(), score, "ratio", because=told.told(found[0]))
        return Reading(
            found.end(), choices[0][1], "ratio", (scan.doubt(at, found.end(), *choices),)
        )
    return Reading(found.end(), words, "ratio")


def _verse_words(scan: Scan, found: re.Match[str]) -> str:
    """Return chapter and verse: "three sixteen to eighteen"."""
    words = f"{_words(scan, found[1])} {_words(scan, found[2])}"
    return f"{words} {scan.language.word('to')} {_words(scan, found[3])}" if found[3] else words


def _dashed(scan: Scan, at: int) -> Reading | None:
    """Read `5–6`, `5–0`, `5-2`: a range, a score, a telephone number or a subtraction."""
    found = _DASHED.match(scan.text, at)
    if found is None:
        return None
    first, second, end = found["first"], found["second"], found.end()
    spaced = found["mark"].strip() != found["mark"]
    if (
        first == second
        and first.isdigit()
        and len(first) < 3
        and not scan.is_formula
        and not spaced
    ):
        return Reading(end, score_words(scan, first, second), "range")
    if len(_SETS.findall(scan.text)) > 1 and _SETS.fullmatch(found[0]):
        return Reading(end, score_words(scan, first, second), "range")
    readings = _readings(scan, first, second)
    if scan.beside_operator(at, end):
        return Reading(end, readings["difference"])
    rises = first.isdigit() and second.isdigit() and int(first) < int(second)
    told = (scan.decide("rising_dash", at, end) if rises else None) or scan.decide("dash", at, end)
    if told is not None and told.reads == "cricket" and not scan.language.day_first:
        told = replace(told, reads="score")  # innings of baseball
    if told is not None and told.reads in readings:
        if spaced and told.reads != "stretch":
            return None
        if told.sure:
            words = readings[told.reads]
            return Reading(end, words, "range", because=told.told(found[0]))
    elif spaced:
        return None
    low, high = (float(part.replace(",", "")) for part in (first, second))
    order = _likely(
        found["mark"].strip().replace("—", "–"),
        low,
        high,
        is_whole=first.isdigit() and second.isdigit(),
    )
    choices = [(_KINDS.get(name, ""), readings[name]) for name in order if name in readings]
    if len(choices) == 1:
        return Reading(end, choices[0][1], "range")
    return Reading(end, choices[0][1], "range", (scan.doubt(at, end, *choices),))


_KINDS: Final = {"score": "score", "phone": "phone"}


def _readings(scan: Scan, first: str, second: str) -> dict[str, str]:
    """Return every reading of two figures with a dash by its name."""
    a, b = _words(scan, first), _words(scan, second)
    language = scan.language
    found = {
        "stretch": f"{a} {language.word('to')} {b}",
        "difference": f"{a} {language.word('minus')} {b}",
    }
    if first.isdigit() and second.isdigit():
        found["code"] = f"{a} {b}"
        found["score"] = score_words(scan, first, second)
        found["cricket"] = f"{a} {language.word('runs_for')} {b}"
        found["phone"] = code_digits.phone_words(scan, f"{first}-{second}")
    return found


def _likely(mark: str, low: float, high: float, *, is_whole: bool) -> tuple[str, ...]:
    """Return the readings that are possible without a cue, the likeliest first."""
    if mark == "–":
        if low < high:
            return ("stretch",)  # a long dash between rising figures: every style guide
        if is_whole and low <= _SMALL_SCORE:
            return ("score", "difference", "stretch")
        return ("stretch", "difference")
    if low < high:
        return ("stretch", "difference", "score") if is_whole else ("stretch", "difference")
    return ("difference", "score") if is_whole else ("difference",)


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
