"""Every example of the author's reference is read, worded and planned; its tables are the code's.

Blocks of docs/script-language.md are told apart by the words after their three backquotes:

- `markdown`: a script, or part of one, without a problem. A part (no `---` first) gets the settings
  of the block `yaml head` before it and a closing sentence after it.
- `markdown problem`: the same, and the block `text` below it is what it must give.
- `markdown timeline`: a script whose steps are the table below it.
- `markdown untidy`, `markdown tidied`: a script and its one form (tests/script/test_tidy.py).
- `yaml`: settings.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say, Wait
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.attributes.scope import SCOPED, read_scoped
from pausewright.script.reader import read
from pausewright.script.settings.settings_table import SETTINGS, STRUCTURED
from pausewright.script.silences import silence_name
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Problem
    from pausewright.script.model import Script

PAGE = Path(__file__).parents[2] / "docs" / "script-language.md"
TEXT = PAGE.read_text(encoding="utf-8")
CLOSING = "\n\n# Close\n\nThe test is over.\n"
INCLUDED = "You will hear a short test.\n"


@dataclass(frozen=True)
class Block:
    """One fenced block: the words after its backquotes, its text, its first line in the page."""

    kind: str
    text: str
    line: int


def _blocks() -> tuple[Block, ...]:
    found = re.finditer(r"^```([^\n`]*)\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
    return tuple(
        Block(m[1].strip(), m[2], TEXT.count("\n", 0, m.start()) + 2) for m in found
    )  # fmt: skip


BLOCKS = _blocks()
HEAD = next(b.text for b in BLOCKS if b.kind == "yaml head")


def of_kind(kind: str) -> list[object]:
    """Return the blocks of one kind as test parameters, named by their line in the page."""
    found = [pytest.param(b, id=f"line {b.line}") for b in BLOCKS if b.kind == kind]
    assert found, kind
    return list(found)


def whole(text: str) -> str:
    """Return the script that an example means."""
    return text if text.startswith("---") else f"---\n{HEAD}---\n\n{text.rstrip()}{CLOSING}"


def read_example(text: str, folder: Path) -> tuple[Script, Sequence[Problem]]:
    """Return an example's script and all its problems, those of the wording after the reader's."""
    (folder / "standard").mkdir(exist_ok=True)
    (folder / "standard" / "opening.md").write_text(INCLUDED, encoding="utf-8")
    reading = read(folder / "test.md", whole(text))
    found = list(reading.problems)
    if not any(p.severity == "error" for p in found):
        found += Worded(reading.script).problems.all
    return reading.script, found


def told(problem: Problem) -> str:
    """Return a problem as the page shows it."""
    hint = f"\n  hint: {problem.hint}" if problem.hint else ""
    return f"{problem.severity}: {problem.message}{hint}"


@pytest.mark.parametrize("block", of_kind("markdown"))
def test_each_example_can_be_planned(block: Block, tmp_path: Path) -> None:
    """An example gives neither error nor warning and has something to say."""
    script, problems = read_example(block.text, tmp_path)

    assert not [told(p) for p in problems]
    assert any(isinstance(step, Say) for step in steps(Worded(script)))


@pytest.mark.parametrize("block", of_kind("markdown problem"))
def test_each_mistake_gives_the_problem_shown(block: Block, tmp_path: Path) -> None:
    """A wrong example gives exactly the sentences and hints below it."""
    shown = next(b for b in BLOCKS if b.line > block.line)
    _, problems = read_example(block.text, tmp_path)

    assert shown.kind == "text"
    assert shown.text.rstrip() == "\n".join(told(p) for p in problems)
    assert any(p.severity == "error" for p in problems)


@pytest.mark.parametrize("block", of_kind("yaml"))
def test_each_block_of_settings_is_read(block: Block, tmp_path: Path) -> None:
    """A block of settings, with any paragraph after it, gives no problem."""
    _, problems = read_example(f"---\n{block.text}---\n\nThe test is over.\n", tmp_path)

    assert not [told(p) for p in problems]


def _rows(header: str) -> list[list[str]]:
    """Return the cells of the table that this line heads."""
    lines = TEXT.split("\n")
    first = lines.index(header) + 2
    rows = [[c.strip() for c in line.strip("|").split("|")] for line in _table(lines[first:])]
    assert rows, header
    return rows


def _table(lines: list[str]) -> list[str]:
    end = next(i for i, line in enumerate(lines) if not line.startswith("|"))
    return lines[:end]


ATTRIBUTES = _rows("| attribute | stands on | handed down | default | means |")
WORDS = _rows("| word | stands on | means |")
IN_SETTINGS = _rows("| setting | default | means |")


def _name(cell: str) -> str:
    return cell.strip("`.")


def _places(cell: str) -> set[str]:
    return {place.strip() for place in cell.split(",")} - {"settings"}


def test_the_table_of_attributes_is_the_readers() -> None:
    """The page names every attribute with the places where the reader takes it, and no other."""
    assert {name: set(places) for name, places in VALUES.items()} == {
        _name(row[0]): _places(row[1]) for row in ATTRIBUTES
    }
    assert {name: set(places) for name, places in YES_WORDS.items()} == {
        _name(row[0]): _places(row[1]) for row in WORDS
    }


def test_what_is_handed_down_is_told() -> None:
    """The page says of each attribute whether it is handed down, and whether settings take it."""
    assert set(SCOPED) == {_name(row[0]) for row in ATTRIBUTES if row[2] == "yes"}
    in_settings = {name for name, scoped in SCOPED.items() if scoped.in_settings}
    assert in_settings | {"captions-reason"} == {
        _name(row[0]) for row in ATTRIBUTES if row[1].startswith("settings")
    }


@pytest.mark.parametrize(
    "name", [n for n, s in SCOPED.items() if s.in_settings and s.default is not None]
)
def test_the_defaults_are_the_readers(name: str) -> None:
    """A default in the tables, read as an author's value, is the one in force."""
    for rows, column in ((ATTRIBUTES, 3), (IN_SETTINGS, 1)):
        default = next(row[column] for row in rows if _name(row[0]) == name)

        assert SCOPED[name].default == read_scoped(name, default)


def test_the_table_of_settings_is_the_readers() -> None:
    """The page names every setting with its default, and no other."""
    own = {"pace", *STRUCTURED, *(n for n, s in SCOPED.items() if s.in_settings)}
    found = {_name(row[0]): row[1] for row in IN_SETTINGS}

    assert {*SETTINGS, *own} == set(found)
    assert {n: s.default or "–" for n, s in SETTINGS.items()} == {n: found[n] for n in SETTINGS}


def _seconds(cell: str) -> Fraction:
    return Fraction(cell.removesuffix(" s"))


def test_the_timeline_of_one_question_is_what_is_planned(tmp_path: Path) -> None:
    """The table's silences and words are the plan's, and each row begins where the last ended."""
    block = next(b for b in BLOCKS if b.kind == "markdown timeline")
    rows = _rows("| starts at | length | what |")
    script, problems = read_example(block.text, tmp_path)
    planned: list[str] = []
    for step in steps(Worded(script)):
        if isinstance(step, Wait):
            planned.append(f"silence: {silence_name(step.kind)} of {float(step.wait_s):.1f} s")
        elif isinstance(step, Say) and isinstance(step.element, Utterance):
            planned.append("".join(part.text for part in step.element.spoken))

    assert not [told(p) for p in problems]
    assert planned == [
        f"{row[2]} of {row[1]}" if row[2].startswith("silence") else row[2] for row in rows
    ]
    ends = [_seconds(row[0]) + _seconds(row[1]) for row in rows]
    assert [Fraction(0), *ends[:-1]] == [_seconds(row[0]) for row in rows]


def test_no_link_within_the_page_is_broken() -> None:
    """Each link to a heading of the page has that heading."""
    prose = re.sub(r"```.*?```", "", TEXT, flags=re.DOTALL)
    headings = re.findall(r"^#{1,3} (.+)$", prose, re.MULTILINE)
    anchors = {re.sub(r"[^\w -]", "", h.lower()).replace(" ", "-") for h in headings}
    links = set(re.findall(r"\]\(#([^)]+)\)", TEXT))

    assert links
    assert set() == links - anchors
