"""LaTeX to a tree: `latex2mathml` reads it; what it lets through unread is refused here."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from pausewright.formulas.tree import (
    BARS,
    OPENINGS,
    Fenced,
    FormulaError,
    Grid,
    Letter,
    Marked,
    Name,
    Node,
    Number,
    Quotient,
    Root,
    Row,
    Scripts,
    Sign,
    Stacked,
    Words,
    row,
)

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element  # the type only: nothing is parsed as XML here

MOST_CHARACTERS: Final = 2000
_MARKS: Final = {
    "→": "vector",
    "⃗": "vector",
    "¯": "bar",
    "―": "bar",
    "‾": "bar",
    "^": "hat",
    "˙": "dot",
    "¨": "two dots",
    "~": "tilde",
    "∼": "tilde",
    "⌢": "arc",
}
_UNDER: Final = {"―": "underline", "_": "underline", "‾": "underline"}
_SPACES: Final = frozenset({"mspace"})
_SAME: Final = {"∣": "|", "\u2061": "", "ˊ": "′", "′": "′", "―": "‾"}
_STRAY: Final = re.compile(r"(?<!\\)\$|[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]")
_SLIPS: Final = {
    r"\\(?:over|atop)\b": r"\frac{…}{…}",
    r"\\(?:sqr|squareroot|root)\b": r"\sqrt{…}",
    r"\\(?:degree|degrees|deg)\b": r"^\circ",
    r"\\(?:x|mult|multiply|cross)\b": r"\times",
    r"\\(?:divide|division)\b": r"\div",
    r"\\(?:fraction|fra|fac|farc)\b": r"\frac{…}{…}",
    r"\\(?:ce|pu|SI|qty)\b": "the formula without it, for example H_2O",
}
"""Commands that are written by mistake, and what is likely meant."""
_UP_WORDS: Final = {"'": "′", "''": "″"}


def parsed(latex: str) -> Node:
    """Return the tree of a formula, `latex` without its dollar signs.

    Raises
    ------
    FormulaError
        If it cannot be read whole; its hint gives the likely form where there is one.
    """
    return _parsed(latex.strip())


@lru_cache(maxsize=4096)
def _parsed(latex: str) -> Node:
    from latex2mathml import converter, exceptions  # noqa: PLC0415  0.1 s, and few scripts need it

    if not latex:
        raise FormulaError("a formula is empty", "write it between the dollar signs: $x^2$")
    if len(latex) > MOST_CHARACTERS:
        raise FormulaError("a formula is too long", "cut it into several")
    _check_signs(latex)
    slip = _slip(latex)
    try:
        element = converter.convert_to_element(_prepared(latex))
    except (
        exceptions.InvalidStyleForGenfracError, exceptions.NumeratorNotFoundError,
        exceptions.DenominatorNotFoundError, exceptions.ExtraLeftOrMissingRightError,
        exceptions.MissingSuperScriptOrSubscriptError, exceptions.DoubleSubscriptsError,
        exceptions.DoubleSuperscriptsError, exceptions.NoAvailableTokensError,
        exceptions.InvalidAlignmentError, exceptions.MissingEndError,
        exceptions.LimitsMustFollowMathOperatorError,
        IndexError, KeyError, ValueError, RecursionError, StopIteration,
    ) as error:  # fmt: skip
        raise FormulaError("this formula is not complete", slip or _HINT) from error
    return _tree(element, slip)


_HINT: Final = r"every { needs its }, \frac and ^ need what belongs to them: $\frac{1}{2}x^{10}$"


def _check_signs(latex: str) -> None:
    stray = _STRAY.search(latex)
    if stray is not None:
        name = unicodedata.name(stray[0], "a sign without a name").lower()
        raise FormulaError(f"a sign stands here that no formula holds ({name})", "take it out")
    depth = 0
    for found in re.finditer(r"(?<!\\)(?:\\\\)*([{}])", latex):
        depth += 1 if found[1] == "{" else -1
        if depth < 0:
            break
    if depth:
        which = "{ has no }" if depth > 0 else "} has no {"
        raise FormulaError(f"a {which} in this formula", _HINT)


def _slip(latex: str) -> str:
    for pattern, meant in _SLIPS.items():
        if re.search(pattern, latex):
            return f"write {meant}"
    return ""


def _prepared(latex: str) -> str:
    """Write in plain LaTeX what keyboards give and the library takes for names."""
    latex = re.sub(r"\\(?:dfrac|tfrac|cfrac)\b", r"\\frac", latex)
    latex = re.sub(r"(?:\\[,;:! ]|~|\s)+(?=\^\s*\{?\\circ)", "", latex)
    latex = re.sub(r"\\(?:textdegree|degree)\b|°", r"^\\circ ", latex)
    latex = latex.replace("^^\\circ", "^\\circ")
    latex = re.sub(r"\\(?:mathrm|operatorname|rm)\s*\{((?:[^{}]|\{[^{}]*\})*)\}", _upright, latex)
    latex = re.sub(r"(?<![\\A-Za-z])(sin|cos|tan|log|ln)(?![A-Za-z])", r"\\\1 ", latex)
    return re.sub(r"\\(?:displaystyle|textstyle|limits|nolimits)\b", "", latex)


_FUNCTIONS: Final = frozenset(
    {"sin", "cos", "tan", "log", "ln", "exp", "lim", "max", "min", "gcd", "det", "sinh", "cosh",
     "tanh", "sec", "cot", "csc", "arcsin", "arccos", "arctan", "mod"}
)  # fmt: skip


def _upright(found: re.Match[str]) -> str:
    name = found[1]
    if name in _FUNCTIONS:
        return f"\\{name} "
    return re.sub(r"(?<![\\A-Za-z])[A-Za-z]+", lambda one: rf"\text{{{one[0]}}}", name)


# ---- elements to nodes


def _tree(element: Element, slip: str) -> Node:
    return _row(_nodes(element, slip), slip)


def _nodes(element: Element, slip: str) -> list[Node]:
    out: list[Node] = []
    for one in element:
        if one.tag in _SPACES:
            if out and one.get("width", "") == "0.167em":
                out.append(_THIN)
            continue
        found = _node(one, slip)
        if found is not None:
            out.append(found)
    return out


def _node(element: Element, slip: str) -> Node | None:
    tag, text = element.tag, _text(element)
    if tag in {"math", "mrow", "mstyle", "mpadded", "mtd"}:
        if len(element) == 1 and _text(element[0]) == ",":
            return _GROUPING
        return _tree(element, slip)
    if tag == "mn":
        return Number(text)
    if tag == "mi" and not text:
        return Row(())
    if tag == "mi":
        return _identifier(text, slip)
    if tag == "mo":
        return _sign(text, slip)
    if tag == "mtext":
        return Words(text.replace("\u00a0", " "))
    kids = list(element)
    if tag == "msqrt":
        return Root(_tree(element, slip))
    if tag == "mroot" and len(kids) == 2:
        return Root(_one(kids[0], slip), _one(kids[1], slip))
    if tag == "mfrac" and len(kids) == 2:
        top, bottom = _one(kids[0], slip), _one(kids[1], slip)
        return (
            Stacked(top, bottom) if element.get("linethickness") == "0" else Quotient(top, bottom)
        )
    if tag == "mfrac":
        raise FormulaError("this formula is not complete", slip or _HINT)
    if tag == "mtable":
        return Grid(tuple(tuple(_one(cell, slip) for cell in line) for line in kids))
    if tag in {"msub", "msup", "msubsup"}:
        empty = kids[0].tag == "mi" and not _text(kids[0])
        empty |= kids[0].tag == "mrow" and len(kids[0]) == 0
        base = Row(()) if empty else _one(kids[0], slip)
        return _scripts(tag, [base, *(_one(kid, slip) for kid in kids[1:])], slip)
    if tag in {"mover", "munder", "munderover"}:
        return _over_or_under(tag, kids, slip)
    if tag == "mphantom":
        return None
    raise FormulaError("a part of this formula is not known", slip or "write it in words")


def _one(element: Element, slip: str) -> Node:
    found = _node(element, slip)
    if found is None or found == Row(()):
        raise FormulaError("this formula is not complete", slip or _HINT)
    return found


def _text(element: Element) -> str:
    text = element.text or ""
    return re.sub(r"&#x([0-9A-Fa-f]+);", lambda found: chr(int(found[1], 16)), text)


_STYLED: Final = {"BOLD": "bold", "DOUBLE-STRUCK": "double", "SCRIPT": "script"}


def _identifier(text: str, slip: str) -> Node:
    if text.startswith("\\"):
        raise FormulaError(f"‘{text}’ is not known in a formula", slip or "write it in words")
    if text in _FUNCTIONS:
        return Name(text)
    if len(text) == 1 and not text.isalpha():
        return _sign(text, slip)
    if len(text) == 1:
        plain = unicodedata.normalize("NFKC", text)
        name = unicodedata.name(text, "")
        style = next((value for word, value in _STYLED.items() if word in name), "")
        return Letter(plain, style if plain != text or text in "ℝℕℤℚℂ" else "")
    if text.isalpha():
        return Words(text)
    raise FormulaError(f"‘{text}’ is not known in a formula", slip or "write it in words")


def _sign(text: str, slip: str) -> Node:
    if text.startswith("\\"):
        raise FormulaError(f"‘{text}’ is not known in a formula", slip or "write it in words")
    if text in _FUNCTIONS:
        return Name(text)
    return Sign(_SAME.get(text, text))


def _scripts(tag: str, kids: list[Node], slip: str) -> Node:
    if len(kids) != (3 if tag == "msubsup" else 2):
        raise FormulaError("this formula is not complete", slip or _HINT)
    if tag == "msub":
        return Scripts(kids[0], below=kids[1])
    if tag == "msup":
        above = Sign("°") if kids[1] == Sign("∘") else kids[1]
        return Scripts(kids[0], above=above)
    return Scripts(kids[0], below=kids[1], above=kids[2])


def _over_or_under(tag: str, kids: list[Element], slip: str) -> Node:
    base = _one(kids[0], slip)
    mark = _text(kids[-1]).strip()
    if tag == "mover" and mark in _MARKS:
        return Marked(base, _MARKS[mark])
    if tag == "munder" and mark in _UNDER:
        return Marked(base, _UNDER[mark])
    if tag == "munderover" and len(kids) == 3:
        return Scripts(base, below=_one(kids[1], slip), above=_one(kids[2], slip))
    if tag == "munder" and len(kids) == 2:
        return Scripts(base, below=_one(kids[1], slip))
    raise FormulaError("a mark in this formula is not known", slip or "write it in words")


# ---- what belongs together


def _row(nodes: list[Node], slip: str) -> Node:
    return row(_fenced(_numbered(nodes), slip))


_GROUP: Final = re.compile(r"\d{3}(?!\d)")
_GROUPING: Final = Sign("{,}")
"""A comma in braces: LaTeX for one that groups figures."""
_THIN: Final = Sign("\u2009")


def _numbered(nodes: list[Node]) -> list[Node]:
    """Join figures that are one number: groups of three, and figures that recur."""
    out: list[Node] = []
    for node in _with_recurring(nodes):
        last = out[-1] if out else None
        before = out[-2] if len(out) > 1 else None
        if isinstance(node, Number) and isinstance(last, Number):
            out[-1] = Number(last.text + node.text)
        elif isinstance(node, Number) and last == Sign("."):
            head = before.text if isinstance(before, Number) else ""
            del out[-2 if head else -1 :]
            out.append(Number(f"{head}.{node.text}"))
        elif (
            isinstance(node, Number)
            and isinstance(before, Number)
            and last == _THIN
            and re.fullmatch(r"\d*\.(?:\d{3})+", before.text)
            and re.fullmatch(r"\d{1,3}", node.text)
        ):
            out[-2:] = [Number(before.text + node.text)]  # decimals in groups of three
        elif (
            isinstance(node, Number)
            and isinstance(before, Number)
            and last in {_THIN, _GROUPING}
            and _GROUP.match(node.text)
            and re.fullmatch(r"\d{1,3}(?:,\d{3})*", before.text)
        ):
            out[-2:] = [Number(f"{before.text},{node.text}")]
        else:
            out.append(node)
    return [Sign(",") if one == _GROUPING else one for one in out if one != _THIN]


def _with_recurring(nodes: list[Node]) -> list[Node]:
    """Write a dot or line over figures as marks on those figures, after a decimal point."""
    out: list[Node] = []
    for at, node in enumerate(nodes):
        if (
            isinstance(node, Marked)
            and isinstance(node.base, Number)
            and node.mark in {"dot", "bar"}
        ):
            before = nodes[at - 1] if at else None
            pointed = before == Sign(".") or (isinstance(before, Number | Marked) and out)
            if pointed:
                mark = "\u0307" if node.mark == "dot" else "\u0305"
                out.append(Number("".join(figure + mark for figure in node.base.text)))
                continue
        out.append(node)
    return out


def _fenced(nodes: list[Node], slip: str) -> list[Node]:
    """Put brackets and bars around what they hold; one without its other half is refused."""
    out: list[Node] = []
    opened: list[tuple[str, list[Node]]] = []
    for node in nodes:
        inner, scripts = _opened_fence(node)  # a power on a closing bracket is looked into
        sign = inner.sign if isinstance(inner, Sign) else ""
        if sign in OPENINGS and scripts is None:
            opened.append((sign, []))
            continue
        target = opened[-1][1] if opened else out
        if sign in BARS:
            if opened and opened[-1][0] in BARS and _is_whole(opened[-1][1]):
                sign_open, inside = opened.pop()
                target = opened[-1][1] if opened else out
                target.append(_with(Fenced(sign_open, row(inside), sign), scripts))
                continue
            if not target or _wants_operand(target[-1]):
                opened.append((sign, []))
                continue
        if sign in OPENINGS.values():
            while opened and opened[-1][0] in BARS:  # a bar that is none: P(A | B)
                bar, inside = opened.pop()
                (opened[-1][1] if opened else out).extend([Sign(bar), *inside])
            if not opened:
                raise FormulaError(
                    f"a closing {sign} in this formula has no opening one", slip or _HINT
                )
            sign_open, inside = opened.pop()
            target = opened[-1][1] if opened else out
            target.append(_with(Fenced(sign_open, row(inside), sign), scripts))
            continue
        target.append(_with(inner, scripts))
    while opened:
        bar, inside = opened.pop()
        if bar not in BARS:
            raise FormulaError(f"an opening {bar} in this formula is not closed", slip or _HINT)
        (opened[-1][1] if opened else out).extend([Sign(bar), *inside])
    return out


def _opened_fence(node: Node) -> tuple[Node, Scripts | None]:
    if isinstance(node, Scripts) and isinstance(node.base, Sign):
        is_fence = node.base.sign in OPENINGS.values() or node.base.sign in BARS
        return (node.base, node) if is_fence else (node, None)
    return node, None


def _with(node: Node, scripts: Scripts | None) -> Node:
    return node if scripts is None else Scripts(node, scripts.below, scripts.above)


def _is_whole(nodes: list[Node]) -> bool:
    return bool(nodes) and not _wants_operand(nodes[-1])


def _wants_operand(node: Node) -> bool:
    """Say whether something must follow: a sign of arithmetic or a comma stands last."""
    return isinstance(node, Name) or (
        isinstance(node, Sign) and node.sign not in {"!", "°", "′", "″", "%", "…", "∞", "∅"}
    )
