"""Formulas on their way through a text: between two marks, so that nothing else reads them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.formulas.latex import parsed
from pausewright.formulas.linear import linear
from pausewright.formulas.tree import FormulaError, Letter, Number, Scripts, Sign, parts_of
from pausewright.wording.patterns import Late

if TYPE_CHECKING:
    from pausewright.formulas.tree import Node
    from pausewright.script.model import Formula

OPEN, CLOSE = "\ue004", "\ue005"
FORMULA: Final = Late(f"{OPEN}([^{CLOSE}]*){CLOSE}")
_NO_MARKS: Final = {ord(OPEN): "\ufffd", ord(CLOSE): "\ufffd"}
_HIDDEN: Final = "\ue006"
_AROUND: Final = frozenset("−+£€%°$")
"""Signs beside a number that plain text holds as well."""


def without_marks(text: str) -> str:
    """Return text whose own private signs, if it has any, are signs without words."""
    return text.translate(_NO_MARKS)


def in_text(formula: Formula) -> str:
    """Return a formula as text to be read: a lone number as such, others between marks.

    A number between dollar signs may have its unit or its noun outside: `$5$ kg`.
    """
    try:
        tree = parsed(formula.latex)
    except FormulaError:
        return f"{OPEN}{formula.latex}{CLOSE}"
    return linear(tree) if _is_plain(tree) else f"{OPEN}{formula.latex}{CLOSE}"


def _is_plain(tree: Node) -> bool:
    parts = parts_of(tree)
    if isinstance(tree, Letter):
        return tree.style == "" and tree.name.isascii() and tree.name.islower()
    kinds = [_kind(part) for part in parts]
    return "number" in kinds and "other" not in kinds and kinds.count("number") == 1


def _kind(part: Node) -> str:
    if isinstance(part, Number):
        return "number"
    if isinstance(part, Sign) and part.sign in _AROUND:
        return "sign"
    if isinstance(part, Scripts) and isinstance(part.base, Number) and part.below is None:
        return "number" if part.above == Sign("°") else "other"
    return "other"


def masked(text: str) -> str:
    """Return text in which a formula is letters only; equally long."""
    return FORMULA.sub(lambda found: "x" * len(found[0]), text)


def hidden(text: str) -> str:
    """Return text in which nothing of a formula but its marks is seen; equally long."""
    return FORMULA.sub(lambda found: f"{OPEN}{_HIDDEN * len(found[1])}{CLOSE}", text)


def written(text: str) -> str:
    """Return text with its formulas as their author wrote them."""
    return FORMULA.sub(r"$\1$", text) if OPEN in text else text
