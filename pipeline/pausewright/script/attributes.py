"""Attributes in braces: `{.practice answer-time="6 s"}`, read, and the table of those we know.

The reader is our own because the usual plugins drop what they cannot read, and what is dropped
from braces would be spoken. Here every character is understood or refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from pausewright.problems import nearest

_NAME: Final = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_BARE: Final = re.compile(r"[^\s\u00a0\"“”'‘’{}=]+")
_FIELD: Final = re.compile(r"\{[a-z0-9-]{1,12}\}")
"""A field of an announcement; the only braces that a value may hold."""
_QUOTES: Final = {'"': '"', "“": "”"}


@dataclass(frozen=True, slots=True)
class Item:
    """One attribute as written; positions are offsets in the text that holds the braces."""

    name: str
    value: str | None
    """None for a yes (`.word`)."""
    start: int
    end: int
    value_start: int


@dataclass(frozen=True, slots=True)
class AttributeProblem:
    """Something inside braces that cannot be read."""

    message: str
    hint: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Braces:
    """What one pair of braces holds."""

    items: tuple[Item, ...]
    problems: tuple[AttributeProblem, ...]
    start: int
    end: int
    """One past the closing brace, or past what was given up on."""


def read_braces(text: str, start: int) -> Braces:
    """Read the attributes that open at `text[start] == "{"`.

    Never raises: what cannot be read is in `problems`, and `end` is where reading can go on.
    """
    items: list[Item] = []
    problems: list[AttributeProblem] = []
    pos = start + 1
    length = len(text)
    while True:
        spaced = pos
        while pos < length and (text[pos].isspace() or text[pos] == "\u00a0"):
            pos += 1
        if pos >= length:
            problems.append(
                AttributeProblem("this brace is never closed", "close it with }", start, start + 1)
            )
            return Braces((), tuple(problems), start, length)
        if text[pos] == "}":
            break
        if items and spaced == pos:
            problems.append(
                AttributeProblem("a blank is missing between two attributes", "", pos, pos + 1)
            )
        item, problem, pos = _item(text, pos)
        if problem:
            problems.append(problem)
            closing = _closing(text, pos)
            return Braces(tuple(items), tuple(problems), start, closing)
        if item is not None:
            items.append(item)
    if not items and not problems:
        problems.append(
            AttributeProblem(
                "these braces are empty",
                r"take them out, or write \{ \} to print them",
                start,
                pos + 1,
            )
        )
    for index, item in enumerate(items):
        if any(other.name == item.name for other in items[:index]):
            problems.append(
                AttributeProblem(
                    f"‘{item.name}’ is given twice here", "keep one of them", item.start, item.end
                )
            )
    return Braces(tuple(items), tuple(problems), start, pos + 1)


def _closing(text: str, pos: int) -> int:
    end_of_line = text.find("\n", pos)
    end_of_line = len(text) if end_of_line < 0 else end_of_line
    closing = text.find("}", pos, end_of_line)
    return closing + 1 if closing >= 0 else end_of_line


def _item(text: str, pos: int) -> tuple[Item | None, AttributeProblem | None, int]:
    start = pos
    dotted = text[pos] == "."
    found = _NAME.match(text, pos + dotted)
    if not found:
        shown = text[pos : pos + 12].split("\n", maxsplit=1)[0]
        hint = r"write name=\"value\" or .word; to print a brace write \{".replace('\\"', '"')
        return (
            None,
            AttributeProblem(f"‘{shown}’ cannot be read as an attribute", hint, pos, pos + 1),
            pos + 1,
        )
    name = found[0]
    pos = found.end()
    if dotted:
        if pos < len(text) and text[pos] == "=":
            return (
                None,
                AttributeProblem(
                    f"‘.{name}’ is a yes and takes no value",
                    f'write .{name} or {name}="…"',
                    start,
                    pos + 1,
                ),
                pos + 1,
            )
        return Item(name, None, start, pos, start), None, pos
    while pos < len(text) and text[pos] in " \u00a0" and text[pos:].lstrip(" \u00a0")[:1] == "=":
        pos += 1
    if pos >= len(text) or text[pos] != "=":
        return (
            None,
            AttributeProblem(
                f"‘{name}’ has no value", f'write {name}="…", or .{name} for a yes', start, pos
            ),
            pos,
        )
    pos += 1
    while pos < len(text) and text[pos] in " \u00a0":
        pos += 1
    if pos < len(text) and text[pos] in _QUOTES:
        return _quoted(text, pos, name, start)
    bare = _BARE.match(text, pos)
    if not bare:
        return (
            None,
            AttributeProblem(
                f"the value of ‘{name}’ cannot be read",
                f'put it in quotation marks: {name}="…"',
                start,
                pos,
            ),
            pos,
        )
    return Item(name, bare[0], start, bare.end(), pos), None, bare.end()


def _quoted(
    text: str, pos: int, name: str, start: int
) -> tuple[Item | None, AttributeProblem | None, int]:
    opening = pos
    closers = {_QUOTES[text[pos]], '"'} if text[pos] == '"' else {"”", "“", '"'}
    pos += 1
    chars: list[str] = []
    while pos < len(text) and text[pos] not in closers:
        if text[pos] == "\\" and pos + 1 < len(text) and text[pos + 1] in '\\"“”{}':
            pos += 1
        elif text[pos] == "\n" and text[pos + 1 : pos + 2] == "\n":
            break
        elif field := _FIELD.match(text, pos):
            chars.append(field[0])
            pos = field.end()
            continue
        elif text[pos] in "{}":
            return (
                None,
                AttributeProblem(
                    f"a brace stands inside the value of ‘{name}’",
                    r"close the quotation marks before it, or write \{ or \}",
                    pos,
                    pos + 1,
                ),
                pos + 1,
            )
        chars.append(text[pos])
        pos += 1
    if pos >= len(text) or text[pos] not in closers:
        return (
            None,
            AttributeProblem(
                f"the quotation marks after ‘{name}=’ are not closed",
                f'write {name}="…"',
                start,
                opening + 1,
            ),
            opening + 1,
        )
    value = "".join(chars).replace("\n", " ")
    return Item(name, value, start, pos + 1, opening + 1), None, pos + 1


# ---- the closed table -----------------------------------------------------------------------

YES_WORDS: Final[dict[str, frozenset[str]]] = {
    "practice": frozenset({"part", "group"}),
    "printed": frozenset({"part", "group", "question"}),
    "withdrawn": frozenset({"question"}),
    "answers": frozenset({"part"}),
    "rest": frozenset({"stop"}),
    "include": frozenset({"include"}),
    "tone": frozenset({"span"}),
    "pause": frozenset({"span"}),
    "answer": frozenset({"span"}),
    "choice": frozenset({"span"}),
    "spell": frozenset({"span"}),
    "digits": frozenset({"span"}),
}
"""Attributes written `.word`, and where they may stand."""

UNDONE: Final = frozenset({"practice", "printed"})
"""A yes that is inherited and can be undone with `name="no"`."""

_SCOPES: Final = frozenset({"part", "group", "question", "passage"})

VALUES: Final[dict[str, frozenset[str]]] = {
    "readings": _SCOPES,
    "between-readings": _SCOPES | {"dictation"},
    "announce": _SCOPES,
    "again": _SCOPES,
    "pattern": frozenset({"part", "group", "question"}),
    "answer-time": _SCOPES | {"sub-question", "dictation", "paragraph"},
    "look-time": frozenset({"paragraph", "passage"}),
    "phrase-time": frozenset({"dictation", "phrase"}),
    "phrase-readings": frozenset({"dictation"}),
    "between-phrase-readings": frozenset({"dictation"}),
    "order": frozenset({"dictation"}),
    "between-paragraphs": _SCOPES,
    "between-options": frozenset({"part", "group", "question"}),
    "turn-pause": _SCOPES,
    "pause-after": frozenset({"paragraph", "indented paragraph", "passage", "sound", "turn"}),
    "for": frozenset({"stop", "page-turn"}),
    "voice": _SCOPES | {"paragraph", "indented paragraph", "dictation"},
    "speaker": frozenset({"sound"}),
    "lang": _SCOPES | {"paragraph", "indented paragraph", "turn", "span", "dictation"},
    "take": _SCOPES | {"paragraph", "indented paragraph", "turn", "dictation"},
    "pace": _SCOPES | {"paragraph", "indented paragraph", "turn", "dictation"},
    "say": frozenset({"span"}),
    "shown": frozenset({"span"}),
    "ipa": frozenset({"span"}),
    "as": frozenset({"span"}),
    "states": frozenset({"span"}),
    "lines": frozenset({"span", "question", "sub-question"}),
    "from": frozenset({"sound"}),
    "to": frozenset({"sound", "staff-note"}),
    "words": frozenset({"sound"}),
    "edges": frozenset({"sound"}),
    "level": frozenset({"sound"}),
    "fade-out": frozenset({"sound"}),
    "key": frozenset({"question", "sub-question"}),
    "sheet": frozenset({"question", "sub-question"}),
    "marks": frozenset({"question", "sub-question"}),
    "for-questions": frozenset({"passage"}),
    "questions": frozenset({"again"}),
    "captions": _SCOPES | {"span", "dictation"},
    "captions-reason": _SCOPES,
    "time-cue": frozenset({"part", "group", "question"}),
    "width": frozenset({"sound"}),
}
"""Attributes written `name="value"`, and where they may stand (settings have their own table)."""


def misplaced(item: Item, place_kind: str) -> tuple[str, str] | None:
    """Return sentence and hint if this attribute may not stand at such a place, else None."""
    table = YES_WORDS if item.value is None else VALUES
    if item.value == "no" and item.name in UNDONE:
        table = YES_WORDS
    here = {name for name, places in table.items() if place_kind in places}
    if item.name in here:
        return None
    dot = "." if item.value is None else ""
    if item.value is None and item.name in VALUES:
        return (f"‘{item.name}’ needs a value", f'write {item.name}="…"')
    if item.value is not None and item.name in YES_WORDS:
        return (f"‘{item.name}’ takes no value", f"write .{item.name}")
    known = YES_WORDS.keys() | VALUES.keys()
    if item.name not in known:
        close = nearest(item.name, here) or nearest(item.name, known)
        if close is None:
            usual = ", ".join(sorted(here)[:6])
            hint = f"known here: {usual}" if here else "take it out"
        else:
            hint = f"did you mean {'.' if close in YES_WORDS else ''}{close}?"
        return (f"‘{dot}{item.name}’ is not an attribute", hint)
    places = sorted(table[item.name]) if item.name in table else []
    return (
        f"‘{dot}{item.name}’ cannot stand on a {place_kind}",
        f"it belongs on: {', '.join(places)}" if places else "take it out",
    )
