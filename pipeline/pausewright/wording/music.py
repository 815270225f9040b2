"""Music: notes with their signs, note values, time signatures."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_NOTE: Final = Late(
    r"([A-Ga-g])(♭♭|♯♯|[♭♯♮𝄪𝄫]|(?<=[A-G])(?:#|b)(?![\w#]))(m|7|maj7|m7|\d)?(?![\w♭♯])"
)
_CHORD: Final = Late(
    r"([A-G])(b|#|♭|♯)?((?:maj|min|m|M|dim|aug|sus|add)?(?:2|4|5|6|7|9|11|13)?)(?<=[a-zM\d])"
    r"(?<![A-G]b)(?![\w/°’'])"
)
_SEVENTHS: Final = Late(r"(?<!\w)[A-G](?:b|#|♭|♯)?(?:maj|min|m)?7(?!\w)")
_SIGNATURE: Final = Late(r"(\d{1,2})/(\d{1,2})(?![\w/])(?!\.\d)", re.ASCII)


def _chord(scan: Scan, at: int) -> Reading | None:
    """Read `Em`, `Bb7` and `F♯m7` beside words of chords."""
    found = _CHORD.match(scan.text, at)
    if found is None:
        return None
    clear = re.fullmatch(r"(?:maj|m|min)\d|\d", found[3]) and re.search(
        r"♭|♯|[iIV]+7?–[iIV]+", scan.text
    )
    several = len(_SEVENTHS.findall(scan.text)) > 1
    if not (scan.mentions("chords") or several or (clear and (found[2] or len(found[3]) > 1))):
        return None
    words = found[1]
    if found[2]:
        words += f" {scan.language.table('accidentals')[found[2]]}"
    for piece in re.findall(r"[a-zA-Z]+|\d+", found[3]):
        known = scan.language.table("chord_names").get(piece)
        words += f" {known or numbers.whole_words(int(piece), scan.language)}"
    return Reading(found.end(), named(words), "code")


_INTERVAL: Final = Late(r"(?:(P)([1458])|([Mm])([2367])|([Ad])([1-8]))(?!\w)", re.ASCII)


def _interval(scan: Scan, at: int) -> Reading | None:
    """Read `P5` and `m3` beside words of intervals: "perfect fifth"."""
    found = _INTERVAL.match(scan.text, at)
    names = scan.language.table("interval_names")
    told = scan.decide("interval", at, found.end()) if found and names else None
    if found is None or told is None:
        return None
    ordinal = numbers.ordinal_words(int(found[0][1]), scan.language)
    words = {"1": names["1"], "8": names["8"]}.get(found[0][1], ordinal)
    said = f"{names[found[0][0]]} {words}"
    return Reading(found.end(), said, "word", because=told.told(found[0]))


def note(scan: Scan, at: int) -> Reading | None:
    """Read `B♭`, `F♯`, and `F#`, `Bb` beside words of music."""
    table = scan.language.table("accidentals")
    if (interval := _interval(scan, at)) is not None:
        return interval
    if table and (chord := _chord(scan, at)) is not None:
        return chord
    found = _NOTE.match(scan.text, at) if table else None
    if found is None:
        return None
    sign = found[2]
    if (sign == "b" or (sign == "#" and found[1].islower())) and not (
        scan.mentions("music") or re.search(r"[A-G](?:#(?!\w)|[♭♯])", scan.text)
    ):
        return None
    words = f"{found[1].upper()} {table[sign]}"
    if found[3]:
        last = {"m": "minor", "maj7": "major seven", "m7": "minor seven"}.get(found[3])
        words += f" {last or numbers.whole_words(int(found[3]), scan.language)}"
    return Reading(found.end(), named(words), "code")


def sign(scan: Scan, at: int) -> Reading | None:
    """Read a note value or an accidental that stands alone."""
    if scan.text[at].isascii():
        return None
    dotted = scan.language.word("dotted")
    for name in ("note_values", "accidentals"):
        table = scan.language.table(name)
        if (
            name == "note_values"
            and scan.text[at] in table
            and dotted
            and (re.match(r"\.[ ]?(?:=|[a-z])", scan.text[at + 1 : at + 4]))
        ):
            return Reading(at + 2, f"{dotted} {table[scan.text[at]]}", "sign")
        if scan.text[at] in table and scan.text[at] not in "#b":
            return Reading(at + 1, str(table[scan.text[at]]), "sign")
    return None


def signature_words(scan: Scan, written: str) -> str:
    """Return a time signature: "six eight"."""
    return " ".join(numbers.whole_words(int(one), scan.language) for one in written.split("/"))
