"""A field of a card that was changed, as a change of the script's text that is read again.

What comes back was compared: every other field of every card is what it was, and the changed ones
are what was asked for. Where that cannot be had, nothing is changed and it is said.
"""

from __future__ import annotations

from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.model import NOTES, Card, CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.cards.settings_fields import NAMES, REQUIRED, settings_edits
from pausewright.desk.cards.spots import Edit, Spot
from pausewright.desk.cards.words import plain_words
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.attributes.braces import escaped
from pausewright.script.written_words import written

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from pausewright.desk.cards.model import Attribute, Attributes, Cards, Piece

Fields = dict[tuple[str, str], str]
"""Piece and field → value; "words" and "note" are fields beside the attributes."""
_HINT: Final = "write it in the text beside the cards"


def changed(text: str, line: int, fields: Mapping[tuple[str, str], str]) -> str:
    """Return the text with fields of a card changed; fields that are as they were may be given too.

    Parameters
    ----------
    text : of the script, with line feeds
    line : of the card, from 1
    fields : piece and field → its value; "" takes an attribute or note out

    Raises
    ------
    CardError
        If there is no such card or field, or the text cannot say this in its place.
    """
    cards = read_cards(text)
    card = cards.at(line)
    asked = {name: _usual(name[1], value) for name, value in fields.items()}
    old = card.fields
    new = {name: value for name, value in asked.items() if value != old.get(name, "")}
    if not new:
        return text
    _refuse_unknown(card, new)
    edits = _edits(cards, card, new)
    result = applied(cards.rows, edits)
    if _is_as_asked(cards, card, new, result):
        return result
    plain = _plainer(card, new)
    if plain:
        others = {name: value for name, value in new.items() if name not in plain}
        edits = [*_edits(cards, card, others), *(one for rows in plain.values() for one in rows)]
        result = applied(cards.rows, edits)
        if _is_as_asked(cards, card, new, result):
            return result
    raise CardError("this cannot be written in the card", _HINT)


def applied(rows: Iterable[str], edits: Iterable[Edit]) -> str:
    """Return a text with edits made, from the last to the first."""
    found = list(rows)
    for edit in sorted(edits, key=lambda one: (one.start, one.end), reverse=True):
        head = found[edit.start.line][: edit.start.column]
        tail = found[edit.end.line][edit.end.column :]
        found[edit.start.line : edit.end.line + 1] = f"{head}{edit.text}{tail}".split("\n")
    return "\n".join(found)


def _usual(field: str, value: str) -> str:
    """Return a value as it is read again."""
    if field == "words":
        return plain_words(value)
    if field == "note":
        rows = value.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        return "\n".join(row.replace("\t", "    ").rstrip() for row in rows).strip("\n")
    if field in {"sheet", "key"} and "\n" in value.strip():
        return plain_rows(value)
    return " ".join(value.split())


def plain_rows(value: str) -> str:
    """Return lines without blanks at their ends, and none empty at the edges."""
    rows = value.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(" ".join(row.split()) for row in rows).strip("\n")


def _refuse_unknown(card: Card, new: Fields) -> None:
    for (name, field), value in new.items():
        piece = card.piece(name)
        if piece is None:
            raise CardError("this is no longer in the card", "look at the page again")
        if field == "words":
            if piece.words is None:
                raise CardError("there are no words here", _HINT)
            if not value:
                raise CardError("nothing is left of these words", "delete the whole card instead")
        elif field == "note":
            if piece.body is None:
                raise CardError("there is no such note", "look at the page again")
        elif piece.kind == "settings":
            if field not in NAMES:
                raise CardError(f"‘{field}’ is no setting of one value", _HINT)
            if field in REQUIRED and not value:
                raise CardError(f"a test needs a {field}", "write one")
        else:
            places = VALUES.get(field, frozenset()) | YES_WORDS.get(field, frozenset())
            if piece.kind not in places:
                raise CardError(f"‘{field}’ does not belong here", _HINT)
            if not piece.attributes.is_own:
                raise CardError("its braces hold what a card cannot show", _HINT)
            if field in YES_WORDS and field not in VALUES and value not in {"", "yes", "no"}:
                raise CardError(f"‘{field}’ is yes or nothing", "tick the box, or leave it")


def _edits(cards: Cards, card: Card, new: Fields) -> list[Edit]:
    edits: list[Edit] = []
    for piece in card.pieces:
        own = {field: value for (name, field), value in new.items() if name == piece.name}
        if "words" in own and piece.words is not None:
            edits += piece.words.edits(own["words"])
        if "note" in own:
            edits += _note(cards, piece, own["note"])
        values = {field: own[field] for field in own if field not in {"words", "note"}}
        blocks = {
            field: value
            for field, value in values.items()
            if piece.kind != "settings"
            and field in {"sheet", "key"}
            and any(sign in value for sign in "\n{}")
        }
        if piece.kind == "settings":
            edits += settings_edits(cards.rows, piece.attributes, values)
            continue
        edits += _attributes(cards, piece.attributes, values | dict.fromkeys(blocks, ""))
        for field, value in blocks.items():
            edits.append(_new_note(cards, card, piece, field, value))
    return edits


# ---- attributes ---------------------------------------------------------------------------


def _attributes(cards: Cards, found: Attributes, values: Mapping[str, str]) -> list[Edit]:
    """Return the edits of one pair of braces: items that stay keep every sign."""
    items = list(found.items)
    there = {one.name for one in items}
    gone = {one.name for one in items if values.get(one.name) == ""}
    edits = [
        Edit(one.start, one.end, _item(one.name, values[one.name]))
        for one in items
        if values.get(one.name)
    ]
    added = [_item(name, value) for name, value in values.items() if value and name not in there]
    if not items:
        return [Edit(found.end, found.end, f" {{{' '.join(added)}}}")] if added else edits
    if len(gone) == len(items):
        if added:
            return [Edit(items[0].start, items[-1].end, " ".join(added))]
        before = cards.rows[found.start.line][: found.start.column]
        return [Edit(Spot(found.start.line, len(before.rstrip(" \u00a0"))), found.end, "")]
    edits += _taken_out(items, gone)
    if added:
        last = next(one for one in reversed(items) if one.name not in gone)
        edits.append(Edit(last.end, last.end, "".join(f" {one}" for one in added)))
    return edits


def _taken_out(items: list[Attribute], gone: set[str]) -> list[Edit]:
    edits = []
    has_kept = False
    for index, one in enumerate(items):
        if one.name not in gone:
            has_kept = True
        elif has_kept:
            edits.append(Edit(items[index - 1].end, one.end, ""))
        else:
            edits.append(Edit(one.start, items[index + 1].start, ""))
    return edits


def _item(name: str, value: str) -> str:
    if name in YES_WORDS and value == "yes":
        return f".{name}"
    return f'{name}="{escaped(value)}"'


# ---- notes --------------------------------------------------------------------------------


def _note(cards: Cards, piece: Piece, new: str) -> list[Edit]:
    """Return the edits of a note's lines: those that stay are not touched."""
    body = piece.body
    if body is None:
        return []
    if not new:
        first = body.opens
        while first and not cards.rows[first - 1].strip():
            first -= 1
        last = body.closes
        return [Edit(_end(cards, first - 1), _end(cards, last), "")]
    old = list(body.rows)
    rows = new.split("\n")
    lead = " " * body.lead
    edits = []
    for tag, a1, a2, b1, b2 in SequenceMatcher(None, old, rows, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        text = "".join(f"\n{lead}{row}" if row else "\n" for row in rows[b1:b2])
        before = _end(cards, body.first + a1 - 1)
        edits.append(Edit(before, _end(cards, body.first + a2 - 1), text))
    return edits


def _new_note(cards: Cards, card: Card, piece: Piece, kind: str, value: str) -> Edit:
    """Return the edit that writes a note below its question or sub-question."""
    lead = " " * (8 if piece.kind == "sub-question" else 4)
    rows = [written(row) for row in value.split("\n")]
    text = "\n".join(f"{lead}{row}" if row else "" for row in (f"::: {kind}", *rows, ":::"))
    after = card.last
    if piece.kind == "sub-question":
        after = _last_of(cards, card, piece)
    return Edit(_end(cards, after), _end(cards, after), f"\n\n{text}")


def _last_of(cards: Cards, card: Card, piece: Piece) -> int:
    """Return the last line of a sub-question."""
    inside = [one for one in card.pieces if one.name.startswith(f"{piece.name}.")]
    following = card.pieces[card.pieces.index(inside[-1] if inside else piece) + 1 :]
    last = following[0].line - 2 if following else card.last
    while not cards.rows[last].strip():
        last -= 1
    return last


def _end(cards: Cards, line: int) -> Spot:
    return Spot(line, len(cards.rows[line]))


# ---- the proof ----------------------------------------------------------------------------


def _is_as_asked(before: Cards, card: Card, new: Fields, text: str) -> bool:
    """Return whether a text reads as before but for what was asked for."""
    after = read_cards(text)
    if len(after.cards) != len(before.cards):
        return False
    index = before.cards.index(card)
    for n, (one, other) in enumerate(zip(before.cards, after.cards, strict=True)):
        if (one.number, one.practice, one.part) != (other.number, other.practice, other.part):
            practice = n > index and card.kind in {"part", "group"}
            if not practice or (one.number, one.part) != (other.number, other.part):
                return False
        if n != index and one.text != other.text:
            return False
    return _fields_agree(card, after.cards[index], new)


def _fields_agree(card: Card, other: Card, new: Fields) -> bool:
    if card.kind != other.kind:
        return False
    wanted = dict(card.fields)
    for name, value in new.items():
        if value:
            wanted[name] = value
        else:
            wanted.pop(name, None)
    found = other.fields
    notes = {
        (name[0], name[1]): value
        for name, value in wanted.items()
        if name[1] in {"sheet", "key"} and any(sign in value for sign in "\n{}")
    }
    for (owner, field), value in notes.items():
        prefix = f"{owner}." if owner else ""
        piece = other.piece(f"{prefix}{field}")
        rows = "\n".join(written(row) for row in value.split("\n"))
        if piece is None or piece.body is None or piece.body.text != rows:
            return False
        del wanted[owner, field]
        found.pop((piece.name, "note"))
    gone = {name[0] for name, value in new.items() if name[1] == "note" and not value}
    if any(name in {one.name for one in other.pieces} for name in gone if not _more(card, name)):
        return False
    if gone and any(_more(card, name) for name in gone):
        return sorted(_values(wanted, gone)) == sorted(_values(found, set()))
    wanted = {name: value for name, value in wanted.items() if name[0] not in gone}
    return wanted == found


def _more(card: Card, name: str) -> bool:
    """Return whether further notes of a kind get another name when one is gone."""
    kind = next((one.kind for one in card.pieces if one.name == name), "")
    return kind in NOTES and sum(one.kind == kind for one in card.pieces) > 1


def _values(fields: Fields, gone: set[str]) -> list[tuple[str, str]]:
    return [(name[1], value) for name, value in fields.items() if name[0] not in gone]


def _plainer(card: Card, new: Fields) -> dict[tuple[str, str], list[Edit]]:
    """Return words written wholly anew, for those that hold nothing but words."""
    found = {}
    for (name, field), value in new.items():
        piece = card.piece(name)
        words = piece.words if piece is not None and field == "words" else None
        if words is not None and not words.has_marks:
            found[name, field] = words.whole(value)
    return found
