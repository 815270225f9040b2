"""The structure tree of answer sheets, read by pikepdf: tags, order, descriptions, language.

What PDF/UA-1 (ISO 14289-1:2014) asks of a file, as far as it can be asserted without a validator:
7.1 tagged content, title and how it is shown; 7.2 language; 7.3 figures with alternative text; 7.4
headings that skip no level; 7.5 tables with headings; 7.7 formulas with alternative text.
"""

from __future__ import annotations

import io
import itertools
from typing import TYPE_CHECKING

import pikepdf
import pytest
from pausewright.papers.answer_sheet import answer_sheet
from pausewright.papers.mark_scheme import mark_scheme
from pausewright.papers.typeset.paper_frame import Look
from pausewright.script.reader import read
from support.places import DEMO

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NAMES = sorted(path.stem for path in DEMO.glob("*.md"))
FORMULA = """---
title: Sums
language: en-GB
answer-time: 5 s
---

# Test

Listen.

1. What is it?

    ::: sheet
    Work out $\\frac{1}{2} + 3$
    :::

The end.
"""


def nodes(pdf: pikepdf.Pdf) -> Iterator[pikepdf.Object]:
    """Walk the structure elements in reading order."""

    def walk(node: pikepdf.Object) -> Iterator[pikepdf.Object]:
        kids = node.get("/K")
        rows = [] if kids is None else list(kids) if isinstance(kids, pikepdf.Array) else [kids]
        for kid in rows:
            if isinstance(kid, pikepdf.Dictionary):
                if "/S" in kid:
                    yield kid
                yield from walk(kid)

    yield from walk(pdf.Root.StructTreeRoot)


def marked(pdf: pikepdf.Pdf) -> list[tuple[int, int]]:
    """Return page and number of each piece of marked content, in reading order."""
    pages: dict[object, int] = {page.objgen: number for number, page in enumerate(pdf.pages)}
    found: list[tuple[int, int]] = []

    def walk(node: pikepdf.Object, page: int) -> None:
        if "/Pg" in node:
            page = pages[node.Pg.objgen]
        kids = node.get("/K")
        rows = [] if kids is None else list(kids) if isinstance(kids, pikepdf.Array) else [kids]
        for kid in rows:
            if isinstance(kid, pikepdf.Dictionary):
                if "/MCID" in kid:
                    found.append((pages[kid.Pg.objgen] if "/Pg" in kid else page, int(kid.MCID)))
                else:
                    walk(kid, page)
            else:
                found.append((page, int(kid)))

    walk(pdf.Root.StructTreeRoot, 0)
    return found


def opened(raw: bytes) -> pikepdf.Pdf:
    """Return a PDF."""
    return pikepdf.open(io.BytesIO(raw))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("size", [12, 24])
def test_a_sheet_has_the_structure_that_was_asked_for(name: str, size: int) -> None:
    """Of each demo, at the usual size and large."""
    script = read(DEMO / f"{name}.md").script
    paper = answer_sheet(script, label="A", edition="7KQ3MX", look=Look(size))
    with opened(paper.pdf) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.Lang) == script.settings.language
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        with pdf.open_metadata() as meta:
            assert meta["pdfuaid:part"] == "1"
            assert meta["dc:title"] == f"{script.settings.title} · Answer sheet"
        levels = [int(str(one.S)[2:]) for one in nodes(pdf) if str(one.S)[1:2] == "H"]
        assert levels[0] == 1
        assert levels.count(1) == 1
        for before, after in itertools.pairwise(levels):
            assert after <= before + 1
        order = marked(pdf)
        assert order == sorted(order)
        assert len(order) == len(set(order))
        for one in nodes(pdf):
            if str(one.S) in {"/Figure", "/Formula"}:
                assert str(one.Alt).strip()
        shown = [str(one.Alt) for one in nodes(pdf) if str(one.S) == "/Figure"]
        assert len([alt for alt in shown if alt in descriptions(DEMO / f"{name}.md")]) == len(
            [alt for alt in shown if alt]
        )


def descriptions(file: Path) -> str:
    """Return the text in which the author's descriptions stand."""
    return file.read_text("utf-8")


def test_a_table_of_a_sheet_has_headings() -> None:
    """The science demo's table: a row of headings, three of cells."""
    script = read(DEMO / "science.md").script
    with opened(answer_sheet(script, label="A", edition="7KQ3MX", look=Look()).pdf) as pdf:
        kinds = [str(one.S) for one in nodes(pdf)]

    assert kinds.count("/Table") == 1
    assert kinds.count("/TR") == 4
    assert (kinds.count("/TH"), kinds.count("/TD")) == (3, 9)


def test_a_formula_has_its_words(tmp_path: Path) -> None:
    """As a line of text, by which a screen reader says it."""
    file = tmp_path / "sums.md"
    file.write_text(FORMULA, encoding="utf-8")
    script = read(file).script
    with opened(answer_sheet(script, label="A", edition="7KQ3MX", look=Look()).pdf) as pdf:
        (formula,) = [one for one in nodes(pdf) if str(one.S) == "/Formula"]

    assert "1/2" in str(formula.Alt) or "½" in str(formula.Alt)
    assert "3" in str(formula.Alt)


@pytest.mark.parametrize("name", ["arithmetic", "music", "science"])
def test_a_mark_scheme_is_a_table_a_group(name: str) -> None:
    """Each with headings."""
    script = read(DEMO / f"{name}.md").script
    with opened(mark_scheme(script, label="A", edition="7KQ3MX").pdf) as pdf:
        kinds = [str(one.S) for one in nodes(pdf)]

    assert kinds.count("/Table") >= 2
    assert kinds.count("/TH") == 3 * kinds.count("/Table")
