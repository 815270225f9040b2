"""Papers compiled by Typst: data never become source, equal bytes, every fault has its place."""

from __future__ import annotations

import io
import re
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pikepdf
import pytest
from pausewright.papers.typeset.paper_frame import Frame, Look
from pausewright.papers.typeset.template_files import Templates, own_templates, templates_of
from pausewright.papers.typeset.typst_compiler import Paper, Sources, compile_paper
from pausewright.problems import FileError, Place, Problem, ScriptError
from pypdf import PdfReader
from support.random_scripts.scripts import SMALL_PICTURE

if TYPE_CHECKING:
    from collections.abc import Mapping

SCRIPT = Path("harbour.md")
FRAME = Frame('Harbour #sounds "A" $x$', "Test paper", "B", "7KQ3MX", "en-GB")
PICTURE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">'
    b'<rect width="5" height="5"/></svg>'
)
BODY = """#import "base.typ": paper, paper-head, runs, place-mark
#let render(data) = paper(data.frame)[
  #paper-head(data.frame)
  #for it in data.at("rows", default: ()) { place-mark("row"); par(runs(it)) }
  #if "picture" in data { image(data.picture, alt: "a square", width: 3cm) }
  #data.at("more", default: none)
]
"""


def with_body(body: str = BODY) -> Templates:
    """Return our templates with one for these tests."""
    own = own_templates()
    return Templates(
        {**own.texts, "plain.typ": body}, {**own.paths, "plain.typ": Path("mine/plain.typ")}
    )


def sources(**more: object) -> Sources:
    """Return sources with a place for the script."""
    return replace(Sources(Place(SCRIPT, 1, 1)), **more)  # type: ignore[arg-type]


def made(
    data: Mapping[str, object], *, frame: Frame = FRAME, body: str = BODY, **more: object
) -> Paper:
    """Return the paper of the template for these tests."""
    pictures = {"p.svg": PICTURE} if "picture" in data else {}
    return compile_paper(
        "plain", frame, data, sources(**more), pictures=pictures, templates=with_body(body)
    )


def words(text: str) -> list[dict[str, str]]:
    """Return a row of one text."""
    return [{"kind": "text", "text": text}]


def problem(error: pytest.ExceptionInfo[ScriptError]) -> Problem:
    """Return the one problem."""
    (only,) = error.value.problems
    return only


def text_of(paper: Paper) -> str:
    """Return what a second library reads from a paper."""
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(paper.pdf)).pages)


@pytest.mark.parametrize(
    "text",
    [
        '#read("/etc/passwd")',
        "$x^2$ *bold* _it_ `raw` <label> @ref",
        "= no heading",
        "\\ back // no comment /* nor this */",
        '") #panic("x',
        "---, ~ and 'quotes'",
    ],
)
def test_what_an_author_writes_is_never_source(text: str) -> None:
    """Typst's own signs are printed as they are."""
    paper = made({"rows": [words(text)]})

    assert text.replace("'", "’") in re.sub(r"[‘’']", "’", text_of(paper))


def test_the_same_data_give_the_same_bytes() -> None:
    """In this process, and in another one that starts anew in another place."""
    data = {"rows": [words("one")], "picture": "p.svg"}
    first = made(data).pdf
    code = (
        f"import sys; sys.path[:0] = {sys.path!r}\n"
        "from papers.test_typst_compiler import made, words\n"
        f"sys.stdout.buffer.write(made({data!r}).pdf)"
    )
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, cwd="/")

    assert made(data).pdf == first
    assert other.stdout == first
    assert b"CreationDate" not in first


def test_each_page_says_what_it_is() -> None:
    """Title, version, edition, mark and page stand on every page."""
    paper = made({"rows": [words(f"row {n}") for n in range(90)]})
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(paper.pdf)).pages]

    assert len(pages) == paper.n_pages > 1
    for number, page in enumerate(pages, 1):
        assert FRAME.title in page
        assert "Version B · edition 7KQ3MX" in page
        assert f"mark {paper.mark[:8].upper()}" in page
        assert f"Page {number} of {len(pages)}" in page
    assert [key for key, _ in paper.places] == ["row"] * 90 + ["end"]


def test_the_edition_does_not_count_in_the_mark() -> None:
    """Everything that is printed does."""
    data = {"rows": [words("one")]}
    mark = made(data).mark

    assert made(data, frame=replace(FRAME, edition="ABCDEF")).mark == mark
    others = [
        made({"rows": [words("two")]}),
        made(data, frame=replace(FRAME, label="C")),
        made(data, frame=replace(FRAME, look=Look(18))),
        made(data, body=BODY + "\n"),
        made({**data, "picture": "p.svg"}),
    ]
    assert len({mark, *(one.mark for one in others)}) == 6


def test_it_is_tagged_and_says_title_and_language() -> None:
    """As PDF/UA-1 asks (ISO 14289-1, 7.1 and 7.2), read by another library."""
    paper = made({"rows": [words("one")], "picture": "p.svg"})
    with pikepdf.open(io.BytesIO(paper.pdf)) as pdf:
        root = pdf.Root
        assert root.MarkInfo.Marked
        assert str(root.Lang) == "en-GB"
        assert root.ViewerPreferences.DisplayDocTitle
        assert str(pdf.docinfo["/Title"]) == f"{FRAME.title} · Test paper"
        assert pdf.open_metadata()["pdfuaid:part"] == "1"


@pytest.mark.parametrize("paper", ["A4", "A3", "US Letter"])
def test_the_paper_has_its_size(paper: str) -> None:
    """ISO 216, and Letter of 8.5 × 11 inches (216 × 279 mm)."""
    wanted = {"A4": (210, 297), "A3": (297, 420), "US Letter": (215.9, 279.4)}[paper]
    look = Look(paper=paper)  # type: ignore[arg-type]
    upright = made({}, frame=replace(FRAME, look=look))
    lying = made({}, frame=replace(FRAME, look=replace(look, is_landscape=True)))
    for one, size in ((upright, wanted), (lying, wanted[::-1])):
        box = PdfReader(io.BytesIO(one.pdf)).pages[0].mediabox
        mm = [float(side) / 72 * 25.4 for side in (box.width, box.height)]
        assert mm == pytest.approx(size, abs=0.05)


# ---- faults ---------------------------------------------------------------------------------


def test_a_sign_that_no_font_has_is_told_at_its_place() -> None:
    """A line end in a text is a line of the file."""
    text = "one\ntwo 中 three"
    with pytest.raises(ScriptError) as error:
        made(
            {"rows": [words(text)]}, texts=[("x", Place(SCRIPT, 3, 1)), (text, Place(SCRIPT, 7, 9))]
        )

    assert problem(error).message == "no font of the papers has ‘中’"
    assert (problem(error).place.line, problem(error).place.column) == (8, 5)


def test_a_formula_that_typst_refuses_is_told_at_its_place() -> None:
    """Among several the one that is at fault."""
    rows = [[{"kind": "formula", "math": math, "alt": "a"}] for math in ("x^2", "frac(1,", "y")]
    known = [
        ("x^2", Place(SCRIPT, 3, 1)),
        ("frac(1,", Place(SCRIPT, 5, 2)),
        ("y", Place(SCRIPT, 6, 1)),
    ]
    with pytest.raises(ScriptError) as error:
        made({"rows": rows}, formulas=known)

    assert problem(error).place.line == 5
    assert "this formula cannot be printed" in problem(error).message


def test_a_picture_that_is_none_is_told_at_its_place() -> None:
    """Not that Typst failed somewhere in a template."""
    with pytest.raises(ScriptError) as error:
        compile_paper(
            "plain",
            FRAME,
            {"picture": "p.png"},
            sources(pictures={"p.png": Place(SCRIPT, 4, 2)}),
            pictures={"p.png": b"no picture"},
            templates=with_body(),
        )

    assert problem(error).place.line == 4
    assert "the picture cannot be read" in problem(error).message


def test_what_a_template_says_of_a_question_has_its_place() -> None:
    """A template may refuse data by the name that the caller gave them, with a hint."""
    body = BODY + '#let render(data) = panic("question 7: needs more than a page | shorten it")'
    with pytest.raises(ScriptError) as error:
        made({}, body=body, keys={"question 7": Place(SCRIPT, 9, 1)})

    assert problem(error).message == "question 7 needs more than a page"
    assert problem(error).hint == "shorten it"
    assert problem(error).place.line == 9


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("#let render(data) = nope", "unknown variable: nope"),
        ("#let render(data) = (1", "unclosed delimiter"),
        ("#let render(data) = paper(data.frame)[= A\n=== C]", "skipped from heading level 1 to 3"),
    ],
)
def test_a_faulty_template_is_told_with_its_line(line: str, sentence: str) -> None:
    """The file is the one that the centre wrote."""
    with pytest.raises(ScriptError) as error:
        made({}, body=BODY + "\n" + line)

    assert sentence in problem(error).message
    assert problem(error).place.file == Path("mine/plain.typ")
    assert problem(error).place.line >= BODY.count("\n") + 2


# ---- templates of a centre ------------------------------------------------------------------


def test_a_centre_can_replace_a_template(tmp_path: Path) -> None:
    """The rest stay ours, and the digest is another."""
    own = own_templates()
    changed = own.texts["content.typ"].replace("hair = 0.5pt", "hair = 0.7pt")
    (tmp_path / "content.typ").write_text(changed, encoding="utf-8")
    found = templates_of(tmp_path)

    assert changed != own.texts["content.typ"]
    assert found.texts == {**own.texts, "content.typ": changed}
    assert found.digest != own.digest


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ('#import "@preview/cetz:0.3.0"', "imports other templates only"),
        ('#import ("@" + "x")', "imports other templates only"),
        ('#include "../secret.typ"', "imports other templates only"),
        ('#eval("1")', "evaluates no text"),
        ('#read("/etc/passwd")', "reads no file"),
    ],
)
def test_a_template_cannot_fetch_or_read(tmp_path: Path, line: str, sentence: str) -> None:
    """Before Typst sees it, with its line."""
    (tmp_path / "base.typ").write_text(f"// mine\n{line}\n", encoding="utf-8")
    with pytest.raises(ScriptError) as error:
        templates_of(tmp_path)

    assert any(sentence in one.message for one in error.value.problems)
    assert {one.place.line for one in error.value.problems} == {2}


def test_a_name_that_no_template_has_is_refused(tmp_path: Path) -> None:
    """So that a misspelt one is not passed over; formulas cannot be replaced."""
    with pytest.raises(FileError, match="holds no template"):
        templates_of(tmp_path)
    for name in ("bse.typ", "formulas.typ"):
        (tmp_path / name).write_text("x", encoding="utf-8")
        with pytest.raises(FileError, match="not the name of a template"):
            templates_of(tmp_path)
        (tmp_path / name).unlink()


def test_a_picture_of_dots_is_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A PNG, which is no text; twice alike, and nothing is left on the disk."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))

    first, second = (
        compile_paper(
            "plain",
            FRAME,
            {"picture": "p.png"},
            sources(),
            pictures={"p.png": SMALL_PICTURE},
            templates=with_body(),
        )
        for _ in range(2)
    )

    assert first.pdf == second.pdf
    with pikepdf.open(io.BytesIO(first.pdf)) as opened:
        assert len(opened.pages[0].get_images()) == 1
    assert list(tmp_path.iterdir()) == []
