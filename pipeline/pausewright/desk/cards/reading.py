"""From a script's text to its cards: the same walk over the same tree as the script's reader."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.model import NOTES, Attribute, Attributes, Body, Card, Cards, Piece
from pausewright.desk.cards.settings_fields import settings_attributes
from pausewright.desk.cards.spots import Spot
from pausewright.desk.cards.words import spot_of, words_of
from pausewright.problems import Problems
from pausewright.script.attributes.braces import read_braces
from pausewright.script.reading.printed_options import LETTER
from pausewright.script.source.markdown import MarkdownToken, children
from pausewright.script.source.paragraph_places import Places
from pausewright.script.source.preparing import prepare
from pausewright.script.source.tree import tree

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.desk.cards.model import CardKind
    from pausewright.script.attributes.braces import Braces, Item
    from pausewright.script.source.source_text import Source
    from pausewright.script.source.tree import Node

_FILE: Final = Path("cards.md")
"""Names no file: nothing that a script includes is opened."""
_BY_PART: Final = re.compile(r"^numbering\s*:\s*[\"']?by-part\b", re.MULTILINE)
_BLOCKS: Final[dict[str, CardKind]] = {
    "passage": "passage",
    "dictation": "dictation",
    "again": "again",
    "stop": "stop",
    "page-turn": "page-turn",
    "sheet": "sheet",
    "staff-note": "staff-note",
}
_INDENT: Final = 4


@lru_cache(maxsize=3)
def read_cards(text: str) -> Cards:
    """Return the cards of a script; `text` has line feeds and no byte-order mark.

    A change reads the text before it and the text after it, and the page then shows the latter:
    the last few are kept.

    Raises
    ------
    ScriptError
        If it holds more lines or characters than a script may.
    """
    source = prepare(_FILE, text, Problems(), settings=True)
    walk = _Walk(source, text.split("\n"))
    walk.settings()
    walk.margin(tree(source))
    n_settings = source.settings_text.count("\n") + 2 if source.settings_line else 0
    return Cards(
        tuple(walk.cards),
        tuple(walk.rows),
        bool(_BY_PART.search(source.settings_text)),
        source.settings_line + n_settings - 1 if n_settings else -1,
    )


class _Walk:
    def __init__(self, source: Source, rows: list[str]) -> None:
        self.rows = rows
        self.cards: list[Card] = []
        self._source = source
        self._practice = (False, False)
        """In the open part, and in the open group."""
        self._n_parts = 0

    # ---- cards

    def settings(self) -> None:
        """Make a card of the settings, if they can be read."""
        found = settings_attributes(self._source, self.rows)
        if found is None:
            return
        first, last = self._source.settings_line - 1, found.end.line
        piece = Piece("", "settings", first + 1, found)
        text = "\n".join(self.rows[first : last + 1])
        self.cards.append(Card("settings", first, last, (piece,), text))

    def margin(self, nodes: Sequence[Node]) -> None:
        """Walk the blocks at the margin; notes right after a question belong to it."""
        owner: Card | None = None
        for node in nodes:
            kind, name = node.token.type, str(node.token.meta.get("name"))
            if kind == "ordered_list_open":
                for item in node.children:
                    owner = self._question(item)
            elif kind == "div_open" and name in NOTES and owner is not None:
                owner = self._with_note(owner, node)
            else:
                owner = None
                self._block(node, name)

    def _block(self, node: Node, name: str) -> None:
        kind = node.token.type
        if kind == "heading_open" and node.token.tag in {"h1", "h2"}:
            self._heading(node)
        elif kind == "paragraph_open" and not node.lead and not _includes(node):
            piece = self._paragraph(node, "", "paragraph", 0)
            self._add(node, "instruction", (piece,))
        elif kind == "div_open" and name in _BLOCKS and not node.token.meta.get("problem"):
            self._add(node, _BLOCKS[name], tuple(self._div(node, "")))
        else:
            self._add(node, "text", ())

    def _add(self, node: Node, kind: CardKind, pieces: tuple[Piece, ...]) -> None:
        first, last = node.line - 1, self._last(node.line - 1, node.end_line - 2)
        rows = self.rows[first : last + 1]
        if any(one.words is None and one.body is None and one.name for one in pieces):
            pieces = ()
        card = Card(
            "text" if kind != "text" and not pieces else kind,
            first,
            last,
            pieces,
            "\n".join(rows),
            practice=self._practice[1],
            part=self._n_parts,
        )
        self.cards.append(card)

    def _heading(self, node: Node) -> None:
        is_part = node.token.tag == "h1"
        piece = self._paragraph(node, "", "part" if is_part else "group", 0)
        yes = piece.attributes.value("practice")
        above = False if is_part else self._practice[0]
        own = yes == "yes" or (above and yes != "no")
        self._practice = (own, own) if is_part else (above, own)
        self._n_parts += is_part
        self._add(node, "part" if is_part else "group", (piece,))

    def _question(self, item: Node) -> Card | None:
        first, last = item.line - 1, self._last(item.line - 1, item.end_line - 2)
        number = self._source.numbers.get(item.line, (0, 1))[0]
        pieces: list[Piece] = []
        if item.children and item.children[0].token.type == "paragraph_open":
            stem = self._paragraph(item.children[0], "", "question", _INDENT)
            pieces = [stem, *self._contents(item.children[1:], "", _INDENT)]
        is_whole = bool(pieces) and pieces[0].words is not None
        card = Card(
            "question" if is_whole else "text",
            first,
            last,
            tuple(pieces) if is_whole else (),
            "\n".join(self.rows[first : last + 1]),
            number,
            self._practice[1],
            self._n_parts,
        )
        self.cards.append(card)
        return card if is_whole else None

    def _with_note(self, owner: Card, node: Node) -> Card:
        """Give a question a note that stands at the margin below it."""
        taken = {one.name for one in owner.pieces}
        last = self._last(node.line - 1, node.end_line - 2)
        names = _names(taken)
        pieces = (*owner.pieces, *self._note(node, names(str(node.token.meta.get("name")))))
        card = Card(
            owner.kind,
            owner.first,
            last,
            pieces,
            "\n".join(self.rows[owner.first : last + 1]),
            owner.number,
            owner.practice,
            owner.part,
        )
        self.cards[-1] = card
        return card

    def _last(self, first: int, last: int) -> int:
        last = min(last, len(self.rows) - 1)
        while last > first and not self._source.prepared[last].strip():
            last -= 1
        return last

    # ---- what stands in them

    def _contents(self, nodes: Sequence[Node], above: str, lead: int) -> Iterator[Piece]:
        """Give the pieces of what is indented below a question or sub-question."""
        name = _names(set())
        for node in nodes:
            kind = node.token.type
            if kind == "paragraph_open":
                own = f"{above}{name('p')}"
                yield self._paragraph(node, own, "indented paragraph", lead)
            elif kind == "bullet_list_open":
                for item in node.children:
                    yield from self._answer(item, above, lead)
            elif kind == "div_open" and not node.token.meta.get("problem"):
                block = str(node.token.meta.get("name"))
                if block in NOTES:
                    yield from self._note(node, f"{above}{name(block)}")
                elif block in {"passage", "dictation"}:
                    yield from self._div(node, f"{above}{name(block)}")

    def _answer(self, item: Node, above: str, lead: int) -> Iterator[Piece]:
        """Give an answer to choose, or a sub-question with what belongs to it."""
        first = item.children[0] if item.children else None
        if first is None or first.token.type != "paragraph_open":
            return
        letter = LETTER.match(first.children[0].token.content.replace("\u00a0", " "))
        if letter is None:
            return
        is_option = letter[1].isupper()
        kind, inside = ("option", lead + 2) if is_option else ("sub-question", lead + _INDENT)
        own = f"{above}{letter[1]}"
        yield self._paragraph(first, own, kind, inside, letter.end())
        if not is_option:
            yield from self._contents(item.children[1:], f"{own}.", lead + _INDENT)

    def _paragraph(self, node: Node, name: str, kind: str, lead: int, start: int = 0) -> Piece:
        token = node.children[0].token
        braces = _last_braces(token)
        end = len(token.content) if braces is None else braces.start
        words = words_of(self._source, self.rows, token, start, end, lead)
        places = Places(self._source, token.content, (token.map or [0])[0] + 1)
        attributes = self._of_paragraph(token.content, places, braces)
        return Piece(name, kind, node.line, attributes, words)

    def _of_paragraph(self, content: str, places: Places, braces: Braces | None) -> Attributes:
        def spot(offset: int) -> Spot:
            return spot_of(self._source, places, offset)

        if braces is None:
            end = len(content.rstrip())
            line, column = spot(max(0, end - 1))
            return Attributes((), Spot(line, column + 1), Spot(line, column + 1), bool(end))
        last = spot(braces.end - 1)
        after = Spot(last.line, last.column + 1)
        return self._attributes(braces, spot(braces.start), after, spot)

    def _attributes(
        self, braces: Braces, start: Spot, end: Spot, spot: Callable[[int], Spot], block: str = ""
    ) -> Attributes:
        rows = self.rows[start.line : end.line + 1]
        has_comment = any("<!--" in row or "-->" in row for row in rows) and len(rows) > 1
        inside = rows[0][start.column : end.column] if len(rows) == 1 else ""
        is_own = not braces.problems and not has_comment and "<!--" not in inside
        items = tuple(_attribute(one, spot) for one in braces.items)
        return Attributes(items, start, end, is_own, block)

    def _div(self, node: Node, name: str) -> Iterator[Piece]:
        """Give the pieces of a block between lines of `:::`."""
        block = str(node.token.meta.get("name"))
        if block in NOTES:
            yield from self._note(node, name)
            return
        yield Piece(name, block, node.line, self._of_div(node, block))
        inner = f"{name}." if name else ""
        kind = "turn" if block == "passage" else "indented paragraph"
        names = _names(set())
        for child in node.children:
            if child.token.type == "paragraph_open":
                yield self._paragraph(child, f"{inner}{names('p')}", kind, child.lead)
            elif child.token.type == "bullet_list_open":
                for item in child.children:
                    if item.children and item.children[0].token.type == "paragraph_open":
                        own = f"{inner}{names('f')}"
                        yield self._paragraph(item.children[0], own, "phrase", item.lead + 2)

    def _of_div(self, node: Node, block: str) -> Attributes:
        index = node.line - 1
        row = self._source.lines[index]
        shift = self._source.tabs.get(node.line, 0)
        opening = self._source.prepared[index].find("{")
        if opening < 0:
            at = Spot(index, len(row.rstrip()) - shift)
            return Attributes((), at, at, "<!--" not in row, block)
        found = read_braces(row, opening)

        def spot(offset: int) -> Spot:
            return Spot(index, max(0, offset - shift))

        return self._attributes(found, spot(opening), spot(found.end), spot, block)

    def _note(self, node: Node, name: str) -> Iterator[Piece]:
        block = str(node.token.meta.get("name"))
        if node.token.meta.get("problem"):
            return
        first, last = node.token.meta["body"]
        rows = self._source.lines[first:last]
        lead = min((len(one) - len(one.lstrip(" ")) for one in rows if one.strip()), default=0)
        body = Body(
            tuple(one[lead:].rstrip() for one in rows), first, lead, node.line - 1, int(last)
        )
        yield Piece(name, block, node.line, self._of_div(node, block), None, body)


def _includes(node: Node) -> bool:
    return any(one.type == "link_open" for one in children(node.children[0].token))


def _last_braces(token: MarkdownToken) -> Braces | None:
    """Return the braces at the end of a paragraph, outside of brackets."""
    depth = 0
    found: Braces | None = None
    for one in children(token):
        if one.type in {"span_open", "sound_open", "link_open"}:
            depth += 1
        elif one.type in {"span_close", "sound_close", "link_close"}:
            depth -= 1
        if one.type == "braces" and not depth:
            found = one.meta["braces"]
        elif found is not None and (one.type != "text" or one.content.strip()):
            found = None
    return found


def _attribute(item: Item, spot: Callable[[int], Spot]) -> Attribute:
    end = spot(item.end - 1)
    return Attribute(item.name, item.value, spot(item.start), Spot(end.line, end.column + 1))


def _names(taken: set[str]) -> Callable[[str], str]:
    """Return what gives names: the first sheet is "sheet", the first paragraph "p1"."""
    counts: dict[str, int] = {}

    def name(kind: str) -> str:
        counts[kind] = counts.get(kind, 0) + 1
        own = kind if kind in NOTES and counts[kind] == 1 else f"{kind}{counts[kind]}"
        return own if own not in taken else name(kind)

    return name
