"""Papers of drawn scripts read back from the PDF by two libraries: pypdf, and pikepdf for the rest.

What the sheet must hold comes from the drawing of the script (tests/support/papers), not from what
makes papers.
"""

from __future__ import annotations

import io
import os
import random
import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pikepdf
import pytest
from pausewright.arrange.arrangement import Arrangement
from pausewright.checker.papers.pdf_paper import pdf_paper
from pausewright.checker.papers.sheet_pages import judged_pages
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.promises.shown_as_promised import judged_sheet
from pausewright.papers.answer_sheet import answer_sheet
from pausewright.papers.mark_scheme import mark_scheme
from pausewright.papers.typeset.paper_frame import Look
from pausewright.script.reader import read
from pypdf import PdfReader
from support.amounts import cases
from support.papers.drawn_sheets import HEARD, KEYS, NOTES, SHOWN, DrawnSheet, drawn_sheet

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.script.model import Script

SEED = int(os.environ.get("PAUSEWRIGHT_SEED", "21"))
LOOKS = (Look(), Look(18), Look(24), Look(24, "A3"), Look(14, "US Letter", "clear"))


def drawn(seed: int, folder: Path) -> tuple[DrawnSheet, Script]:
    """Return a drawn script, read without an error."""
    made = drawn_sheet(random.Random(seed))  # noqa: S311  cases, no secret
    file = folder / "drawn.md"
    file.write_text(made.text, encoding="utf-8")
    reading = read(file)
    assert [p.message for p in reading.problems if p.severity == "error"] == []
    return made, reading.script


def headings(reader: PdfReader) -> list[tuple[str, int]]:
    """Return the file's list of headings, flat, with pages from 1."""
    found: list[tuple[str, int]] = []

    def walk(rows: object) -> None:
        assert isinstance(rows, list)
        for row in rows:
            if isinstance(row, list):
                walk(row)
            else:
                number = reader.get_destination_page_number(row)
                assert number is not None
                found.append((row.title, number + 1))

    walk(reader.outline)
    return found


def everything(raw: bytes) -> str:
    """Return all strings and all streams of a PDF, uncompressed, and the text of its pages."""
    out = [page.extract_text() for page in PdfReader(io.BytesIO(raw)).pages]
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Stream):
                out.append(thing.read_bytes().decode("latin-1"))
            out += re.findall(r'"((?:[^"\\]|\\.)*)"', repr(thing))
    return "\n".join(out)


@pytest.mark.parametrize("at", range(cases(40, 240)))
def test_an_answer_sheet_holds_what_it_must_and_nothing_else(at: int, tmp_path: Path) -> None:
    """Every number once and in order, page turns where the script has them, no word leaked."""
    made, script = drawn(SEED * 1000 + at, tmp_path)
    look = LOOKS[at % len(LOOKS)]
    paper = answer_sheet(script, label="B", edition="7KQ3MX", look=look)
    reader = PdfReader(io.BytesIO(paper.pdf))
    texts = [page.extract_text() for page in reader.pages]
    numbers = [
        (text, page) for text, page in headings(reader) if re.fullmatch(r"(Practice )?\d+", text)
    ]

    assert [text for text, _ in numbers] == [label for label, _ in made.numbers]
    for (label, _), (_, page) in zip(made.numbers, numbers, strict=True):
        assert re.search(rf"(?m)^\s*{re.escape(label)}\b", texts[page - 1]), label
    pages = [page for _, page in numbers]
    sections = [section for _, section in made.numbers]
    for k in range(1, len(pages)):
        assert pages[k] >= pages[k - 1]
        if sections[k] > sections[k - 1]:
            assert pages[k] > pages[k - 1]
    last_pages = {
        max(p for p, s in zip(pages, sections, strict=True) if s == section)
        for section in range(max(sections))
    }
    turning = {page for page, text in enumerate(texts, 1) if "Turn over" in text}
    assert len(turning) == max(sections)
    assert all(any(0 <= turn - last <= 1 for turn in turning) for last in last_pages)
    found = re.findall(rf"{SHOWN}\d+", "\n".join(texts))
    assert sorted(found) == sorted(made.shown)
    whole = everything(paper.pdf)
    for planted in (HEARD, KEYS, NOTES):
        assert planted not in whole
        assert planted.encode("utf-16-be").decode("latin-1") not in whole
        assert planted.encode("utf-16-be").hex() not in whole.lower()


@pytest.mark.parametrize("at", range(cases(10, 60)))
def test_the_check_agrees_with_the_sheet(at: int, tmp_path: Path) -> None:
    """The check's own reading of the script and of the PDF finds nothing on an honest sheet."""
    made, script = drawn(SEED * 2000 + at, tmp_path)
    paper = answer_sheet(script, label="A", edition="7KQ3MX", look=LOOKS[at % len(LOOKS)])
    promise = promise_of(script, Arrangement("standard", "A"))
    read_back = pdf_paper(paper.pdf, "sheet.pdf")

    assert list(judged_pages("sheet.pdf", read_back, promise)) == []
    assert read_back.mark == paper.mark
    assert len(made.numbers) > 0


@pytest.mark.parametrize("at", range(cases(10, 60)))
def test_a_mark_scheme_holds_every_key_and_the_total(at: int, tmp_path: Path) -> None:
    """Keys and notes for markers are there; what is only heard is not."""
    made, script = drawn(SEED * 3000 + at, tmp_path)
    text = everything(mark_scheme(script, label="A", edition="7KQ3MX").pdf)

    assert set(re.findall(rf"(?:{KEYS}|{NOTES})\d+", text)) == made.for_markers
    assert HEARD not in text
    assert re.search(rf"Total: {made.total} marks?", text)


def test_two_hundred_questions(tmp_path: Path) -> None:
    """A long test has each of its numbers."""
    rows = "".join(f'{n}. What is {n} and 1? {{key="{n + 1}"}}\n' for n in range(1, 201))
    file = tmp_path / "long.md"
    file.write_text(
        "---\ntitle: Long\nlanguage: en-GB\nanswer-time: 5 s\n---\n\n# Test\n\n"
        f"Listen.\n\n{rows}\nThe end.\n",
        encoding="utf-8",
    )
    paper = answer_sheet(read(file).script, label="A", edition="7KQ3MX", look=Look())
    found = [text for text, _ in headings(PdfReader(io.BytesIO(paper.pdf)))]

    assert found[2:] == [str(n) for n in range(1, 201)]
    assert paper.n_pages > 10


def test_letters_have_the_size_that_was_asked_for(tmp_path: Path) -> None:
    """Measured on the glyphs (CV-26: 18 pt and 24 pt are what large print is called)."""
    _, script = drawn(SEED, tmp_path)
    for size in (12, 18, 24):
        look = Look(float(Fraction(size)))
        paper = answer_sheet(script, label="A", edition="7KQ3MX", look=look)
        assert set(glyph_sizes(paper.pdf, rf"{SHOWN}\d")) == {size}


def glyph_sizes(raw: bytes, pattern: str) -> list[float]:
    """Return the sizes in points of the texts that match."""
    found: list[float] = []

    def take(text: str, cm: list[float], tm: list[float], _: object, size: float) -> None:
        if re.search(pattern, text):
            found.append(round(size * abs(tm[0]) * abs(cm[0]), 2))

    for page in PdfReader(io.BytesIO(raw)).pages:
        page.extract_text(visitor_text=take)
    return found


def test_the_number_of_a_page_is_no_figure_of_the_test(tmp_path: Path) -> None:
    """A figure that is only heard may be how many pages there are; elsewhere it is found."""
    more = "::: page-turn\nTurn over.\n:::\n\n::: sheet\nThe harbour in the morning.\n:::\n"
    rows = (
        "# Test",
        "1. The ferry brings 3 crates and a rope. How many crates?",
        more,
        more,
        "Stop.",
    )
    found = {}
    for name, words in (("quiet", ""), ("leaky", "3 crates")):
        file = tmp_path / f"{name}.md"
        text = "\n\n".join(("---\ntitle: Tide\nlanguage: en-GB\n---", *rows, ""))
        file.write_text(text, encoding="utf-8")
        promise = promise_of(read(file).script, Arrangement("standard", "A"))
        file.write_text(text.replace("the morning", f"the morning {words}"), encoding="utf-8")
        sheet = answer_sheet(read(file).script, label="A", edition="7KQ3MX", look=Look())
        path = tmp_path / f"{name}.pdf"
        path.write_bytes(sheet.pdf)
        assert "Page 3 of 3" in pdf_paper(sheet.pdf, path.name).text
        found[name] = [one.sentence for one in judged_sheet(path, promise)]

    assert found["quiet"] == []
    assert "leaky.pdf shows 2 words that no sheet may show" in found["leaky"]
