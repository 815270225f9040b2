"""How text from a file is shown on a terminal: no sign of it acts, and no line is endless.

Control characters move the cursor, change colours or turn the order of signs around; they are
shown as signs that stand for them. What is too long is cut, and says so.
"""

from __future__ import annotations

import json
import re
import unicodedata
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.problems import Place, Problem

MOST_PROBLEMS: Final = 100
"""Problems that are printed; the number of the others is told."""
ROW_LIMIT: Final = 200
"""Characters of a source line that are shown where the width of the terminal is not known."""
TEXT_LIMIT: Final = 400
"""Characters of a sentence or hint that are shown: it may quote what the author wrote."""
CARET_LIMIT: Final = 60
"""Characters of a source line that a caret may underline at most."""
CUT: Final = "…"

_BIDI: Final = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_ACTING: Final = re.compile(rf"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029{_BIDI}]")
"""Control characters but tab and line feed; the Unicode signs that break lines or turn them."""
_ACTING_IN_LINE: Final = re.compile(rf"[\x00-\x1f\x7f-\x9f\u2028\u2029{_BIDI}]")
_JSON_ESCAPED: Final = re.compile(rf"[\x7f-\x9f\u2028\u2029{_BIDI}]")
"""What stands for itself in JSON although it acts on a terminal."""


def harmless(text: str) -> str:
    """Return text with a sign in place of each control character; lines and tabs stay."""
    return _ACTING.sub(_sign, text)


def one_line(text: str, limit: int = TEXT_LIMIT) -> str:
    """Return text as one harmless line of at most `limit` characters, cut in its middle."""
    if len(text) > limit:
        half = (limit - len(CUT)) // 2
        text = text[:half] + CUT + text[-half:]
    return _ACTING_IN_LINE.sub(_sign, text)


def json_text(data: object, indent: int | None = None) -> str:
    """Return data as JSON in which every control character is escaped: the same data."""
    text = json.dumps(data, ensure_ascii=False, indent=indent)
    return _JSON_ESCAPED.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _sign(found: re.Match[str]) -> str:
    """Return one sign for one control character, so that what follows keeps its column."""
    code = ord(found[0])
    if code < 0x20:
        return chr(0x2400 + code)
    return "\u2421" if code == 0x7F else "\ufffd"


def first_problems(problems: Sequence[Problem]) -> tuple[tuple[Problem, ...], int]:
    """Return the problems to show, in their order, and how many are left out: errors go first."""
    if len(problems) <= MOST_PROBLEMS:
        return tuple(problems), 0
    errors = [at for at, one in enumerate(problems) if one.severity == "error"]
    others = [at for at, one in enumerate(problems) if one.severity != "error"]
    chosen = sorted([*errors, *others][:MOST_PROBLEMS])
    return tuple(problems[at] for at in chosen), len(problems) - len(chosen)


def problem_data(problem: Problem) -> dict[str, object]:
    """Return a problem for JSON."""
    place = problem.place
    return {
        "severity": problem.severity,
        "code": problem.code,
        "file": str(place.file),
        "line": place.line,
        "column": place.column,
        "length": place.length,
        "message": one_line(problem.message),
        "hint": one_line(problem.hint),
        "see_also": [
            {"file": str(p.file), "line": p.line, "column": p.column} for p in problem.also
        ],
    }


def problems_data(name: str, problems: Sequence[Problem]) -> dict[str, object]:
    """Return the first problems for JSON under a name, and how many were left out."""
    shown, n_left_out = first_problems(problems)
    return {name: [problem_data(one) for one in shown], f"{name}_left_out": n_left_out}


def shown_problem(
    problem: Problem,
    rows: Mapping[Path, Sequence[str]],
    base: Path | None = None,
    row_limit: int = ROW_LIMIT,
) -> str:
    """Return the problem as it is printed: place, sentence, source line, caret, hint.

    Parameters
    ----------
    problem : what is wrong
    rows : the lines of each file; a line that is not there is left out
    base : paths that lie below it are shown from there
    row_limit : characters of a source line that are shown, at least 40
    """
    place = problem.place
    lines = [f"{_located(place, base)}: {problem.severity}: {one_line(problem.message)}"]
    written = rows.get(place.file, ())
    if 0 < place.line <= len(written):
        lines += [f"    {row}" for row in _row_and_caret(written[place.line - 1], place, row_limit)]
    lines += [f"  see also: {_located(other, base)}" for other in problem.also]
    if problem.hint:
        lines.append(f"  hint: {one_line(problem.hint)}")
    return "\n".join(lines)


def _row_and_caret(row: str, place: Place, limit: int) -> tuple[str, str]:
    """Return what is shown of a source line, and the line with the caret below it."""
    limit = max(40, limit)
    start = min(max(0, place.column - 1), len(row))
    length = max(1, min(place.length, len(row) - start, CARET_LIMIT, limit // 2))
    first, last = 0, len(row)
    if len(row) > limit:
        middle = start + length // 2
        first = max(0, min(middle - limit // 2, len(row) - limit))
        last = first + limit
    before, after = CUT * (first > 0), CUT * (last < len(row))
    inside = row[first + len(before) : last - len(after)]
    shown = before + inside + after
    lead = (before + row[first + len(before) : start]).ljust(start - first)
    under = row[start : start + length] or " "
    shown = one_line(shown.replace("\t", " "), limit)
    return shown, " " * _cells(lead) + "^" * max(1, _cells(under))


def _cells(text: str) -> int:
    """Return how many columns of a terminal a text takes: East Asian signs take two."""
    found = 0
    for sign in text:
        if unicodedata.combining(sign):
            continue
        found += 2 if unicodedata.east_asian_width(sign) in {"W", "F"} else 1
    return found


def _located(place: Place, base: Path | None) -> str:
    file = place.file
    if base is not None and file.is_relative_to(base):
        file = file.relative_to(base)
    return f"{one_line(file.as_posix())}:{place.line}:{place.column}"
