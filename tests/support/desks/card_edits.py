"""Edits by cards, drawn at random, and what the script's own reader must find after each.

What is expected is taken from the model that the reader makes, not from the cards: the words of a
paragraph as the model holds them, and the sameness by which `tidy` judges.
"""

from __future__ import annotations

import dataclasses
import re
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.desk.cards.words import plain_words
from pausewright.script.model import (
    Emphasis,
    Note,
    Prose,
    Question,
    Script,
    Span,
    Text,
)
from pausewright.script.tidying.sameness import difference

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator

    from pausewright.desk.cards.model import Card, Piece
    from pausewright.script.model import Block, Inline
    from pausewright.script.reader import Reading

SIGNS = (
    "a {brace}", '[x]{say="y"}', "3*4*5", "**bold words**", "under_score_d", "`code`", "a :: b",
    "::: stop", "<b>x</b>", "&amp; &nbsp;", "\\ back", 'name="v"', "# head", "1. one", "A. two",
    "- three", "> four", "$5 and $10", "½ £2.40", "‹odd›", "«guillemets»", "--", "---", "-->",
    "~~~", "|a|b|", "é\u00a0ü", "\ttab", "“curly”", "$x^2 = 9$", "5", "(c)", "…", "+", "=",
)  # fmt: skip
WORDS = [
    "harbour",
    "lantern",
    "seven",
    "12",
    "quickly",
    "under",
    "orchard",
    "£3",
    "2.5",
    "the",
    "of",
]
ATTRIBUTES: dict[str, tuple[str, ...]] = {
    "answer-time": ("13 s", "1.5 min", "none", "by hand"),
    "marks": ("2", "3"),
    "key": ("240", "60p | 60 pence", 'he said "no"', "a, b", "back\\slash", "“x”"),
    "sheet": ("84", "leaves at …", "£2.05, £2.50", "two\nlines", "{2, 4}", "a\n\nb"),
    "take": ("2", "5"),
    "lines": ("2", "0"),
    "pause-after": ("2.5 s", "400 ms"),
    "look-time": ("20 s",),
    "for": ("8 s", "30 s"),
    "readings": ("2", "3"),
    "pace": ("85 %",),
    "phrase-time": ("9 s",),
    "withdrawn": ("yes", ""),
    "printed": ("yes", "no", ""),
    "practice": ("yes", ""),
    "rest": ("yes", ""),
    "time-cue": ("half",),
    "voice": ("iris", "joe"),
}
"""Values of attributes that are drawn; all others are drawn from what stands there."""


@dataclasses.dataclass(frozen=True)
class Drawn:
    """One edit."""

    line: int
    piece: str
    field: str
    value: str


def drawn(dice: random.Random, cards: tuple[Card, ...], allowed: dict[str, set[str]]) -> Drawn:
    """Draw a field of a card and a new value; `allowed` tells what may stand on which kind."""
    card = dice.choice([one for one in cards if one.pieces and one.kind != "settings"])
    piece = dice.choice(card.pieces)
    fields = [name for name in ATTRIBUTES if name in allowed[piece.kind]]
    there = [item.name for item in piece.attributes.items if item.name in allowed[piece.kind]]
    taken = {one.kind for one in card.pieces if one.body is not None}
    fields = [one for one in fields if one not in taken]
    kinds = ["words"] * 3 * (piece.words is not None) + ["note"] * 3 * (piece.body is not None)
    field = dice.choice([*kinds, *fields, *there, *there] or ["words"])
    if field == "words" and piece.words is not None:
        value = other_words(dice, piece.words.shown)
    elif field == "note" and piece.body is not None:
        value = other_rows(dice, piece.body.text)
    elif field in ATTRIBUTES:
        value = dice.choice([*ATTRIBUTES[field], ""])
    else:
        value = dice.choice([piece.attributes.value(field), ""])
    if value == "" and piece.attributes.value(field) == "" and field in ATTRIBUTES:
        value = ATTRIBUTES[field][0]
    return Drawn(card.line, piece.name, field, value)


def other_words(dice: random.Random, shown: str) -> str:
    """Return words that were changed somewhere."""
    parts = re.findall(r"‹[^‹›\n]*›|\S+|\s", shown)
    at = dice.randrange(len(parts) + 1)
    new = dice.choice([*WORDS, *SIGNS])
    how = dice.choice(["insert", "replace", "remove", "end", "start", "break", "letter"])
    if how == "insert":
        parts[at:at] = [" ", new, " "]
    elif how == "replace" and at < len(parts):
        parts[at] = new
    elif how == "remove" and len(parts) > 1:
        del parts[at : at + dice.randint(1, 3)]
    elif how == "start":
        parts[:0] = [new, " "]
    elif how == "break":
        parts[at:at] = ["\n", new, " "]
    elif how == "letter" and at < len(parts):
        parts[at] = f"{parts[at]}x"
    else:
        parts += [" ", new]
    return "".join(parts) if "".join(parts).strip() else new


def other_rows(dice: random.Random, text: str) -> str:
    """Return lines of a note, one of them changed, added or taken out."""
    rows = text.split("\n")
    at = dice.randrange(len(rows))
    how = dice.choice(["add", "change", "remove", "end"])
    if how == "change":
        rows[at] = "Another line of words"
    elif how == "remove":
        del rows[at]
    else:
        rows.insert(at if how == "add" else len(rows), "More words, in a line")
    return "\n".join(rows) if "".join(rows).strip() else "Words"


def model_words(inlines: tuple[Inline, ...]) -> str:
    """Return words of the model as a card should show them, each mark as ‹›."""
    out = ""
    for one in inlines:
        if isinstance(one, Text):
            out += one.text
        elif isinstance(one, Emphasis):
            stars = "**" if one.strong else "*"
            out += f"{stars}{model_words(one.children)}{stars}"
        elif isinstance(one, Span):
            out += model_words(one.children)
        else:
            out += "‹›"
    return out


def card_words(shown: str) -> str:
    """Return what a card shows in the same way."""
    return plain_words(re.sub(r"‹[^‹›\n]*›", "‹›", shown))


def comments(text: str) -> list[str]:
    """Return the words of all comments."""
    return sorted(
        " ".join(one.split()) for one in re.findall(r"(?<!\\)<!--.*?-->", text, re.DOTALL)
    )


def block_at(script: Script, line: int) -> tuple[int, Block] | None:
    """Return the block of the script's own file that begins on a line, with its index."""
    for index, (_, _, block) in enumerate(script.blocks()):
        if block.place.file == script.path and block.place.line == line:
            return index, block
    return None


def with_block(script: Script, index: int, block: Block) -> Script:
    """Return a script with another block in the place of one."""
    at = -1
    parts = []
    for part in script.parts:
        groups = []
        for group in part.groups:
            blocks = []
            for own in group.blocks:
                at += 1
                blocks.append(block if at == index else own)
            groups.append(dataclasses.replace(group, blocks=tuple(blocks)))
        parts.append(dataclasses.replace(part, groups=tuple(groups)))
    return dataclasses.replace(script, parts=tuple(parts))


def same_but(before: Reading, after: Reading, line: int) -> str:
    """Return in what two readings differ beside the block on a line; "" for nothing."""
    one, other = block_at(before.script, line), block_at(after.script, line)
    if one is None or other is None:
        return "no such block"
    if one[0] != other[0]:
        return "another place"
    patched = with_block(after.script, one[0], one[1])
    return difference(
        dataclasses.replace(before, problems=()),
        dataclasses.replace(after, script=patched, problems=()),
    )


def paragraphs(block: Block) -> Iterator[tuple[int, str]]:
    """Give the paragraphs of a block, with their lines and words."""
    if isinstance(block, Prose):
        yield block.place.line, model_words(block.inlines)
    for field in dataclasses.fields(block):
        value = getattr(block, field.name)
        for one in value if isinstance(value, tuple) else (value,):
            if dataclasses.is_dataclass(one) and not isinstance(one, type):
                yield from paragraphs(one)  # type: ignore[arg-type]


def value_found(block: Block, field: str) -> object:
    """Return what the model holds for an attribute of a question; None if it is not looked at."""
    if not isinstance(block, Question):
        return None
    notes: dict[str, Note | None] = {"key": block.key, "sheet": block.sheet}
    if field in notes:
        note = notes[field]
        return "" if note is None else note.text
    if field == "answer-time" and block.delivery.answer_time is not None:
        return block.delivery.answer_time.value
    known: dict[str, object] = {
        "marks": block.marks,
        "lines": block.lines,
        "take": block.delivery.speech.take,
        "readings": block.delivery.readings.value,
        "withdrawn": block.withdrawn,
        "pace": block.delivery.speech.pace,
    }
    return known.get(field)


def value_meant(field: str, value: str) -> object:
    """Return what an attribute's value means, for those of which that is plain."""
    times = {"13 s": Fraction(13), "1.5 min": Fraction(90), "none": None}
    if field == "answer-time":
        return times.get(value, "not looked at")
    if field in {"marks", "lines", "take", "readings"} and value:
        return int(value)
    if field == "withdrawn":
        return value == "yes"
    if field == "pace" and value:
        return Fraction(85, 100)
    if field in {"key", "sheet"} and value and "\n" not in value and "{" not in value:
        return value
    return "not looked at"


def piece_lines(card: Card, piece: Piece) -> range:
    """Return the lines on which a piece may change, from 0: its own, up to the next one's."""
    index = card.pieces.index(piece)
    following = card.pieces[index + 1].line - 1 if index + 1 < len(card.pieces) else card.last + 1
    return range(piece.line - 1, max(following, piece.line))
