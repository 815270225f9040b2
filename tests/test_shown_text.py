"""Problems on a terminal: short rows, carets at their place, signs for control characters."""

from __future__ import annotations

import json
import re
import sys
import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pausewright.problems import Place, Problem
from pausewright.shown_text import (
    MOST_PROBLEMS,
    first_problems,
    harmless,
    json_text,
    one_line,
    problems_data,
    shown_problem,
)

if TYPE_CHECKING:
    from support.command_line import Run

FILE = Path("test.md")
ACTING = [chr(n) for n in (*range(0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F), 0x2028)]
HEAD = "---\ntitle: T\nlanguage: en-GB\nanswer-time: 5 s\n---\n\n"


def acts(text: str) -> bool:
    """Say whether a text holds a control character, by Unicode's own classes."""
    return any(
        unicodedata.category(sign) in {"Cc", "Zl", "Zp"}
        or unicodedata.bidirectional(sign) in {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI",
                                               "FSI", "PDI"}
        for sign in text
    )  # fmt: skip


def problem(column: int, length: int = 1, severity: str = "error") -> Problem:
    """Return a problem in the first line."""
    assert severity in {"error", "warning"}
    return Problem(
        Place(FILE, 1, column, length), "m", severity="error" if severity == "error" else "warning"
    )


@pytest.mark.parametrize("sign", ACTING)
def test_no_control_character_is_shown(sign: str) -> None:
    """Each has one sign in its place; lines and tabs of our own texts stay."""
    assert not acts(one_line(f"a{sign}b"))
    assert len(one_line(f"a{sign}b")) == 3
    assert not acts(harmless(f"a{sign}b").replace("\n", "").replace("\t", ""))
    assert json.loads(json_text([sign])) == [sign]
    assert not acts(json_text([sign]))


@given(st.text(min_size=1, max_size=600), st.data(), st.integers(40, 250))
def test_the_caret_stands_under_its_sign(row: str, data: st.DataObject, limit: int) -> None:
    """Whatever the row holds and wherever it is cut, the caret is below the sign of its column."""
    row = row.replace("\n", " ").replace("\r", " ")
    column = data.draw(st.integers(1, len(row)))
    sign = row[column - 1]
    _, shown, caret = shown_problem(problem(column), {FILE: [row]}, row_limit=limit).split("\n")

    cells = []
    for one in shown:
        if not unicodedata.combining(one):
            cells += [one] * (2 if unicodedata.east_asian_width(one) in {"W", "F"} else 1)
    at = caret.index("^")
    assert len(shown) <= limit + 4
    assert not acts(shown)
    if not unicodedata.combining(sign) and at < len(cells):
        assert cells[at] == one_line(sign.replace("\t", " "))


def test_errors_are_shown_before_warnings() -> None:
    """A hundred warnings do not hide an error; the order of the file stays."""
    found = [problem(n, severity="warning") for n in range(1, 151)] + [problem(200)]
    shown, n_left_out = first_problems(found)

    assert (len(shown), n_left_out) == (MOST_PROBLEMS, 51)
    assert shown[-1].severity == "error"
    assert [p.place.column for p in shown[:3]] == [1, 2, 3]
    data = problems_data("problems", found)
    assert isinstance(data["problems"], list)
    assert (len(data["problems"]), data["problems_left_out"]) == (100, 51)


def test_a_hundred_problems_are_printed_and_the_others_counted(run: Run, tmp_path: Path) -> None:
    """On the terminal and as JSON."""
    (tmp_path / "t.md").write_text(f"{HEAD}1. {'[' * 4_000}\n\nEnd.\n", encoding="utf-8")

    code, _, err = run("outline", "t.md")
    assert code == 2
    assert err.count(": error: ") == 100
    n_errors = int(re.findall(r"([\d,]+) errors, ", err)[0].replace(",", ""))
    assert n_errors >= 4_000
    n_left_out = int(re.findall(r"\nand ([\d,]+) more\n", err)[0].replace(",", ""))
    assert n_left_out >= n_errors - 100
    assert max(map(len, err.splitlines())) < 500

    code, out, _ = run("outline", "t.md", "--json")
    data = json.loads(out)
    assert code == 2
    assert (len(data["problems"]), data["problems_left_out"]) == (100, n_left_out)


@pytest.mark.parametrize("command", ["outline", "wording", "compare"])
def test_signs_of_a_script_do_not_act_on_the_terminal(
    run: Run, tmp_path: Path, command: str
) -> None:
    """Neither in what is printed of a good script nor in messages about a bad one."""
    text = (
        '---\ntitle: "Tide\\e\\u202e"\nlanguage: en-GB\nanswer-time: 5 s\nvoice: joe\n---\n\n'
        "# Part \u202e\n\n1. Write \u2066it.\n\nEnd.\n"
    )
    (tmp_path / "t.md").write_text(text, encoding="utf-8")
    code, out, err = run(command, "t.md")
    assert code == 0, err
    assert not acts((out + err).replace("\n", "").replace("\t", ""))

    (tmp_path / "t.md").write_text(text + "\x1b]0;x\x07 \x9b31m\n", encoding="utf-8")
    code, out, err = run(command, "t.md")
    assert code == 2
    assert "a control character stands here" in err
    assert "␛]0;x␇" in err
    assert not acts((out + err).replace("\n", "").replace("\t", ""))


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights of their own there")
def test_rows_of_a_file_outside_are_not_printed(run: Run, tmp_path: Path) -> None:
    """A linked file of arrangements may give problems, but none of its lines is shown."""
    secret = tmp_path / "elsewhere" / "secret.txt"
    secret.parent.mkdir()
    secret.write_text("wombat: quokka: [\n", encoding="utf-8")
    folder = tmp_path / "tests"
    folder.mkdir()
    (folder / "t.md").write_text(f"{HEAD}1. A.\n\nEnd.\n", encoding="utf-8")
    (folder / "t.arrangements.yaml").symlink_to(secret)

    code, out, err = run("compare", "tests/t.md")

    assert code == 2
    assert "wombat" not in out + err
    assert "quokka" not in out + err
