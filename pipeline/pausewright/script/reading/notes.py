"""Sheets, keys and staff notes: what stands on papers only, and who owns it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final, Literal, TypeVar, cast

from pausewright.script.inline.paragraph_content import read_inline
from pausewright.script.model import Note, Question, SubQuestion
from pausewright.script.reading.block_attributes import Attributes, read_attributes
from pausewright.script.reading.divs import Opened, refuse
from pausewright.script.sheet_content import PaperHeading, PaperList, PaperParagraph, PaperTable

if TYPE_CHECKING:
    from pausewright.script.model import Inline
    from pausewright.script.reading.context import Context
    from pausewright.script.sheet_content import PaperBlock
    from pausewright.script.source.tree import Node

Owner = TypeVar("Owner", Question, SubQuestion)

_STAFF: Final = ("reader", "invigilator", "marker")


def read_note(ctx: Context, opened: Opened) -> Note | None:
    """Return a block that stands on papers only, its contents checked."""
    first, last = opened.node.token.meta["body"]
    rows = ctx.source.prepared[first:last]
    lead = min((len(r) - len(r.lstrip()) for r in rows if r.strip()), default=0)
    text = "\n".join(row[lead:].rstrip() for row in rows).strip("\n")
    if not text.strip():
        hint = "write something in it"
        ctx.problems.error(opened.place, f"this {opened.name} is empty", hint, code="note-empty")
        return None
    content = _blocks(ctx, opened.node, opened.name)
    to: tuple[str, ...] = ()
    item = opened.attrs.items.get("to")
    if item is not None:
        to = tuple(part.strip() for part in (item.value or "").split(","))
        for name in to:
            if name not in _STAFF:
                message = f"‘{name}’ is not known"
                hint = "write reader, invigilator or marker"
                ctx.problems.error(opened.attrs.places["to"], message, hint, code="value-unknown")
    kind = cast('Literal["sheet", "key", "staff-note"]', opened.name)
    return Note(kind, text, opened.place, to, content)


def _blocks(ctx: Context, node: Node, kind: str) -> tuple[PaperBlock, ...]:
    """Return what stands in a note, block by block."""
    found: list[PaperBlock] = []
    for child in node.children:
        what = child.token.type
        if what in {"hr", "fence", "code_block", "blockquote_open", "div_open"}:
            refuse(ctx, child)
        elif what == "table_open":
            found.append(_table(ctx, child, kind))
        elif what in {"bullet_list_open", "ordered_list_open"}:
            start = int(child.token.attrs.get("start", 1)) if what[0] == "o" else None
            items = tuple(_blocks(ctx, item, kind) for item in child.children)
            found.append(PaperList(items, start, child.place))
        elif what == "heading_open":
            found.append(PaperHeading(_inlines(ctx, child, kind), child.place))
        else:
            found.append(PaperParagraph(_inlines(ctx, child, kind), child.place))
    return tuple(found)


def _inlines(ctx: Context, node: Node, kind: str) -> tuple[Inline, ...]:
    """Return the words of a paragraph, heading or cell."""
    found: tuple[Inline, ...] = ()
    for child in node.children:
        if child.token.type == "inline":
            content = read_inline(child.token, ctx.source, ctx.problems, kind)
            read_attributes(ctx, content, kind)
            found += content.inlines
    return found


def _table(ctx: Context, node: Node, kind: str) -> PaperTable:
    """Return a table; its first row is the headings."""
    rows = [
        tuple(_inlines(ctx, cell, kind) for cell in row.children)
        for section in node.children
        for row in section.children
    ]
    return PaperTable(rows[0] if rows else (), tuple(rows[1:]), node.place)


def read_value_note(ctx: Context, attrs: Attributes, name: Literal["sheet", "key"]) -> Note | None:
    """Return the note that an attribute `sheet` or `key` holds, or None."""
    item = attrs.items.get(name)
    if item is None or item.value is None:
        return None
    empty = not item.value.strip() or (
        name == "key" and any(not p.strip() for p in re.split(r"(?<!\\)\|", item.value))
    )
    if empty:
        hint = f'write {name}="…", or take it out'
        ctx.problems.error(attrs.places[name], f"this {name} is empty", hint, code="note-empty")
        return None
    return Note(name, item.value, attrs.places[name])


def with_note(ctx: Context, owner: Owner, note: Note) -> Owner:
    """Return a question or sub-question with a note of its own; both forms for one: a problem."""
    if note.kind == "staff-note":
        return replace(owner, notes=(*owner.notes, note))
    taken = owner.sheet if note.kind == "sheet" else owner.key
    if taken is None:
        return replace(owner, sheet=note) if note.kind == "sheet" else replace(owner, key=note)
    message = f"this question has a {note.kind} already"
    hint = "keep one of them"
    ctx.problems.error(note.place, message, hint, code="note-twice", also=(taken.place,))
    return owner
