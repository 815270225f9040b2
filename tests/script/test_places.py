"""A caret stands under exactly the words that are meant, wherever they stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.script.reader import read
from pausewright.shown_text import shown_problem
from support.scripts.script_cases import FILE, HEAD, TAIL

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Place


def questions(n: int) -> str:
    """Return n questions, one a line."""
    return "".join(f"{i}. Which is number {i}?\n" for i in range(1, n + 1))


MARKED = {
    "question 1": '1. One? {«kay="9"»}',
    "question 10": questions(9) + '10. Ten? {«kay="9"»}',
    "question 99": questions(98) + '99. Many? {«kay="9"»}',
    "question 100": questions(99) + '100. Many? {«kay="9"»}',
    "question 1000": questions(999) + '1000. Many? {«kay="9"»}',
    "two blanks after the number": '1.  One? {«kay="9"»}',
    "a no-break space after the number": '1.\u00a0One? {«kay="9"»}',
    "a tab after the number": '1.\tOne? {«kay="9"»}',
    "a tab inside": 'One\ttwo {«kay="9"»}',
    "indented by a tab": '1. One?\n\n\tTwo. {«kay="9"»}',
    "question 10, indented": questions(9) + '10. Ten?\n\n    Think. {«kay="9"»}',
    "question 100, indented": questions(99) + '100. Many?\n\n    Think. {«kay="9"»}',
    "a wrapped paragraph": 'One two\nthree {«kay="9"»}',
    "a wrapped question": '1. One two\n    three {«kay="9"»}',
    "a wrapped question 10": questions(9) + '10. One two\n   three\n    four {«kay="9"»}',
    "a wrapped indented paragraph": '1. One?\n\n    Two\n    three {«kay="9"»}',
    "a block's first line": '::: stop {for="2 s" «kay="9"»}\nWait.\n:::',
    "the braced form of a block": '::: {.stop «kay="9"»}\nWait.\n:::',
    "an indented block's first line": '1. One?\n\n    ::: key {«kay="9"»}\n    9\n    :::',
    "inside a block": '::: stop\nWait. {«kay="9"»}\n:::',
    "inside a passage, second line": '::: passage\nHello\nyou. {«kay="9"»}\n:::',
    "inside a note": "1. One?\n\n    ::: sheet\n    a «[b]» c\n    :::",
    "an option": '1. One?\n\n    - A. red\n    - B. blue {«kay="9"»}',
    "an option of question 100": (
        questions(99) + '100. Many?\n\n    - A. red\n    - B. blue {«kay="9"»}'
    ),
    "a sub-question": '1. One? {.printed}\n\n    - a. red {«kay="9"»}',
    "a heading": '## Quick {«kay="9"»}',
    "a heading with closing marks": '## Quick {«kay="9"»} ##',
    "after a comment": 'One <!-- two --> three {«kay="9"»}',
    "after a comment in a question": '1. <!-- two --> three {«kay="9"»}',
    "before a comment": 'One {«kay="9"»} <!-- three -->',
    "after an entity": 'One &amp; two {«kay="9"»}',
    "after an escape": 'One \\* two {«kay="9"»}',
    "after emphasis": 'One **two** three {«kay="9"»}',
    "inside emphasis": "One **two «[three]»** four",
    "inside a span": "One [two «[three]» x]{shown=y} four",
    "trailing blanks": 'One two {«kay="9"»}   ',
    "a sound": 'Hear ![a bell](bell.wav){«kay="9"»} now.',
    "a stray brace": "One two«}» three",
    "a stray bracket after a span": 'One [1/2]{say="half"} two«]» three',
    "text after text": "One&nbsp;two «[three]» four",
}


def place_of(marked: str) -> tuple[int, int, int]:
    """Return line, column and length of what stands between the marks."""
    text = HEAD + marked
    before, inside, _ = text.replace("»", "«").split("«")
    line = before.count("\n") + 1
    return line, len(before) - before.rfind("\n"), len(inside)


def found(text: str, file: Path = FILE) -> list[Place]:
    """Return the places of all errors but those for unbuilt constructs."""
    problems = read(file, text).problems
    return [p.place for p in problems if p.severity == "error"]


@pytest.mark.parametrize("marked", MARKED.values(), ids=MARKED.keys())
def test_the_caret_is_right(marked: str) -> None:
    """Line, column and length of a problem are those of the words meant."""
    text = HEAD + marked.replace("«", "").replace("»", "") + TAIL
    places = found(text)

    assert [(p.line, p.column, p.length) for p in places] == [place_of(marked)]


def test_line_ends_and_mark_do_not_matter(tmp_path: Path) -> None:
    """A byte-order mark and other line ends leave every place as it is."""
    text = HEAD + questions(9) + '10. Ten?\n\n    Think {kay="9"}\n' + TAIL
    plain = found(text)
    file = tmp_path / "test.md"
    for raw in (text.replace("\n", "\r\n"), text.replace("\n", "\r"), "\ufeff" + text):
        file.write_bytes(raw.encode())

        assert [(p.line, p.column) for p in found_in(file)] == [(p.line, p.column) for p in plain]


def found_in(file: Path) -> list[Place]:
    """Return the places of all errors of a file."""
    return [p.place for p in read(file).problems if p.severity == "error"]


def test_an_included_file_is_named_with_the_including_line(tmp_path: Path) -> None:
    """A problem in an included file has its own place there, and names where it is included."""
    main, inner = tmp_path / "main.md", tmp_path / "standard" / "opening.md"
    inner.parent.mkdir()
    inner.write_text('Hello.\n\nListen {kay="9"} well.\n', encoding="utf-8")
    text = HEAD + "Well.\n\n[Opening](standard/opening.md){.include}\n" + TAIL
    main.write_text(text, encoding="utf-8")
    problems = read(main).problems

    assert [(p.place.file, p.place.line, p.place.column) for p in problems] == [(inner, 3, 8)]
    assert [(a.file, a.line, a.column) for p in problems for a in p.also] == [(main, 8, 1)]


def test_all_problems_come_at_once_in_file_order() -> None:
    """Every wrong line of a script is named in one run, from the first line to the last."""
    text = HEAD + "".join(f'Line {{n{i}="x"}}\n\n' for i in range(1, 31)) + TAIL

    assert [p.line for p in found(text)] == [6 + 2 * i for i in range(30)]


def test_a_caret_does_not_run_over_the_line() -> None:
    """The caret ends where the source line ends, and stands under the right column."""
    text = HEAD + 'One two three {kay="9' + TAIL
    problem = read(FILE, text).problems[0]
    rows = shown_problem(problem, {FILE: text.split("\n")}).split("\n")

    assert rows[1].index("kay") == rows[2].index("^")
    assert len(rows[2]) <= len(rows[1])
