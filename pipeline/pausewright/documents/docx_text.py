"""What stands inside a paragraph of a .docx file: runs, fields, formulas, text boxes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from docx.oxml.ns import qn

from pausewright.documents.raised import fraction, lowered, raised

if TYPE_CHECKING:
    from docx.oxml.xmlchemy import BaseOxmlElement

_MATHS: Final = "{http://schemas.openxmlformats.org/officeDocument/2006/math}"
_ALTERNATE: Final = "{http://schemas.openxmlformats.org/markup-compatibility/2006}"
_SIGNS: Final = {
    qn("w:tab"): " ",
    qn("w:ptab"): " ",
    qn("w:br"): "\n",
    qn("w:cr"): "\n",
    qn("w:noBreakHyphen"): "-",
}
_SYMBOLS: Final = str.maketrans(
    {
        "\u00b4": "×",
        "\u00b8": "÷",
        "\u00b1": "±",
        "\u00b0": "°",
        "\u00d6": "√",
        "\u0070": "π",
        "\u00a3": "≤",
        "\u00b3": "≥",
        "\u00b9": "≠",
        "\u00a5": "∞",
        "\u002d": "−",
        "\u00ae": "→",
    }
)
"""Signs of the font Symbol, at their places in it (from memory of Adobe's table)."""
_LEFT_OUT: Final = frozenset(
    qn(f"w:{name}")
    for name in ("del", "moveFrom", "delText", "instrText", "rPr", "pPr", "delInstrText")
)


def text_and_boxes(paragraph: BaseOxmlElement) -> tuple[str, list[BaseOxmlElement]]:
    """Return a paragraph's text, and what its text boxes hold, as elements with paragraphs."""
    boxes: list[BaseOxmlElement] = []
    return "".join(_text(child, boxes) for child in paragraph), boxes


def pictures(paragraph: BaseOxmlElement) -> int:
    """Return how many pictures a paragraph holds."""
    blips = "{http://schemas.openxmlformats.org/drawingml/2006/main}blip"
    return sum(1 for _ in paragraph.iter(blips))


def _text(element: BaseOxmlElement, boxes: list[BaseOxmlElement]) -> str:
    tag = element.tag
    if not isinstance(tag, str) or tag in _LEFT_OUT:
        return ""
    if tag == qn("w:t") or tag == f"{_MATHS}t":
        return element.text or ""
    if tag in _SIGNS:
        return _SIGNS[tag]
    if tag == qn("w:sym"):
        return _symbol(element)
    if tag == qn("w:txbxContent"):
        boxes.append(element)
        return ""
    if tag == f"{_ALTERNATE}AlternateContent":  # the same twice, for old programs and for new
        first = element.find(f"{_ALTERNATE}Choice")
        chosen = element.find(f"{_ALTERNATE}Fallback") if first is None else first
        return "" if chosen is None else _inner(chosen, boxes)
    if tag.startswith(_MATHS):
        return _formula(element, tag.removeprefix(_MATHS), boxes)
    if tag == qn("w:r"):
        return _run(element, boxes)
    if tag == qn("w:ruby"):
        base = element.find(qn("w:rubyBase"))
        return "" if base is None else _inner(base, boxes)
    return _inner(element, boxes)


def _inner(element: BaseOxmlElement, boxes: list[BaseOxmlElement]) -> str:
    return "".join(_text(child, boxes) for child in element)


def _run(element: BaseOxmlElement, boxes: list[BaseOxmlElement]) -> str:
    text = _inner(element, boxes)
    properties = element.find(qn("w:rPr"))
    if properties is None:
        return text
    hidden = properties.find(qn("w:vanish"))
    if hidden is not None and str(hidden.get(qn("w:val"), "1")) not in {"0", "false", "off"}:
        return ""
    place = properties.find(qn("w:vertAlign"))
    where = "" if place is None else str(place.get(qn("w:val"), ""))
    if where == "superscript":
        return raised(text)
    return lowered(text) if where == "subscript" else text


def _symbol(element: BaseOxmlElement) -> str:
    """Return a sign that is named by its place in a font."""
    code = str(element.get(qn("w:char"), ""))
    try:
        sign = chr(int(code, 16) & 0xFF if code.upper().startswith("F0") else int(code, 16))
    except (ValueError, OverflowError):
        return ""
    is_symbol = str(element.get(qn("w:font"), "")) == "Symbol"
    return sign.translate(_SYMBOLS) if is_symbol else sign


def _formula(element: BaseOxmlElement, name: str, boxes: list[BaseOxmlElement]) -> str:
    """Return a part of a formula in one line."""

    def part(child: str) -> str:
        found = element.find(f"{_MATHS}{child}")
        return "" if found is None else _inner(found, boxes)

    if name == "f":
        return fraction(part("num"), part("den"))
    if name == "sSup":
        return part("e") + raised(part("sup"))
    if name == "sSub":
        return part("e") + lowered(part("sub"))
    if name == "rad":
        degree = part("deg")
        return f"{raised(degree) if degree else ''}√({part('e')})"
    if name == "d":
        inner = [_inner(one, boxes) for one in element.findall(f"{_MATHS}e")]
        begin, end = (element.find(f"{_MATHS}dPr/{_MATHS}{one}Chr") for one in ("beg", "end"))
        left = "(" if begin is None else str(begin.get(f"{_MATHS}val", ""))
        right = ")" if end is None else str(end.get(f"{_MATHS}val", ""))
        return left + "|".join(inner) + right
    return "" if name.endswith("Pr") else _inner(element, boxes)
