"""Plain words as a script writes them: signs that would be markup are covered by a backslash."""

from __future__ import annotations

import re
from typing import Final

from pausewright.script.source.markdown import formula_end

_CONTROL: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufffc]")
_SPACES: Final = re.compile(r"[ \t\u00a0]+")
_BOLD: Final = re.compile(r"(?<![\w*\\])(\*{1,2})(?=[^\s*])([^*\n]*[^\s*])\1(?![\w*])")
"""Words between stars, which a person writes who wants them bold."""
_ALWAYS: Final = frozenset("\\{}[]`*_")
_BEGINS: Final = re.compile(
    r"(?P<mark>[-+>=|]|#{1,6}(?=\s|$|\w)|~~~)|(?P<number>\d{1,9}|[A-Za-z])(?=[.)](?:\s|$))"
)
"""At the start of a line: what would begin something else than words."""
_ENTITY: Final = re.compile(r"&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")
_ATTRIBUTE: Final = re.compile(r"(?<=[A-Za-z-]=)\"")


def one_blank(text: str) -> str:
    """Return text with blanks in a row as one, none around line ends, and no control signs."""
    rows = _CONTROL.sub(" ", text.replace("\r\n", "\n").replace("\r", "\n")).split("\n")
    return "\n".join(row for one in rows if (row := _SPACES.sub(" ", one).strip()))


def written(text: str, *, begins_line: bool = True) -> str:
    """Return words so that a script's reader finds just these; formulas and `**bold**` stay.

    `begins_line` says whether they stand at the start of a line of the script.
    """
    kept = {at for found in _BOLD.finditer(text) for at in (*_span(found, 1), *_ends(found))}
    out: list[str] = []
    at, starts = 0, begins_line
    while at < len(text):
        if starts and (mark := _BEGINS.match(text, at)):
            out.append(f"\\{mark[0]}" if mark["mark"] else f"{mark['number']}\\")
            at = mark.end()
            if not mark["mark"]:
                out.append(text[at])
                at += 1
            starts = False
            continue
        sign = text[at]
        formula = formula_end(text, at, len(text)) if sign == "$" else None
        if formula is not None:
            out.append(text[at:formula])
            at, starts = formula, False
            continue
        out.append(_covered(text, at, sign, kept))
        starts = sign == "\n" or (starts and sign == " ")
        at += 1
    return "".join(out)


def _covered(text: str, at: int, sign: str, kept: set[int]) -> str:
    if sign == "*" and at in kept:
        return sign
    is_markup = (
        sign in _ALWAYS
        or (sign == ":" and text[at - 1 : at] == ":")
        or (sign == "<" and re.match(r"<[/!?A-Za-z]", text[at:]))
        or (sign == "&" and _ENTITY.match(text, at))
        or (sign == '"' and _ATTRIBUTE.match(text, at))
    )
    return f"\\{sign}" if is_markup else sign


def _span(found: re.Match[str], group: int) -> range:
    return range(*found.span(group))


def _ends(found: re.Match[str]) -> range:
    return range(found.end() - len(found[1]), found.end())


_COMMENT_ENDS: Final = re.compile(r"-->|--!>|<!--")


def as_comment(text: str) -> str:
    """Return words as a comment of one line; what would end it stands apart."""
    plain = one_blank(text).replace("\n", " ")
    return f"<!-- {_COMMENT_ENDS.sub('—', plain).replace('--', '–')} -->"
