"""One tree for a formula: what is refused, and its MathML, Typst and plain text."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from pausewright.formulas.latex import parsed
from pausewright.formulas.linear import linear
from pausewright.formulas.mathml import mathml
from pausewright.formulas.tree import FormulaError, Number, Quotient, Scripts
from pausewright.formulas.typst import typst
from pausewright.script.source.markdown import formula_end
from support.scripts.unseen_lines import FOLDER, lines_of

MATHML = "{http://www.w3.org/1998/Math/MathML}"
KNOWN = {
    "mfrac", "mi", "mn", "mo", "mover", "mroot", "mrow", "msqrt", "msub", "msubsup", "msup",
    "mtable", "mtd", "mtext", "mtr", "munder", "math",
}  # fmt: skip
"""Elements of MathML Core (W3C) that are written."""

PLAIN = {
    r"\frac{1}{2}x^2 + 3x - 4 = 0": "½x² + 3x − 4 = 0",
    r"0.1\dot{6}": "0.16\u0307",
    r"\sqrt[3]{8}": "∛8",
    r"\frac{x+1}{2}": "(x + 1)/2",
    r"x_1": "x₁",
    r"\{1, 2\}": "{1, 2}",
    r"\angle ABC = 40^\circ": "∠ABC = 40°",
    r"1{,}000": "1,000",
    r"2^{n+1}": "2ⁿ⁺¹",
    r"|x-3| \le 5": "|x − 3| ≤ 5",
}
"""LaTeX and the same in a line, by hand."""

TYPST = {
    r"\frac{1}{2}": "$frac(1, 2)$",
    r"\sqrt{x+1}": "$sqrt(x + 1)$",
    r"\sqrt[3]{8}": "$root(3, 8)$",
    r"x^{2}": "$x^(2)$",
    r"\vec{AB}": "$arrow(A B)$",
    r"\mathbf{a}": "$bold(a)$",
    r"\begin{pmatrix} 3 \\ -2 \end{pmatrix}": '$mat(delim: "(", 3; - 2)$',
    r"\text{speed}": '$"speed"$',
}
"""LaTeX and Typst, by hand from Typst's reference, "Math": frac, sqrt, root, mat, attach, text."""


def element_of(text: str) -> ET.Element:
    """Return what an XML parser makes of our own text; it fails where it is not well formed."""
    parser = ET.XMLParser()  # noqa: S314  the text is ours
    parser.feed(text)
    return parser.close()


def formulas() -> list[str]:
    """Return every formula of the unseen sets."""
    found = []
    for name in ("development", "first", "second", "third"):
        for line in lines_of(FOLDER / f"{name}.jsonl"):
            at = line.text.find("$")
            while at >= 0:
                end = formula_end(line.text, at, len(line.text))
                if end is not None:
                    found.append(line.text[at:end].strip("$"))
                at = line.text.find("$", max(at + 1, end or 0))
    return found


FORMULAS = formulas()


@pytest.mark.parametrize(("latex", "plain"), PLAIN.items())
def test_a_formula_in_a_line(latex: str, plain: str) -> None:
    """As captions and lists show it."""
    assert linear(parsed(latex)) == plain


@pytest.mark.parametrize(("latex", "written"), TYPST.items())
def test_a_formula_in_typst(latex: str, written: str) -> None:
    """As papers that are set by Typst take it."""
    assert typst(parsed(latex)) == written


def test_there_are_formulas_to_try() -> None:
    """The sets hold a hundred and more."""
    assert len(FORMULAS) >= 100


def test_every_formula_of_the_sets_is_well_formed_mathml() -> None:
    """An XML parser reads it, and finds elements of MathML Core only, fractions with two parts."""
    for latex in FORMULAS:
        root = element_of(mathml(parsed(latex)))
        assert root.tag == f"{MATHML}math"
        for element in root.iter():
            name = element.tag.removeprefix(MATHML)
            assert name in KNOWN, latex
            if name in {"mfrac", "msub", "msup", "mroot", "mover", "munder"}:
                assert len(element) == 2, latex
            if name == "msubsup":
                assert len(element) == 3, latex


def test_every_formula_of_the_sets_has_the_same_figures_everywhere() -> None:
    """No figure is lost or made between LaTeX, MathML, Typst and the plain line."""

    def digits(text: str) -> list[str]:
        return [sign for sign in text.translate(SUPERSCRIPTS) if sign in "0123456789"]

    for latex in FORMULAS:
        tree = parsed(latex)
        text = "".join(element_of(mathml(tree)).itertext())
        assert sorted(digits(text)) == sorted(digits(latex)), latex
        assert sorted(digits(typst(tree))) == sorted(digits(latex)), latex
        assert sorted(digits(linear(tree))) == sorted(digits(latex)), latex


_VULGAR = "½12 ⅓13 ⅔23 ¼14 ¾34 ⅕15 ⅖25 ⅗35 ⅘45 ⅙16 ⅚56 ⅛18 ⅜38 ⅝58 ⅞78 ⅐17 ⅑19 ⅒110 ∛3 ∜4"
SUPERSCRIPTS = str.maketrans(
    {
        **dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789", strict=True)),
        **dict(zip("₀₁₂₃₄₅₆₇₈₉", "0123456789", strict=True)),
        **{pair[0]: pair[1:] for pair in _VULGAR.split()},
    }
)


@pytest.mark.parametrize(
    ("latex", "message", "hint"),
    [
        (r"\frac{1", "a { has no }", r"\frac{1}{2}"),
        (r"\frac{1}{2}}", "a } has no {", r"\frac{1}{2}"),
        (r"\frac{1}", "not complete", r"\frac{1}{2}"),
        (r"x^", "not complete", "x^{10}"),
        (r"\sqrt", "not complete", "every {"),
        (r"(x + 3", "an opening ( in this formula is not closed", "every {"),
        (r"x + 3)", "a closing ) in this formula has no opening one", "every {"),
        (r"\foo{x}", r"‘\foo’ is not known in a formula", "in words"),
        (r"3 \x 4", r"‘\x’ is not known in a formula", r"\times"),
        (r"40\degrees", r"‘\degrees’ is not known in a formula", r"^\circ"),
        (r"\sqr{4}", r"‘\sqr’ is not known in a formula", r"\sqrt"),
        ("", "a formula is empty", "$x^2$"),
        (
            "x\u200b + 1",
            "a sign stands here that no formula holds (zero width space)",
            "take it out",
        ),
        ("x" * 2001, "a formula is too long", "cut it"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_likely_form(
    latex: str, message: str, hint: str
) -> None:
    """Nothing of a formula is dropped silently."""
    with pytest.raises(FormulaError) as refused:
        parsed(latex)

    assert message in refused.value.message
    assert hint in refused.value.hint


def test_the_tree_itself() -> None:
    """A mixed number is a number and a fraction; a power keeps its base."""
    assert parsed(r"2\frac{3}{4}").parts[1] == Quotient(Number("3"), Number("4"))  # type: ignore[union-attr]  # a row
    assert isinstance(parsed(r"\left(\frac{a}{b}\right)^2"), Scripts)
