"""Sets of lines written without any look at the code: built as scripts, and judged.

A line is a JSON object with `line`, `language`, `accept` (readings; `{a|b|}` are alternatives),
`family`, `difficulty`, `plain` (to be left as it is) and `ask` (any listed reading counts).
"""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.script.reader import read
from pausewright.script.source.markdown import formula_end
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

FOLDER = Path(__file__).parents[2] / "cases" / "unseen"
Verdict: TypeAlias = Literal["right", "asked", "told", "silent"]
"""Right; right with a warning; wrong with a warning or problem; wrong without a word."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a set."""

    id: str
    language: str
    family: str
    difficulty: int
    text: str
    accept: tuple[str, ...]
    plain: bool
    ask: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a line."""

    line: Line
    spoken: str
    problems: tuple[str, ...]
    verdict: Verdict
    is_changed: bool
    """Whether it is said otherwise than it is written."""
    shown: str = ""


def lines_of(file: Path) -> tuple[Line, ...]:
    """Return the lines of a set."""
    found = []
    for row in file.read_text(encoding="utf-8").splitlines():
        if row.strip():
            data = json.loads(row)
            found.append(
                Line(
                    data["id"],
                    data["language"],
                    data["family"],
                    int(data["difficulty"]),
                    data["line"],
                    tuple(data["accept"]),
                    bool(data.get("plain")),
                    bool(data.get("ask")),
                )
            )
    return tuple(found)


def as_typed(text: str) -> str:
    """Return a line as a script has it: signs that have a meaning there after a backslash."""
    out, at = "", 0
    while at < len(text):
        end = formula_end(text, at, len(text)) if text[at] == "$" else None
        if end is not None:
            out, at = out + text[at:end], end
            continue
        sign = text[at]
        escaped = sign in "*_[]{}`|" or (sign == "<" and text[at + 1 : at + 2].isalpha())
        escaped |= at == 0 and sign in "#+->"
        out, at = out + ("\\" + sign if escaped else sign), at + 1
    out = out.replace("::", ":\\:")
    return re.sub(r"^(\d+|[A-Za-z])([.)]) ", r"\1\\\2 ", out)


def outcome(line: Line, settings: str = "") -> Outcome:
    """Build a line as a script, and judge what is said."""
    text = f"---\ntitle: Lines\nlanguage: {line.language}\n{settings}---\n\n{as_typed(line.text)}\n"
    reading = read(Path("lines.md"), text)
    worded = Worded(reading.script)
    last = text.count("\n")
    spoken = [
        one
        for one in worded.all_elements()
        if isinstance(one, Utterance) and one.place.line == last
    ]
    words = " ".join(one.words for one in spoken)
    problems = tuple(
        f"{p.severity}: {p.message}"
        for p in (*reading.problems, *worded.problems.all)
        if p.place.line == last and p.code != "unstated"  # a count or time that no setting holds
    )
    is_right = any(is_reading(words, accepted) for accepted in line.accept)
    if is_right:
        verdict: Verdict = "asked" if problems else "right"
    else:
        verdict = "told" if problems else "silent"
    is_changed = _as_written(words) != _as_written(line.text)
    return Outcome(line, words, problems, verdict, is_changed, " ".join(o.shown for o in spoken))


def _as_written(text: str) -> str:
    for curly, straight in (
        ("’", "'"),
        ("‘", "'"),
        ("“", '"'),
        ("”", '"'),
        ("…", ","),
        ("...", ","),
    ):
        text = text.replace(curly, straight)
    return " ".join(text.split())


def _bare(text: str) -> str:
    """Return text as letters and figures only; names of Z are the letter."""
    text = re.sub(r"\b(?:zed|zee)\b", "z", text.lower())
    return "".join(sign for sign in text if sign.isalnum())


def is_reading(words: str, accepted: str) -> bool:
    """Say whether words are an accepted reading; case, signs, hyphens and blanks apart."""
    pattern = ""
    for piece in re.split(r"([{}|])", accepted):
        pattern += {"{": "(?:", "}": ")", "|": "|"}.get(piece) or re.escape(_bare(piece))
    return re.fullmatch(pattern, _bare(words)) is not None


@dataclass(frozen=True, slots=True)
class Score:
    """What became of a set."""

    outcomes: tuple[Outcome, ...]

    def count(self, *verdicts: Verdict) -> int:
        """Count the lines with one of these verdicts."""
        return sum(one.verdict in verdicts for one in self.outcomes)

    @property
    def n_right(self) -> int:
        """Lines read rightly, with or without a warning."""
        return self.count("right", "asked")

    @property
    def plain_changed(self) -> tuple[Outcome, ...]:
        """Plain lines that are said otherwise than they are written."""
        return tuple(one for one in self.outcomes if one.line.plain and one.is_changed)

    @property
    def warned_though_right(self) -> tuple[Outcome, ...]:
        """Lines read rightly with a warning, where no two readings are possible."""
        return tuple(o for o in self.outcomes if o.verdict == "asked" and not o.line.ask)

    def table(self) -> str:
        """Return the figures, in all, by family and by difficulty."""
        n, silent = len(self.outcomes), self.count("silent")
        changed, warned = len(self.plain_changed), len(self.warned_though_right)
        n_plain = sum(o.line.plain for o in self.outcomes)
        rows = [
            f"right {self.n_right} of {n} ({100 * self.n_right / n:.1f} %)",
            f"wrong with a warning or problem {self.count('told')}",
            f"wrong in silence {silent} ({100 * silent / n:.1f} %)",
            f"plain lines changed {changed} of {n_plain}",
            f"warnings on right lines {warned} ({100 * warned / max(1, self.n_right):.1f} %)",
        ]
        for name in ("difficulty", "family"):
            totals: Counter[str] = Counter(str(getattr(o.line, name)) for o in self.outcomes)
            right = Counter(
                str(getattr(o.line, name)) for o in self.outcomes if o.verdict in {"right", "asked"}
            )
            rows.append(
                f"{name}: " + ", ".join(f"{k} {right[k]}/{v}" for k, v in sorted(totals.items()))
            )
        return "\n".join(rows)


def scored(lines: Iterable[Line]) -> Score:
    """Judge every line of a set."""
    return Score(tuple(outcome(line) for line in lines))


def main(arguments: Sequence[str]) -> None:
    """Print the figures of a set, and every line that is not simply right."""
    score = scored(lines_of(Path(arguments[0])))
    for one in score.outcomes:
        doubted = one.verdict == "asked" and not one.line.ask
        if one.verdict in {"told", "silent"} or doubted or (one.line.plain and one.is_changed):
            print(f"{one.line.id} {one.line.language} {one.line.family} [{one.verdict}]")  # noqa: T201
            print(f"   line   {one.line.text}\n   said   {one.spoken}")  # noqa: T201
            if one.verdict != "asked":
                print(f"   accept {one.line.accept[0]}")  # noqa: T201
            for problem in one.problems:
                print(f"   {problem}")  # noqa: T201
    print(score.table())  # noqa: T201


if __name__ == "__main__":
    import sys

    main(sys.argv[1:])
