"""Sheets that cannot be printed: each is a problem with its place in the script."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from pausewright.papers.answer_sheet import answer_sheet
from pausewright.papers.typeset.paper_frame import Look
from pausewright.problems import ScriptError
from pausewright.script.reader import read
from pypdf import PdfReader

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.problems import Problem

HEAD = "---\ntitle: Bad sheet\nlanguage: en-GB\nanswer-time: 5 s\n---\n\n# Test\n\nListen.\n\n"
SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">'
    '<rect width="5" height="5"/></svg>'
)


def printed(folder: Path, sheet: str, look: Look | None = None, head: str = HEAD) -> Paper:
    """Return the answer sheet of one question with this sheet."""
    (folder / "square.svg").write_text(SQUARE, encoding="utf-8")
    (folder / "broken.png").write_bytes(b"no picture at all")
    file = folder / "bad.md"
    rows = "".join(f"    {row}\n" if row else "\n" for row in sheet.split("\n"))
    file.write_text(f"{head}1. Look.\n\n    ::: sheet\n{rows}    :::\n\nEnd.\n", encoding="utf-8")
    reading = read(file)
    assert [p.message for p in reading.problems if p.severity == "error"] == []
    return answer_sheet(reading.script, label="A", edition="7KQ3MX", look=look or Look())


def problems(folder: Path, sheet: str, look: Look | None = None) -> tuple[Problem, ...]:
    """Return what is said of a sheet that cannot be printed."""
    with pytest.raises(ScriptError) as error:
        printed(folder, sheet, look)
    assert all(one.place.file == folder / "bad.md" for one in error.value.problems)
    return error.value.problems


@pytest.mark.parametrize(
    ("sheet", "sentence", "line"),
    [
        ("One.\n\n![a cup](cup.svg)", "cup.svg", 16),
        ("![](square.svg)", "has no description", 14),
        ('![a square](square.svg){width="30 cm"}', "is 30 cm wide, and the text 17.4 cm", 14),
        ('![a square](square.svg){width="120 %"}', "is 120 % wide", 14),
        ("![a ship](broken.png)", "the picture cannot be read", 14),
        ("Write 中 here.", "no font of the papers has ‘中’", 14),
        ("One\ntwo 𒀀", "no font of the papers has ‘𒀀’", 15),
        ('[____]{.answer lines="60"}', "needs more than a page", 11),
    ],
)  # fmt: skip
def test_what_cannot_be_printed_is_told_with_its_line(
    tmp_path: Path, sheet: str, sentence: str, line: int
) -> None:
    """In the author's file, not in a template."""
    (only,) = problems(tmp_path, sheet)

    assert sentence in only.message
    assert only.place.line == line
    assert only.hint


def test_all_pictures_at_fault_are_told_together(tmp_path: Path) -> None:
    """One run shows all of them."""
    found = problems(tmp_path, "![a cup](cup.svg)\n\n![](square.svg)\n\n![a hat](hat.svg)")

    assert [one.place.line for one in found] == [14, 16, 18]


def test_a_question_that_fits_at_one_size_may_not_at_another(tmp_path: Path) -> None:
    """It is told where it does not fit, with what to do."""
    sheet = '[____]{.answer lines="20"}'
    assert printed(tmp_path, sheet).n_pages == 1
    (only,) = problems(tmp_path, sheet, Look(18))

    assert only.message.startswith("question 1 needs more than a page")
    assert "larger paper" in only.hint
    assert printed(tmp_path, sheet, Look(18, "A3")).n_pages <= 2


@pytest.mark.parametrize(
    "words", ["שלום לך", "مرحبا", "Żółć ſt Ŵ ŷ", "Ελληνικά", "Жар", "ʃiːp", "♯ ♭ ♪ → ☐ ⅞ ≥ √"]
)
def test_other_scripts_and_signs_are_printed(tmp_path: Path, words: str) -> None:
    """Right-to-left words too: each letter is in the file, as another library reads it."""
    paper = printed(tmp_path, f"Copy: {words}")
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(paper.pdf)).pages)

    assert {sign for sign in words if not sign.isspace()} - set(text) == set()


@pytest.mark.parametrize(
    "formula",
    [
        r"$\frac{1}{2}x^2 = \sqrt{8}$",
        r"$3 \times 4 \div 2 \le 9$",
        r"$\sum_{i=1}^{n} i$",
        r"$|x - 3| < 5$",
        r"$0.\overline{3}$",
    ],
)
def test_formulas_are_printed_with_a_description(tmp_path: Path, formula: str) -> None:
    """Typst refuses none of them, and PDF/UA-1 asks for the text beside it."""
    assert printed(tmp_path, f"Work out {formula}").n_pages == 1


def test_a_templates_folder_beside_the_script_is_used(tmp_path: Path) -> None:
    """And a faulty one is told at its own place."""
    folder = tmp_path / "ours"
    folder.mkdir()
    own = '#import "base.typ": paper\n#let render(data) = paper(data.frame)[= {}]\n'
    (folder / "answer-sheet.typ").write_text(own.format("Quite another"), encoding="utf-8")
    head = HEAD.replace("answer-time", "paper-templates: ours\nanswer-time")
    paper = printed(tmp_path, "x", head=head)
    assert "Quite another" in PdfReader(io.BytesIO(paper.pdf)).pages[0].extract_text()
    (folder / "answer-sheet.typ").write_text(own.format("#nope"), encoding="utf-8")
    with pytest.raises(ScriptError) as error:
        printed(tmp_path, "x", head=head)

    (only,) = error.value.problems
    assert only.place.file == folder / "answer-sheet.typ"
    assert (only.place.line, "unknown variable: nope" in only.message) == (2, True)
