"""Papers of schools, made by the libraries of word processors' formats, read as lines of text.

What is expected is what LibreOffice and Word print for such a file (numbers after ECMA-376 part 1,
17.9, OpenDocument 1.3 part 3 and the HTML standard's "ordinal value"), written down by hand.
"""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

import docx
import odfdo
import pytest
from docx.oxml.parser import parse_xml
from pausewright.documents.reader import read_paper
from pausewright.problems import FileError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

W = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'
M = 'xmlns:m="http://schemas.openxmlformats.org/officeDocument/2006/math"'


def element(text: str) -> object:
    """Return an element of a .docx file from its text."""
    return parse_xml(text)


def listed(levels: str, rows: str, nums: str = "") -> bytes:
    """Return a .docx file with one definition of a list and the paragraphs of a body.

    `rows` holds lines `level text`, or text without a list after a dash; `level:num text` uses
    another list of those in `nums`.
    """
    document = docx.Document()
    numbering = document.part.numbering_part.element
    numbering.insert(
        0, element(f'<w:abstractNum {W} w:abstractNumId="77">{levels}</w:abstractNum>')
    )
    base = f'<w:num {W} w:numId="77"><w:abstractNumId w:val="77"/></w:num>'
    for one in [base, *nums.split("\n")]:
        if one:
            numbering.append(element(one.replace("<w:num ", f"<w:num {W} ", 1)
                                     if W not in one else one))  # fmt: skip
    for row in rows.splitlines():
        place, text = row.split(" ", 1)
        paragraph = document.add_paragraph(text)
        if place != "-":
            level, _, num = place.partition(":")
            paragraph._p.get_or_add_pPr().append(
                element(
                    f'<w:numPr {W}><w:ilvl w:val="{level}"/>'
                    f'<w:numId w:val="{num or 77}"/></w:numPr>'
                )
            )
    return saved(document)


def level(at: int, form: str, text: str, start: int = 1, more: str = "") -> str:
    """Return the definition of one level of a list."""
    return (
        f'<w:lvl w:ilvl="{at}"><w:start w:val="{start}"/><w:numFmt w:val="{form}"/>{more}'
        f'<w:lvlText w:val="{text}"/></w:lvl>'
    )


def saved(document: object) -> bytes:
    """Return the bytes of a document of either library."""
    body = io.BytesIO()
    document.save(body)  # type: ignore[attr-defined]
    return body.getvalue()


def paragraph(inner: str) -> bytes:
    """Return a .docx file with one paragraph of runs."""
    document = docx.Document()
    document.element.body.insert(0, element(f"<w:p {W} {M}>{inner}</w:p>"))
    return saved(document)


def by_style() -> bytes:
    """Return a .docx file whose numbers come with a style."""
    document = docx.Document()
    document.add_heading("Mental arithmetic", 1)
    document.add_paragraph("Listen carefully.")
    document.add_paragraph("What is 7 × 8?", style="List Number")
    document.add_paragraph("What is half of 90?", style="List Number")
    document.add_paragraph("Put your pencil down.", style="List Bullet")
    return saved(document)


def tables() -> bytes:
    """Return a .docx file with a table, and a table in one of its cells."""
    document = docx.Document()
    document.add_paragraph("Before")
    table = document.add_table(2, 2)
    for row in range(2):
        for column in range(2):
            table.cell(row, column).text = f"{'ab'[column]}{row + 1}"
    table.cell(1, 1).add_table(1, 1).cell(0, 0).text = "inner"
    document.add_paragraph("After")
    return saved(document)


def margins_and_box() -> bytes:
    """Return a .docx file with a head, a foot and a text box that is there twice."""
    document = docx.Document()
    document.sections[0].header.paragraphs[0].text = "Form 7"
    document.sections[0].footer.paragraphs[0].text = "Turn over"
    inner = "<w:txbxContent><w:p><w:r><w:t>In a box</w:t></w:r></w:p></w:txbxContent>"
    document.element.body.insert(
        0,
        element(
            f'<w:p {W} xmlns:v="urn:schemas-microsoft-com:vml" xmlns:mc="http://schemas.openxml'
            'formats.org/markup-compatibility/2006" xmlns:s="http://schemas.microsoft.com/office/'
            'word/2010/wordprocessingShape"><w:r><w:t>Outside</w:t></w:r><w:r><mc:AlternateContent>'
            f'<mc:Choice Requires="wps"><w:drawing><s:txbx>{inner}</s:txbx></w:drawing></mc:Choice>'
            f"<mc:Fallback><w:pict><v:textbox>{inner}</v:textbox></w:pict></mc:Fallback>"
            "</mc:AlternateContent></w:r></w:p>"
        ),
    )
    return saved(document)


def odt(inner: str, styles: str = "") -> bytes:
    """Return an .odt file with a body and automatic styles."""
    document = odfdo.Document("text")
    body = io.BytesIO()
    document.save(body)
    names = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{what}:1.0"'
        for name, what in (
            ("office", "office"), ("text", "text"), ("style", "style"), ("table", "table"),
            ("draw", "drawing"), ("svg", "svg-compatible"),
        )
    )  # fmt: skip
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {names} '
        'office:version="1.3"><office:automatic-styles>' + styles + "</office:automatic-styles>"
        f"<office:body><office:text>{inner}</office:text></office:body></office:document-content>"
    )
    made = io.BytesIO()
    with zipfile.ZipFile(body) as old, zipfile.ZipFile(made, "w") as new:
        for name in old.namelist():
            new.writestr(name, content if name == "content.xml" else old.read(name))
    return made.getvalue()


NUMBERS = (
    '<text:list-style style:name="L"><text:list-level-style-number text:level="1" '
    'style:num-format="1" style:num-suffix="."/><text:list-level-style-number text:level="2" '
    'style:num-format="a" style:num-prefix="(" style:num-suffix=")"/></text:list-style>'
)
RAISED = (
    '<style:style style:name="H" style:family="text">'
    '<style:text-properties style:text-position="super 58%"/></style:style>'
)


def item(text: str, more: str = "", attributes: str = "") -> str:
    """Return an item of a list in an .odt file."""
    return f"<text:list-item{attributes}><text:p>{text}</text:p>{more}</text:list-item>"


def a_list(*items: str, more: str = ' text:style-name="L"') -> str:
    """Return a list of an .odt file."""
    return f"<text:list{more}>{''.join(items)}</text:list>"


PAPERS: dict[str, tuple[str, Callable[[], bytes], list[str]]] = {
    "numbers by a style": (
        "docx",
        by_style,
        ["Mental arithmetic", "Listen carefully.", "1. What is 7 × 8?", "2. What is half of 90?",
         "• Put your pencil down."],
    ),
    "two levels, the inner begins anew": (
        "docx",
        lambda: listed(
            level(0, "decimal", "%1.") + level(1, "lowerLetter", "%2)"),
            "0 one\n1 in\n1 in\n0 two\n1 in",
        ),
        ["1. one", "a) in", "b) in", "2. two", "a) in"],
    ),
    "a list goes on after text, with roman and legal numbers": (
        "docx",
        lambda: listed(
            level(0, "upperRoman", "%1") + level(1, "decimal", "%1.%2"),
            "0 one\n1 in\n- Between\n1 in\n0 two",
        ),
        ["I one", "I.1 in", "Between", "I.2 in", "II two"],
    ),
    "another list of the same kind begins anew where it says so": (
        "docx",
        lambda: listed(
            level(0, "decimal", "%1.", 5),
            "0 five\n0 six\n0:78 three\n0:78 four\n0 five again",
            '<w:num w:numId="78"><w:abstractNumId w:val="77"/><w:lvlOverride w:ilvl="0">'
            '<w:startOverride w:val="3"/></w:lvlOverride></w:num>',
        ),
        ["5. five", "6. six", "3. three", "4. four", "5. five again"],
    ),
    "words round a number": (
        "docx",
        lambda: listed(level(0, "decimal", "Question %1:"), "0 Spell it.\n0 Say it."),
        ["Question 1: Spell it.", "Question 2: Say it."],
    ),
    "tables in order": (
        "docx", tables, ["Before", "a1", "b1", "a2", "b2", "inner", "After"]
    ),
    "head, foot and a box that is there twice": (
        "docx", margins_and_box, ["Form 7", "Outside", "In a box", "Turn over"]
    ),
    "raised and lowered figures": (
        "docx",
        lambda: paragraph(
            "<w:r><w:t>What is 5</w:t></w:r><w:r><w:rPr><w:vertAlign w:val='superscript'/></w:rPr>"
            "<w:t>2</w:t></w:r><w:r><w:t> on the 1</w:t></w:r><w:r><w:rPr><w:vertAlign "
            "w:val='superscript'/></w:rPr><w:t>st</w:t></w:r><w:r><w:t> of H</w:t></w:r><w:r>"
            "<w:rPr><w:vertAlign w:val='subscript'/></w:rPr><w:t>2</w:t></w:r><w:r><w:t>O?</w:t>"
            "</w:r>"
        ),
        ["What is 5² on the 1st of H₂O?"],
    ),
    "formulas": (
        "docx",
        lambda: paragraph(
            "<w:r><w:t xml:space='preserve'>Half of </w:t></w:r><m:oMath><m:f><m:num><m:r><m:t>3"
            "</m:t></m:r></m:num><m:den><m:r><m:t>4</m:t></m:r></m:den></m:f></m:oMath>"
        ),
        ["Half of 3/4"],
    ),
    "changes that are tracked, hidden text, breaks and signs": (
        "docx",
        lambda: paragraph(
            "<w:r><w:t xml:space='preserve'>Say </w:t></w:r><w:ins w:id='1' w:author='x'><w:r><w:t>"
            "four</w:t></w:r></w:ins><w:del w:id='2' w:author='x'><w:r><w:delText>five</w:delText>"
            "</w:r></w:del><w:r><w:rPr><w:vanish/></w:rPr><w:t>secret</w:t></w:r><w:r><w:br/><w:t>7"
            "</w:t><w:sym w:font='Symbol' w:char='F0B4'/><w:t>8 well</w:t><w:noBreakHyphen/><w:t>"
            "known</w:t></w:r>"
        ),
        ["Say four", "7×8 well-known"],
    ),
    "a list of two levels": (
        "odt",
        lambda: odt(
            a_list(
                item("one"),
                item("two", a_list(item("in"), item("in"), more="")),
                item("three"),
            ),
            NUMBERS,
        ),
        ["1. one", "2. two", "(a) in", "(b) in", "3. three"],
    ),
    "a list that goes on, and one that does not": (
        "odt",
        lambda: odt(
            a_list(item("one"))
            + "<text:p>Between</text:p>"
            + a_list(item("two"), more=' text:style-name="L" text:continue-numbering="true"')
            + a_list(item("anew"), item("nine", attributes=' text:start-value="9"')),
            NUMBERS,
        ),
        ["1. one", "Between", "2. two", "1. anew", "9. nine"],
    ),
    "a table with heading rows": (
        "odt",
        lambda: odt(
            "<table:table><table:table-header-rows><table:table-row><table:table-cell><text:p>No."
            "</text:p></table:table-cell><table:table-cell><text:p>Words</text:p></table:table-cell>"
            "</table:table-row></table:table-header-rows><table:table-row><table:table-cell><text:p>"
            "1</text:p></table:table-cell><table:table-cell><text:p>ship</text:p></table:table-cell>"
            "</table:table-row></table:table>"
        ),
        ["No.", "Words", "1", "ship"],
    ),
    "raised figures, blanks, breaks and notes": (
        "odt",
        lambda: odt(
            '<text:p>5<text:span text:style-name="H">3</text:span><text:s text:c="3"/>of<text:tab/>'
            "it<text:line-break/>next<text:note><text:note-citation>1</text:note-citation>"
            "<text:note-body><text:p>At the foot.</text:p></text:note-body></text:note></text:p>"
            "<text:p>Last</text:p>",
            RAISED,
        ),
        ["5³ of it", "next", "Last", "At the foot."],
    ),
    "a box, and a comment that is no text": (
        "odt",
        lambda: odt(
            "<text:p>Out<office:annotation><text:p>why?</text:p></office:annotation><draw:frame>"
            "<draw:text-box><text:p>In a box</text:p></draw:text-box></draw:frame></text:p>"
        ),
        ["Out", "In a box"],
    ),
    "lists as browsers number them": (
        "html",
        lambda: (
            b"<title>no</title><ol start=3 type=a><li>one<ol><li>in<li value=7>seven</ol>"
            b"<li>two</ol><ol reversed><li>x<li>y</ol><ul><li>z</ul>"
        ),
        ["c. one", "1. in", "7. seven", "d. two", "2. x", "1. y", "• z"],
    ),
    "tables, breaks, hidden parts and scripts": (
        "html",
        lambda: (
            b"<p>One<br>two<!-- no --><p hidden>no</p><p style='display: none'>no</p>"
            b"<script>no()</script><table><tr><th>a<th>b<tr><td>c<td>d</table>"
        ),
        ["One", "two", "a", "b", "c", "d"],
    ),
    "powers, formulas and another encoding": (
        "html",
        lambda: (
            "<meta charset=iso-8859-1><p>5<sup>2</sup> costs £3, <math><mfrac><mn>1</mn><mn>2"
            "</mn></mfrac></math> of café</p>"
        ).encode("latin-1"),
        ["5² costs £3, 1/2 of café"],
    ),
    "plain text of an old editor": (
        "txt",
        lambda: "Opening\r\n\r\n1.\tA map costs £2.40.\r\n10) Last\r\n".encode("cp1252"),
        ["Opening", "1. A map costs £2.40.", "10) Last"],
    ),
    "plain text with a mark of its encoding": (
        "txt", lambda: "1. naïve – “yes”\n".encode("utf-16"), ["1. naïve – “yes”"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_is_read_as_it_is_printed(tmp_path: Path, name: str) -> None:
    """Every line in order, with the number that is printed before it, and nothing more."""
    kind, make, expected = PAPERS[name]
    file = tmp_path / f"paper.{kind}"
    file.write_bytes(make())

    assert [line.whole for line in read_paper(file).lines] == expected


def test_cells_and_headings_are_told(tmp_path: Path) -> None:
    """A cell knows its row, a heading and an item their kind."""
    file = tmp_path / "paper.docx"
    file.write_bytes(tables())
    assert [line.row for line in read_paper(file).lines] == [-1, 0, 0, 1, 1, 0, -1]

    file.write_bytes(by_style())
    kinds = [line.kind for line in read_paper(file).lines]
    assert kinds == ["heading", "paragraph", "item", "item", "item"]


def bomb() -> bytes:
    """Return a .docx file whose text unpacks to 100 MB."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("word/document.xml", b" " * 100_000_000)
    return made.getvalue()


def entities() -> bytes:
    """Return an .odt file that declares text of its own."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("content.xml", '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>')
    return made.getvalue()


@pytest.mark.parametrize(
    ("name", "body", "part"),
    [
        ("paper.docx", b"PK\x03\x04 no", "broken"),
        ("paper.odt", by_style(), "broken"),
        ("paper.docx", odt("<text:p>x</text:p>"), "broken"),
        ("paper.docx", b"\xd0\xcf\x11\xe0 old", "encrypted"),
        ("paper.docx", bomb(), "more than is read"),
        ("paper.odt", entities(), "declares text"),
        ("paper.pdf", b"%PDF", "not read"),
        ("paper.txt", b"a\0b", "no text"),
        ("paper.html", b"<p> </p>", "no text"),
        ("paper.txt", b"", "empty"),
    ],
)
def test_what_is_no_paper_is_refused(tmp_path: Path, name: str, body: bytes, part: str) -> None:
    """A sentence and a hint, never half of the text."""
    file = tmp_path / name
    file.write_bytes(body)

    with pytest.raises(FileError, match=part) as refused:
        read_paper(file)
    assert refused.value.hint
