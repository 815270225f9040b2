"""Cards as pages show them: fields with labels, what is said, what is wrong at their place."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final, TypeVar

from pausewright.desk.cards.marks import marks_of
from pausewright.desk.cards.mends import mends_of, piece_at
from pausewright.desk.cards.settings_fields import NAMES
from pausewright.desk.messages import Said
from pausewright.desk.try_messages import Row
from pausewright.frozen import frozen
from pausewright.script.attributes.attribute_table import UNDONE, VALUES, YES_WORDS
from pausewright.script.attributes.scope import SCOPED
from pausewright.script.settings.settings_table import SETTINGS
from pausewright.shown_text import harmless, one_line

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from pausewright.desk.cards.model import Card, Cards, Piece
    from pausewright.desk.messages import Given, Looked

_Placed = TypeVar("_Placed", Said, Row)
KINDS: Final[dict[str, str]] = {
    "settings": "The whole test",
    "part": "Part",
    "group": "Group",
    "instruction": "Instruction",
    "question": "Question",
    "passage": "Passage",
    "dictation": "Dictation",
    "again": "Said again",
    "stop": "Stop",
    "page-turn": "Page turn",
    "sheet": "On the sheet",
    "staff-note": "Note for staff",
    "text": "Only in the text",
}
NEW: Final[tuple[tuple[str, str], ...]] = (
    ("question", "a question"),
    ("instruction", "an instruction"),
    ("stop", "a stop, for questions from the room"),
    ("page-turn", "a page turn"),
    ("part", "the heading of a part"),
    ("group", "the heading of a group"),
)
INSIDE: Final[tuple[tuple[str, str], ...]] = (
    ("answer", "an answer to choose, in this question"),
    ("sub-question", "a part of this question"),
    ("paragraph", "a further paragraph of this question"),
)
_WORDS: Final[dict[str, str]] = {
    "part": "Title, which is not spoken",
    "group": "Title, which is not spoken",
    "paragraph": "What is said",
    "question": "What is asked",
    "indented paragraph": "Then",
    "option": "Answer to choose",
    "sub-question": "Part of the question",
    "turn": "What is heard",
    "phrase": "Phrase",
}
_NOTES: Final = {
    "sheet": "What the sheet shows, as it is written",
    "key": "Right answer, as it is written",
    "staff-note": "Note for staff, as it is written",
}
_LABELS: Final[dict[str, str]] = {
    "key": "Right answer",
    "sheet": "What the sheet shows",
    "answer-time": "Answer time",
    "readings": "How often it is read",
    "between-readings": "Silence between readings",
    "marks": "Marks",
    "lines": "Lines to write on",
    "announce": "Said before the first reading",
    "again": "Said before each later reading",
    "pattern": "Pattern",
    "look-time": "Time to look at the sheet",
    "pause-after": "Pause after it",
    "for": "How long it lasts",
    "for-questions": "For which questions",
    "questions": "Which questions",
    "voice": "Voice",
    "pace": "Pace",
    "lang": "Language",
    "take": "Take of the voice",
    "order": "Order of readings",
    "phrase-time": "Time after each phrase",
    "phrase-readings": "How often each phrase is said",
    "between-phrase-readings": "Silence between these",
    "between-paragraphs": "Pause between paragraphs",
    "between-options": "Pause before each answer",
    "turn-pause": "Pause between turns",
    "captions": "What captions show",
    "captions-reason": "Why they may",
    "time-cue": "Half of the time is told",
    "to": "For whom",
    "practice": "For practice",
    "printed": "Only printed, not spoken",
    "withdrawn": "Withdrawn",
    "answers": "Answers are read aloud here",
    "rest": "A break to rest",
}
_USUAL: Final = (
    "key",
    "sheet",
    "answer-time",
    "look-time",
    "pause-after",
    "for",
    "readings",
    "between-readings",
    "marks",
    "lines",
    "phrase-time",
    "questions",
    "for-questions",
    "to",
)
"""Shown first in an open card; all others stand below them."""
_CLOSED: Final = frozenset({"key", "sheet"})
"""Attributes that a card shows as fields even while it is closed."""
_SETTINGS: Final = {
    **{name: one.about.rstrip(".") for name, one in SETTINGS.items()},
    **{name: one.about.rstrip(".") for name, one in SCOPED.items()},
    "title": "Title, as the room may see it",
    "answer-time": "Answer time",
}
_CLOSED_SETTINGS: Final = ("title", "readings", "between-readings", "answer-time", "announce")
_LONG_SETTINGS: Final = frozenset({"title", "announce", "again", "slate", "sheet-head"})
_LONG_SIGNS: Final = 24
_ROW_SIGNS: Final = 46
_UNSAID: Final = frozenset({"settings", "part", "group"})
"""Announcements may be declared there, which are said once for each question."""


@frozen
class Field:
    """One field of a card's form."""

    name: str
    label: str
    value: str
    kind: str
    """ "area", "line", "tick" or "note"."""
    rows: int = 1
    given: str = ""
    """What is in force without it."""

    @property
    def look(self) -> str:
        """How it stands among the others: two side by side, several in a line, or alone."""
        if self.kind == "area" and self.name.rpartition(":")[2] in _CLOSED:
            return "short"
        return "line" if self.kind == "line" else ""


@frozen
class CardView:
    """One card."""

    line: int
    end_line: int
    kind: str
    head: str
    mark: str
    """Of its text, so that it is found again if the file was changed elsewhere."""
    fields: tuple[Field, ...]
    usual: tuple[Field, ...]
    """Further ones, while it is open."""
    rare: tuple[Field, ...]
    facts: tuple[str, ...]
    """What is declared on it and has no field while it is closed."""
    said: tuple[Said, ...]
    problems: tuple[tuple[Row, tuple[str, ...]], ...]
    """Each with what its hint offers to be pressed."""
    marks: tuple[tuple[int, str], ...]
    hear: str
    """What "Say this" lets be heard; "" for nothing."""
    text: str = ""
    is_open: bool = False

    @property
    def new_kinds(self) -> tuple[tuple[str, str], ...]:
        """What can be added after it, or in it."""
        return (*NEW, *INSIDE) if self.kind == "question" else NEW

    @property
    def is_wrong(self) -> bool:
        """Whether a problem of it keeps the test from being made."""
        return any(one.severity == "error" for one, _ in self.problems)


def mark_of(card: Card) -> str:
    """Return the mark of a card's text."""
    return hashlib.sha256(card.text.encode("utf-8", "replace")).hexdigest()[:32]


def views(cards: Cards, looked: Looked | None, opened: int = 0) -> tuple[CardView, ...]:
    """Return all cards; the one on the line `opened` with all fields that there are."""
    said = _by_card(cards, looked.said if looked else ())
    problems = _by_card(cards, [one for one in looked.problems if one.is_own] if looked else [])
    given = {one.line: one for one in (looked.given if looked else ())}
    marks = marks_of(cards)
    return tuple(
        _view(
            card,
            said.get(card.line, ()),
            problems.get(card.line, ()),
            marks.get(card.line, ()),
            given.get(card.line),
            rows=cards.rows,
            is_open=card.line == opened,
        )
        for card in cards.cards
    )


def _by_card(cards: Cards, rows: Sequence[_Placed]) -> dict[int, tuple[_Placed, ...]]:
    """Return what stands on the lines of each card, by its line."""
    owners: dict[int, int] = {}
    for card in cards.cards:
        owners |= dict.fromkeys(range(card.line, card.last + 2), card.line)
    found: dict[int, list[_Placed]] = {}
    for row in rows:
        if row.line in owners:
            found.setdefault(owners[row.line], []).append(row)
    return {line: tuple(own) for line, own in found.items()}


def form_name(piece: str, name: str) -> str:
    """Return how a form calls a field."""
    return f"f:{piece}:{name}"


def fields_of_form(rows: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """Return what a form says of a card's fields."""
    found = {}
    for name, value in rows.items():
        first, _, rest = name.partition(":")
        piece, colon, own = rest.rpartition(":")
        if first == "f" and colon:
            found[piece, own] = value
    return found


def _view(
    card: Card,
    said: tuple[Said, ...],
    problems: tuple[Row, ...],
    marks: tuple[tuple[int, str], ...],
    given: Given | None,
    *,
    rows: Sequence[str],
    is_open: bool,
) -> CardView:
    fields: list[Field] = []
    usual: list[Field] = []
    rare: list[Field] = []
    facts: list[str] = []
    for piece in card.pieces:
        fields += _own_fields(piece, card)
        for name in _names(piece, card):
            value = piece.attributes.value(name)
            one = _attribute(piece, name, value, given)
            if not piece.attributes.is_own:
                facts += [_fact(piece, name, value)] if value else []
            elif name in (_CLOSED_SETTINGS if piece.kind == "settings" else _CLOSED):
                fields.append(one)
            elif is_open and name in _USUAL:
                usual.append(one)
            elif is_open:
                rare.append(one)
            elif value:
                facts.append(_fact(piece, name, value))
    if given is not None and not is_open and "answer-time" in given.values:
        own = card.pieces[0].attributes.value("answer-time")
        facts += [] if own else [f"answer time {given.values['answer-time']}"]
    number = f" {card.number}" if card.kind == "question" else ""
    head = ("Practice question" if card.practice and number else KINDS[card.kind]) + number
    return CardView(
        card.line,
        card.last + 1,
        card.kind,
        head,
        mark_of(card),
        tuple(fields),
        tuple(usual),
        tuple(rare),
        tuple(facts),
        () if card.kind in _UNSAID else said,
        tuple((one, row_mends(rows, one)) for one in problems),
        marks,
        _heard(card, given),
        harmless(card.text) if card.kind == "text" else "",
        is_open,
    )


def row_mends(rows: Sequence[str], one: Row) -> tuple[str, ...]:
    """Return what the hint of a problem offers in place of what stands there."""
    if one.choices:
        return ()
    return mends_of(one.message, one.hint, piece_at(rows, one.line, one.column, one.length))


def _own_fields(piece: Piece, card: Card) -> Iterator[Field]:
    if piece.words is not None:
        label = _WORDS.get(piece.kind, "What is said")
        if card.kind in {"stop", "page-turn", "again"}:
            label = "What is said"
        if piece.kind in {"option", "sub-question"}:
            label = f"{label}, {piece.name.rpartition('.')[2]}"
        shown = piece.words.shown
        yield Field(form_name(piece.name, "words"), label, shown, "area", _rows(shown))
    if piece.body is not None:
        text = piece.body.text
        label = _NOTES.get(piece.kind, "Note")
        yield Field(form_name(piece.name, "note"), label, text, "note", text.count("\n") + 1)


def _rows(shown: str) -> int:
    return sum(1 + len(row) // _ROW_SIGNS for row in shown.split("\n"))


def _names(piece: Piece, card: Card) -> list[str]:
    """Return the attributes that may stand on a piece, the usual ones first."""
    kind = piece.kind
    if kind == "settings":
        return sorted(NAMES, key=lambda one: one not in _CLOSED_SETTINGS)
    taken = {one.kind for one in card.pieces if one.body is not None and _owner(one) == piece.name}
    found = [name for name, kinds in (*VALUES.items(), *YES_WORDS.items()) if kind in kinds]
    found = [name for name in found if name not in taken]
    return sorted(found, key=lambda one: _USUAL.index(one) if one in _USUAL else len(_USUAL))


def _owner(piece: Piece) -> str:
    return piece.name.rpartition(".")[0]


def _attribute(piece: Piece, name: str, value: str, given: Given | None) -> Field:
    label = _SETTINGS.get(name, name) if piece.kind == "settings" else _LABELS.get(name, name)
    if piece.name:
        label = f"{label}, {_called(piece)}"
    is_yes = piece.kind != "settings" and name in YES_WORDS
    kind = "tick" if is_yes and (name not in UNDONE or value != "no") else "line"
    if name in _CLOSED:
        kind = "area"
    if piece.kind == "settings":
        kind = "long" if name in _LONG_SETTINGS or len(value) > _LONG_SIGNS else "line"
    in_force = given.values.get(name, "") if given is not None and not piece.name else ""
    return Field(form_name(piece.name, name), label, value, kind, 1, in_force)


def _called(piece: Piece) -> str:
    name = piece.name.rpartition(".")[2]
    if piece.kind in {"option", "sub-question"}:
        return name
    number = name.lstrip("abcdefghijklmnopqrstuvwxyz-")
    words = {"indented paragraph": "paragraph", "turn": "paragraph"}.get(piece.kind, piece.kind)
    return f"{words.replace('-', ' ')} {number}".strip()


def _fact(piece: Piece, name: str, value: str) -> str:
    label = name if piece.kind == "settings" else _LABELS.get(name, name).lower()
    label = f"{label}, {_called(piece)}" if piece.name else label
    return one_line(label if value == "yes" else f"{label} {value}")


def _heard(card: Card, given: Given | None) -> str:
    """Return what listening is asked for."""
    if card.kind == "question":
        return given.what if given is not None else ""
    if card.kind in {"settings", "part", "group", "sheet", "staff-note", "text"}:
        return ""
    first = next((one for one in card.pieces if one.words is not None), None)
    return f"line:{first.line}" if first is not None else ""
