"""Addresses, file names and version numbers: `name@example.org`, `notes.txt`, `1.2.3`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import dates, numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_MOST: Final = 254
"""Characters of an address at most (RFC 5321, 4.5.3.1.3)."""
_LABEL: Final = r"[A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?"
_HOST: Final = rf"{_LABEL}(?:\.{_LABEL})*\.[A-Za-z]{{2,12}}"
_MAIL: Final = Late(rf"[A-Za-z0-9](?:[A-Za-z0-9._+-]*[A-Za-z0-9])?@{_HOST}(?![\w@])", re.ASCII)
_URL: Final = Late(
    rf"(?:(?:https?|ftp)://{_HOST}|www\.{_HOST}|[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)*\.(?:com|org|"
    rf"net|edu|gov|info|eu|test|example|(?:co|org|ac|gov|sch)\.uk|uk)(?![\w-]))"
    r"(?:/[A-Za-z0-9._~%&=?#/-]*[A-Za-z0-9/])?(?![\w@])",
    re.ASCII,
)
_FILE: Final = Late(
    r"[A-Za-z][\w-]*(?:\.[\w-]+)*\.(?P<end>txt|docx?|xlsx?|pptx?|pdf|csv|jpe?g|png|gif|svg|bmp|"
    r"mp[34]|wav|ogg|flac|zip|exe|bat|html?|css|js|py|java|cpp|json|xml|md|odt|ods|rtf|log|ini|"
    r"dat|bak|sql|sh|ipynb|tiff?|midi?|aac)(?![\w.]*\w)",
    re.ASCII | re.IGNORECASE,
)
_ENDING: Final = Late(
    r"\.(?P<end>txt|docx?|xlsx?|pptx?|pdf|csv|jpe?g|png|gif|svg|bmp|mp[34]|wav|ogg|flac|zip|exe|"
    r"html?|css|js|py|json|xml|md|odt|com|org|net|edu|gov|uk|co\.uk|ac\.uk)(?!\w)",
    re.ASCII,
)
_JOINED: Final = Late(r"[A-Za-z]{2,}\d*(?:_[A-Za-z0-9]+)+(?![\w.@]*[\w@])", re.ASCII)
"""Words and figures with low lines between them: a name in code, a password."""
_INDEX: Final = Late(r"(?:_(?:max|min|av|avg|rms|in|out|total|rel|[a-z]|\d))$")
_PATH: Final = Late(r"/[A-Za-z][\w.-]*(?:/[\w.-]*\w)+/?", re.ASCII)
_DRIVE: Final = Late(r"[A-Z]:\\[\w.-]+(?:\\[\w.-]*\w)*", re.ASCII)
_COLOUR: Final = Late(r"#([0-9A-Fa-f]{6}|[0-9A-F]{3})(?!\w)")
_VERSION: Final = Late(r"(?P<v>[vV](?=\d))?\d{1,4}(?:\.\d{1,4}){2,4}(?![\w])(?!\.\d)", re.ASCII)
_V: Final = Late(r"[vV](\d{1,3}(?:\.\d{1,3})?)(?![\w.]*\w)", re.ASCII)
_HASHTAG: Final = Late(r"#(?=[A-Za-z])([A-Za-z][A-Za-z0-9_]*)", re.ASCII)
_HANDLE: Final = Late(r"@([A-Za-z][A-Za-z0-9_]*)(?![\w@.]*\.\w)", re.ASCII)


def read(scan: Scan, at: int) -> Reading | None:
    """Read an address or a file name that begins at `at`, the beginning of a word."""
    table = scan.language.table("web")
    if not table:
        return None
    for pattern in (_MAIL, _URL, _FILE):
        found = pattern.match(scan.text, at)
        if found is not None and len(found[0]) <= _MOST:
            return Reading(found.end(), _said(scan, found[0]), "address")
    joined = _JOINED.match(scan.text, at)
    if (
        joined is not None
        and (re.search(r"[A-Za-z]{3}", joined[0]) or scan.mentions("passwords"))
        and not (scan.is_formula and _INDEX.search(joined[0]))
    ):
        return Reading(joined.end(), _said(scan, joined[0]), "address")
    drive = _DRIVE.match(scan.text, at)
    if drive is not None:
        return Reading(drive.end(), _said(scan, drive[0]), "address")
    short = _V.match(scan.text, at)
    if short is not None:
        return Reading(short.end(), f"V {_points(scan, short[1])}", "address")
    return version(scan, at)


def version(scan: Scan, at: int) -> Reading | None:
    """Read three or more figures with points between them: `1.2.3`, `192.168.0.1`."""
    found = _VERSION.match(scan.text, at)
    if found is None or dates.read(scan, at) is not None or not scan.language.table("web"):
        return None
    figures = found[0].lstrip("vV")
    parts = figures.split(".")
    is_address = len(parts) == 4 and (max(map(len, parts)) == 3 or scan.mentions("networks"))
    joint = (
        f" {scan.language.table('web')['.']} " if is_address else f" {scan.language.word('point')} "
    )
    said = (
        numbers.digits(one, "zero", language=scan.language)
        if is_address
        else numbers.whole_words(int(one), scan.language)
        for one in parts
    )
    head = "V " if found["v"] else ""
    return Reading(found.end(), head + joint.join(said), "address")


def _points(scan: Scan, figures: str) -> str:
    joint = f" {scan.language.word('point')} "
    return joint.join(numbers.whole_words(int(one), scan.language) for one in figures.split("."))


def sign(scan: Scan, at: int) -> Reading | None:
    """Read `#name`, `@name` and a file's ending that stands alone."""
    table = scan.language.table("web")
    if not table:
        return None
    before = scan.text[at - 1 : at]
    if before.isalnum():
        return None
    path = _PATH.match(scan.text, at)
    if path is not None:
        return Reading(path.end(), _said(scan, path[0]), "address")
    colour = _COLOUR.match(scan.text, at)
    if colour is not None and re.search(r"\d", colour[1]):
        signs = " ".join(
            numbers.digits(one, "zero", language=scan.language) if one.isdigit() else one.upper()
            for one in colour[1]
        )
        return Reading(colour.end(), named(f"{table['#']} {signs}"), "address")
    for pattern, name in ((_HASHTAG, "hashtag"), (_HANDLE, "@")):
        found = pattern.match(scan.text, at)
        if found is not None:
            return Reading(found.end(), f"{table[name]} {_said(scan, found[1])}", "address")
    ending = _ENDING.match(scan.text, at)
    if ending is not None:
        return Reading(ending.end(), f"{table['.']} {_end(scan, ending['end'])}", "address")
    return None


def _said(scan: Scan, written: str) -> str:
    """Return an address sign by sign, its words as words."""
    table = scan.language.table("web")
    head, dot, end = written.rpartition(".")
    is_file = bool(dot) and _FILE.fullmatch(written) is not None and "@" not in written
    pieces = re.findall(r"://|[A-Za-z]+|\d+|[^A-Za-z0-9]", head if is_file else written)
    out = []
    for piece in pieces:
        if piece == "://":
            out.append(f"{table[':']} {table['/']} {table['/']}")
        elif piece.isalpha():
            out.append(_word(scan, piece))
        elif piece.isdigit():
            out.append(
                numbers.whole_words(int(piece), scan.language)
                if len(piece) < 3 and piece[0] != "0"
                else numbers.digits(piece, "zero", language=scan.language)
            )
        else:
            out.append(
                str(table.get(piece) or scan.language.table("named_signs").get(piece, piece))
            )
    if is_file:
        out += [str(table["."]), _end(scan, end)]
    return named(" ".join(out))


def _word(scan: Scan, piece: str) -> str:
    spelled = scan.language.listed("web", "spelled")
    low = piece.lower()
    if low in spelled or (len(piece) <= 4 and not set(low) & set("aeiouy")):
        return " ".join(piece.upper())
    if piece.isupper() and 1 < len(piece) <= 3:
        return " ".join(piece)
    return piece


def _end(scan: Scan, end: str) -> str:
    words = scan.language.table("web").get("endings", {})
    if end.lower() in words:
        return str(words[end.lower()])
    if end.lower() in {"com", "net", "org", "gov", "edu"}:
        return end.lower()
    if end.lower() in {"co.uk", "ac.uk"}:
        return _said(scan, end)
    return " ".join(
        numbers.whole_words(int(sign), scan.language) if sign.isdigit() else sign.upper()
        for sign in end
    )
