"""Blocks between `:::` lines: their opening line, and what cannot stand inside one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.problems import nearest
from pausewright.script.attributes.braces import read_braces
from pausewright.script.reading.block_attributes import Attributes, allowed
from pausewright.script.source.markdown import DIV_NAMES

if TYPE_CHECKING:
    from pausewright.problems import Place
    from pausewright.script.reading.context import Context
    from pausewright.script.source.tree import Node

_REFUSED: Final = {
    "hr": ("a line of hyphens or stars", "for a place to write, put [______]{.answer} in a sheet"),
    "blockquote_open": ("a quotation mark ‘>’ at the start of a line", r"write \> for the sign"),
    "fence": ("a block of code", "take out the backquotes or tildes"),
    "code_block": ("a block of code", "indent by four, not more"),
    "table_open": ("a table outside a sheet", "put it into ::: sheet … :::"),
    "heading_open": ("a heading inside a block", "move it to the margin"),
    "bullet_list_open": ("a list", "lists stand in questions, dictations and sheets"),
    "paragraph_open": ("a paragraph", "put its words into the line above"),
    "ordered_list_open": ("a numbered list", "questions start at the margin, outside blocks"),
}


@frozen
class Opened:
    """A `:::` block whose opening line was understood."""

    name: str
    attrs: Attributes
    node: Node
    place: Place


def open_div(ctx: Context, node: Node) -> Opened | None:
    """Read the opening line of a block; None if it cannot be understood."""
    name, trouble = str(node.token.meta.get("name")), str(node.token.meta.get("problem"))
    place = node.place
    if trouble == "stray":
        hint = "take it out, or open a block above it"
        ctx.problems.error(place, "this ::: closes nothing", hint, code="block-stray")
        return None
    if trouble == "open":
        message = f"this block ‘{name or '…'}’ is never closed"
        ctx.problems.error(place, message, "close it with a line :::", code="block-open")
    elif trouble == "close-indent":
        last = int(node.token.meta["body"][1]) + 1
        message = f"this ::: is indented less than the block ‘{name}’ that it closes"
        hint = f"indent it by {node.lead} blanks"
        ctx.problems.error(ctx.source.whole_line(last), message, hint, code="block-indent")
    if name not in DIV_NAMES:
        close = nearest(name, DIV_NAMES)
        if not name and node.token.info.startswith("{"):
            hint = "write for example ::: stop " + node.token.info
            ctx.problems.error(place, "this block has no name", hint, code="block-unknown")
            return None
        message = f"‘{name or node.token.info}’ is not a block"
        hint = f"did you mean ::: {close}?" if close else "known blocks: " + ", ".join(DIV_NAMES)
        ctx.problems.error(place, message, hint, code="block-unknown")
        return None
    attrs = _div_attributes(ctx, node, name)
    return Opened(name, attrs, node, place)


def _div_attributes(ctx: Context, node: Node, name: str) -> Attributes:
    text = str(node.token.meta.get("attrs")).strip()
    row = ctx.source.lines[node.line - 1]
    if not text:
        return Attributes({}, None, {})
    inner = text[1:].lstrip() if text.startswith("{") else text
    start = row.rfind(inner)
    opening = ctx.source.prepared[node.line - 1].find("{") if text.startswith("{") else -1
    if opening < 0:
        place = ctx.source.place(node.line, max(1, start + 1), len(text))
        message = f"‘{text}’ after the block's name is not an attribute"
        hint = f"{{{text}}}" if "=" in text else "and begin the words on the next line"
        hint = f"write ::: {name} {hint}"
        ctx.problems.error(place, message, hint, code="attribute-unreadable")
        return Attributes({}, None, {})
    braces = read_braces(row, opening)
    for problem in braces.problems:
        if problem.message == "these braces are empty" and text != "{}":
            continue
        place = ctx.source.place(node.line, problem.start + 1, problem.end - problem.start)
        ctx.problems.error(place, problem.message, problem.hint, code="attribute-unreadable")
    if row[braces.end :].strip():
        place = ctx.source.place(node.line, braces.end + 1, len(row) - braces.end)
        message = "words stand after the block's attributes"
        ctx.problems.error(place, message, "put them on the next line", code="block-text")
    items = [i for i in braces.items if not (i.value is None and i.name == name)]
    places = {i.name: ctx.source.place(node.line, i.start + 1, i.end - i.start) for i in items}
    return Attributes(allowed(ctx, items, places, name), None, places)


def refuse(ctx: Context, node: Node, hint: str = "") -> None:
    """Report a construct that is not part of the language at this place."""
    if node.token.type == "div_open":
        opened = open_div(ctx, node)
        if opened is not None:
            message = f"‘::: {opened.name}’ cannot stand here"
            outside = "close the block around it first, or move it to the margin"
            ctx.problems.error(opened.place, message, outside, code="block-misplaced")
        return
    what, usual = _REFUSED.get(node.token.type, ("this kind of markup", "write it as a paragraph"))
    message = f"{what} is not part of a script here"
    ctx.problems.error(node.place, message, hint or usual, code="markup-unknown")


def check_bullet(ctx: Context, item: Node) -> None:
    """Refuse a list that begins with another sign than a hyphen."""
    if item.token.markup != "-":
        message = f"a list begins with ‘{item.token.markup}’"
        ctx.problems.error(item.place, message, "write a hyphen: - …", code="list-form")
