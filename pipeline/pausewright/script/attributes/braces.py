"""Attributes in braces: `{.practice answer-time="6 s"}`, read.

The reader is our own because the usual plugins drop what they cannot read, and what is dropped
from braces would be spoken. Here every character is understood or refused.
"""

from __future__ import annotations

import re
from typing import Final

from pausewright.frozen import frozen
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS

_NAME: Final = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_BARE: Final = re.compile(r"[^\s\u00a0\"“”'‘’{}=]+")
_FIELD: Final = re.compile(r"\{[a-z0-9-]{1,12}\}")
"""A field of an announcement; the only braces that a value may hold."""
_PLAIN: Final = re.compile(r"\{[ \u00a0]*([^{}\n=\"“”.\s][^{}\n=\"“”]*)\}")
"""Braces with words or figures in them and nothing that looks like a value or a yes."""
_QUOTES: Final = frozenset('"“')
_BLANKS: Final = frozenset(" \u00a0")


@frozen
class Item:
    """One attribute as written; positions are offsets in the text that holds the braces."""

    name: str
    value: str | None
    """None for a yes (`.word`)."""
    start: int
    end: int


@frozen
class AttributeProblem:
    """Something inside braces that cannot be read."""

    message: str
    hint: str
    start: int
    end: int


class _UnreadableError(Exception):
    def __init__(self, message: str, hint: str, start: int, end: int) -> None:
        super().__init__(message)
        self.problem = AttributeProblem(message, hint, start, end)


@frozen
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

    def found(end: int) -> Braces:
        return Braces(tuple(items), tuple(problems), start, end)

    def problem(message: str, hint: str, first: int, end: int) -> None:
        problems.append(AttributeProblem(message, hint, first, end))

    printed = _printed(text, start)
    if printed is not None:
        problems.append(printed)
        return found(printed.end)
    pos = start + 1
    while True:
        spaced = pos
        while pos < len(text) and (text[pos].isspace() or text[pos] == "\u00a0"):
            pos += 1
        if pos >= len(text):
            items.clear()
            problem("this brace is never closed", "close it with }", start, start + 1)
            return found(len(text))
        if text[pos] == "}":
            break
        if items and spaced == pos:
            problem("a blank is missing between two attributes", "put a blank here", pos, pos + 1)
        try:
            items.append(_item(text, pos))
        except _UnreadableError as error:
            problems.append(error.problem)
            return found(_closing(text, error.problem.end))
        pos = items[-1].end
    if not items:
        hint = r"take them out, or write \{ \} to print them"
        problem("these braces are empty", hint, start, pos + 1)
    for index, item in enumerate(items):
        if any(other.name == item.name for other in items[:index]):
            problem(f"‘{item.name}’ is given twice here", "keep one of them", item.start, item.end)
    return found(pos + 1)


def _printed(text: str, start: int) -> AttributeProblem | None:
    """Return a problem if the braces hold plain text, such as a set of numbers."""
    found = _PLAIN.match(text, start)
    if not found:
        return None
    inside = found[1]
    if inside.split()[0] in YES_WORDS or inside.split()[0] in VALUES:
        return None
    return AttributeProblem(
        f"‘{{{inside}}}’ holds no attributes",
        f'to print it write \\{{{inside}\\}}; attributes are written {{name="value"}} or {{.word}}',
        start,
        found.end(),
    )


def _closing(text: str, pos: int) -> int:
    end_of_line = text.find("\n", pos)
    end_of_line = len(text) if end_of_line < 0 else end_of_line
    closing = text.find("}", pos, end_of_line)
    return closing + 1 if closing >= 0 else end_of_line


def _item(text: str, start: int) -> Item:
    dotted = text[start] == "."
    found = _NAME.match(text, start + dotted)
    if not found:
        shown = text[start : start + 12].split("\n", maxsplit=1)[0]
        hint = 'write name="value" or .word; to print a brace write \\{'
        raise _UnreadableError(f"‘{shown}’ cannot be read as an attribute", hint, start, start + 1)
    name, pos = found[0], found.end()
    if dotted:
        if text[pos : pos + 1] == "=":
            message = f"‘.{name}’ is a yes and takes no value"
            raise _UnreadableError(message, f'write .{name} or {name}="…"', start, pos + 1)
        return Item(name, None, start, pos)
    while text[pos : pos + 1] in _BLANKS and text[pos:].lstrip(" \u00a0")[:1] == "=":
        pos += 1
    if text[pos : pos + 1] != "=":
        hint = f"write .{name}" if name in YES_WORDS else f'write {name}="…"'
        raise _UnreadableError(f"‘{name}’ has no value", hint, start, pos)
    pos += 1
    while text[pos : pos + 1] in _BLANKS:
        pos += 1
    if text[pos : pos + 1] in _QUOTES:
        return _quoted(text, pos, name, start)
    bare = _BARE.match(text, pos)
    if not bare:
        hint = f'put it in quotation marks: {name}="…"'
        raise _UnreadableError(f"the value of ‘{name}’ cannot be read", hint, start, pos)
    return Item(name, bare[0], start, bare.end())


def _quoted(text: str, opening: int, name: str, start: int) -> Item:
    closers = {'"'} if text[opening] == '"' else {"”", "“", '"'}
    pos = opening + 1
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
            message = f"a brace stands inside the value of ‘{name}’"
            hint = r"close the quotation marks before it, or write \{ or \}"
            raise _UnreadableError(message, hint, pos, pos + 1)
        chars.append(text[pos])
        pos += 1
    if pos >= len(text) or text[pos] not in closers:
        message = f"the quotation marks after ‘{name}=’ are not closed"
        raise _UnreadableError(message, f'write {name}="…"', start, opening + 1)
    return Item(name, "".join(chars).replace("\n", " "), start, pos + 1)


def escaped(value: str) -> str:
    """Return a value as it is written between straight quotation marks.

    The reverse of reading: fields such as `{number}` stand as they are, and a backslash is
    doubled only where it would be taken for one that covers the next sign.
    """
    out: list[str] = []
    pos = 0
    while pos < len(value):
        field = _FIELD.match(value, pos)
        if field:
            out.append(field[0])
            pos = field.end()
            continue
        sign, after = value[pos], value[pos + 1 : pos + 2]
        covers = sign == "\\" and (not after or after in '\\"“”{}')
        out.append("\\" + sign if sign in '"{}' or covers else sign)
        pos += 1
    return "".join(out)
