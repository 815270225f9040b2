"""Inside a paragraph: tokens to text, spans, pauses, tones and sounds.

Everything that is not understood becomes a problem with its place; nothing falls through to
speech.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal, cast

from pausewright.problems import Place, nearest
from pausewright.script import values
from pausewright.script.attributes import Item, misplaced
from pausewright.script.markdown import children, meta
from pausewright.script.model import (
    AnswerPlace,
    CaptionPolicy,
    Emphasis,
    Inline,
    Pause,
    Sound,
    Span,
    Text,
    Tone,
)
from pausewright.script.values import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable

    from markdown_it.token import Token

    from pausewright.problems import Problems
    from pausewright.script.attributes import Braces
    from pausewright.script.source import Source

READ_AS: Final = ("year", "number", "code", "score", "date", "time", "ratio")
STATES: Final = (
    "answer-time", "look-time", "readings", "last-reading", "questions", "test-time",
)  # fmt: skip
CAPTION_POLICIES: Final = ("nothing", "instructions", "everything")
SHORTEST_PAUSE_S: Final = values.duration_s("0.3 s")

_LOST_BRACE: Final = re.compile(r"[A-Za-z][A-Za-z-]*=[\"“]")
_HTML: Final = re.compile(r"<[/!?A-Za-z]")
_LISTED: Final = re.compile(r"(?:\d{1,9}|[A-Za-z])[.)][ \u00a0]")
_STRAY: Final = re.compile(r"[{}\[\]`]|::")
_SPOKEN_SPAN: Final = ("say", "ipa", "as", "lang", "states")


@dataclass(frozen=True, slots=True)
class Content:
    """A paragraph's inlines, the attributes at its end, and a link for an include."""

    inlines: tuple[Inline, ...]
    attrs: tuple[Item, ...]
    place: Place
    include: str | None = None
    places: Places | None = None

    def item_place(self, item: Item) -> Place:
        """Return where an attribute stands."""
        if self.places is None:
            return self.place
        return self.places.at(item.start, item.end - item.start)


class Places:
    """From an offset in a paragraph's text to line and column."""

    def __init__(self, source: Source, content: str, first_line: int) -> None:
        """`first_line` counts from 1."""
        self._source = source
        self._starts: list[tuple[int, int, int]] = []
        offset = 0
        for index, row in enumerate(content.split("\n")):
            line = first_line + index
            if line > len(source.prepared):
                break
            self._starts.append((offset, line, source.column(line, row)))
            offset += len(row) + 1

    def at(self, offset: int, length: int = 1) -> Place:
        """Return the place of `length` characters from `offset`."""
        start, line, column = self._starts[0]
        for candidate in self._starts:
            if candidate[0] > offset:
                break
            start, line, column = candidate
        return self._source.place(line, column + offset - start, max(1, length))


def read_inline(token: Token, source: Source, problems: Problems, kind: str) -> Content:
    """Read an `inline` token of a block of this kind ("paragraph", "question", "part" …)."""
    first_line = (token.map or [0])[0] + 1
    places = Places(source, token.content, first_line)
    reader = _Reader(token, places, problems, kind)
    inlines, attrs, include = reader.read()
    first = token.content.split("\n")[0].rstrip()
    return Content(inlines, attrs, places.at(0, max(1, len(first))), include, places)


class _Reader:
    def __init__(self, token: Token, places: Places, problems: Problems, kind: str) -> None:
        self._token = token
        self._tokens = children(token)
        self._places = places
        self._problems = problems
        self._kind = kind
        self._attrs: list[Item] = []
        self._include: str | None = None
        self._sheet = kind in {"sheet", "key", "staff-note"}

    def read(self) -> tuple[tuple[Inline, ...], tuple[Item, ...], str | None]:
        nodes, _ = self._nodes(0, None, within=())
        nodes = _trimmed(nodes)
        self._check_pauses(nodes)
        return nodes, tuple(self._attrs), self._include

    def _at(self, token: Token, length: int = 1) -> Place:
        return self._places.at(int(meta(token, "pos") or 0), length)

    def _error(self, place: Place, message: str, hint: str, code: str) -> None:
        self._problems.error(place, message, hint, code=code)

    # one pass over the tokens, until the closing token of the given type
    def _nodes(
        self, index: int, closing: str | None, within: tuple[str, ...]
    ) -> tuple[tuple[Inline, ...], int]:
        nodes: list[Inline] = []
        while index < len(self._tokens):
            token = self._tokens[index]
            if token.type == closing:
                return tuple(nodes), index + 1
            if token.type in {"text", "text_special", "softbreak", "hardbreak"}:
                nodes += self._text(token, index)
                index += 1
            elif token.type in {"em_open", "strong_open"}:
                self._check_emphasis(token, index)
                inner, after = self._nodes(index + 1, token.type.replace("open", "close"), within)
                nodes.append(Emphasis(inner, token.type == "strong_open", self._at(token)))
                index = after
            elif token.type == "braces":
                self._braces(token, index, within)
                index += 1
            elif token.type in {"span_open", "link_open", "sound_open"}:
                closing_type = token.type.replace("open", "close")
                if _is_answer_place(token):
                    inner, after = (), self._after(index, closing_type)
                else:
                    inner, after = self._nodes(index + 1, closing_type, (*within, token.type))
                node = self._bracketed(token, inner, within, alone=after >= len(self._tokens))
                if node is not None:
                    nodes.append(node)
                index = after
            else:
                what = "code" if token.type == "code_inline" else token.type
                self._error(
                    self._at(token),
                    f"{what} marks are not part of a script",
                    "take out the backquotes",
                    "markup-unknown",
                )
                index += 1
        return tuple(nodes), index

    def _after(self, index: int, closing: str) -> int:
        while index < len(self._tokens) and self._tokens[index].type != closing:
            index += 1
        return index + 1

    # ---- text

    def _text(self, token: Token, index: int) -> list[Inline]:
        if token.type in {"softbreak", "hardbreak"}:
            following = self._tokens[index + 1] if index + 1 < len(self._tokens) else None
            listed = following and following.type == "text" and _LISTED.match(following.content)
            if listed and following is not None and not self._sheet:
                mark = listed[0].strip()
                is_letter = not mark[0].isdigit()
                self._error(
                    self._at(following, len(mark)),
                    f"a line that begins with ‘{mark}’ is not a list here",
                    f"write - {mark} for an answer to choose, with a blank line before the first"
                    if is_letter
                    else "put a blank line before it, or join the lines",
                    "line-lettered" if is_letter else "question-joined",
                )
            return [Text("\n", self._at(token))]
        if not token.content:
            return []
        if token.type == "text_special":
            if token.info == "entity" and token.content in "{}[]`":
                self._error(
                    self._at(token, len(token.markup)),
                    f"‘{token.markup}’ makes a ‘{token.content}’",
                    f"write \\{token.content}",
                    "entity-brace",
                )
            return [Text(token.content, self._at(token, len(token.markup)))]
        self._check_text(token)
        return [Text(token.content.replace("\u00a0", " "), self._at(token, len(token.content)))]

    def _check_text(self, token: Token) -> None:
        text, pos = token.content, int(meta(token, "pos") or 0)
        lost = _LOST_BRACE.search(text)
        if lost:
            self._error(
                self._places.at(pos + lost.start(), len(lost[0])),
                "an attribute stands outside braces",
                "put it in braces: {" + lost[0] + '…"}',
                "brace-lost",
            )
        for found in _STRAY.finditer(text):
            sign = found[0]
            hints = {
                "[": "give it attributes, [words]{…}, or write \\[ to print it",
                "]": "write \\] to print it",
                "`": "take it out",
                "::": "write one colon",
            }
            self._error(
                self._places.at(pos + found.start(), len(sign)),
                f"a stray ‘{sign}’",
                hints.get(sign, f"write \\{sign} to print it"),
                "stray-sign",
            )
        found_html = _HTML.search(text)
        if found_html:
            self._error(
                self._places.at(pos + found_html.start()),
                "this looks like HTML",
                r"take it out, or write \< for the sign, with a blank after it",
                "html",
            )
        if (text and not text.strip("*_") and ("*" in text or "_" in text)) or "_" in text:
            sign = "*" if "*" in text else "_"
            hint = (
                "for a place to write, put [______]{.answer} in a sheet"
                if sign == "_"
                else r"for a product write ×; for emphasis put stars on both sides; or \*"
            )
            self._error(self._places.at(pos, len(text)), f"a stray ‘{sign}’", hint, "stray-sign")
        for match in re.finditer(r"(?:^|(?<=\s))#\w", text if pos == 0 else ""):
            if match.start() == 0:
                self._error(
                    self._places.at(pos),
                    "a heading needs a blank after #",
                    "write # and a blank, then the title",
                    "heading-form",
                )

    def _check_emphasis(self, token: Token, index: int) -> None:
        source, pos = self._token.content, int(meta(token, "pos") or 0)
        closing_type = token.type.replace("open", "close")
        depth = 0
        end = pos
        for later in self._tokens[index + 1 :]:
            if later.type == token.type:
                depth += 1
            if later.type == closing_type:
                if depth == 0:
                    end = int(meta(later, "pos") or 0) + len(later.markup)
                    break
                depth -= 1
        before = source[pos - 1 : pos]
        after = source[end : end + 1]
        if before.isalnum() or after.isalnum():
            self._error(
                self._places.at(pos, max(1, end - pos)),
                f"‘{token.markup}’ next to a letter or digit is not clear",
                r"write × for a product, or \* for the sign; emphasis goes around whole words",
                "emphasis-unclear",
            )

    # ---- braces of a block

    def _braces(self, token: Token, index: int, within: tuple[str, ...]) -> None:
        braces: Braces = meta(token, "braces")
        self._report(braces)
        place = self._places.at(braces.start, braces.end - braces.start)
        rest = self._tokens[index + 1 :]
        last = all(t.type == "text" and not t.content.strip() for t in rest)
        before = self._token.content[: braces.start]
        if within or not last:
            if not braces.problems:
                self._error(
                    place,
                    "these braces stand in the middle of text",
                    r"braces go at the end of what they describe; to print them write \{ \}",
                    "braces-misplaced",
                )
        elif not before.strip():
            self._error(
                place,
                "these braces stand alone",
                "put them at the end of the line that they describe",
                "braces-alone",
            )
        elif before.rstrip(" \u00a0").endswith("\n"):
            self._error(
                place,
                "these braces begin a line of their own",
                "put them at the end of the line above",
                "braces-alone",
            )
        else:
            self._attrs += braces.items

    def _report(self, braces: Braces) -> None:
        for problem in braces.problems:
            self._error(
                self._places.at(problem.start, problem.end - problem.start),
                problem.message,
                problem.hint,
                "attribute-unreadable",
            )

    # ---- spans and sounds

    def _bracketed(
        self, token: Token, inner: tuple[Inline, ...], within: tuple[str, ...], *, alone: bool
    ) -> Inline | None:
        start, end = int(meta(token, "pos")), int(meta(token, "end"))
        place = self._places.at(start, end - start)
        braces: Braces | None = meta(token, "braces")
        if braces is not None:
            self._report(braces)
            if braces.problems:
                return None
        if token.type == "sound_open":
            return self._sound(token, place, braces)
        if token.type == "link_open":
            self._link(token, place, braces, alone=alone and start == 0 and not within)
            return None
        if braces is None:
            hint = "give it attributes, [words]{…}, or write \\[ and \\] to print the brackets"
            source = self._token.content
            if source[end : end + 1] == " " and source[end:].lstrip(" \u00a0")[:1] == "{":
                hint = "take out the blank between ] and {"
            self._error(place, "brackets without attributes", hint, "brackets-bare")
            return None
        return self._span(inner, place, braces, within)

    def _link(self, token: Token, place: Place, braces: Braces | None, *, alone: bool) -> None:
        names = {item.name for item in braces.items} if braces else set()
        if names != {"include"}:
            self._error(
                place,
                "a link is not part of a script",
                "write [title](file.md){.include} to include a file",
                "link",
            )
        elif not alone:
            self._error(
                place,
                "an include stands alone in its paragraph",
                "put blank lines before and after it",
                "include-form",
            )
        elif self._path_problem(token, place):
            self._include = str(meta(token, "path"))

    def _path_problem(self, token: Token, place: Place) -> bool:
        trouble, path = str(meta(token, "path_problem")), str(meta(token, "path"))
        if trouble == "blank":
            self._error(
                place, f"the file name ‘{path}’ has a blank in it", f"write (<{path}>)", "path"
            )
        elif trouble or not path:
            self._error(place, "the file name cannot be read", "write (folder/file.wav)", "path")
        elif re.match(r"[A-Za-z][A-Za-z0-9+.-]+:|/|\\", path) or ".." in path.split("/"):
            self._error(
                place,
                f"‘{path}’ lies outside the script's folder",
                "put the file into the script's folder and name it from there",
                "path-outside",
            )
        else:
            return True
        return False

    def _items(self, braces: Braces | None, kind: str) -> dict[str, Item]:
        found: dict[str, Item] = {}
        for item in braces.items if braces else ():
            trouble = misplaced(item, kind)
            if trouble:
                self._error(self._item_place(item), *trouble, "attribute-unknown")
            else:
                found[item.name] = item
        return found

    def _item_place(self, item: Item) -> Place:
        return self._places.at(item.start, item.end - item.start)

    def _value(self, item: Item | None, read: Callable[[str], Fraction]) -> Fraction | None:
        if item is None or item.value is None:
            return None
        try:
            return read(item.value)
        except ValueProblem as problem:
            self._error(
                self._item_place(item),
                f"{item.name}: {problem.message}",
                problem.hint,
                "value-unreadable",
            )
            return None

    def _choice(self, item: Item | None, allowed: tuple[str, ...]) -> str | None:
        if item is None or item.value is None:
            return None
        if item.value not in allowed:
            close = nearest(item.value, allowed)
            self._error(
                self._item_place(item),
                f"‘{item.value}’ is not known for ‘{item.name}’",
                f"did you mean {close}?" if close else "write one of: " + ", ".join(allowed),
                "value-unknown",
            )
            return None
        return item.value

    def _span(
        self, inner: tuple[Inline, ...], place: Place, braces: Braces, within: tuple[str, ...]
    ) -> Inline | None:
        items = self._items(braces, "span")
        if not items:
            return None
        label = plain(inner)
        yes = {name for name, item in items.items() if item.value is None}
        own = yes & {"pause", "tone", "answer", "choice", "spell", "digits"}
        if len(own) > 1 or (
            own & {"pause", "tone", "answer"}
            and len(items) > 1
            and not (own == {"answer"} and set(items) == {"answer", "lines"})
        ):
            names = ", ".join(f"‘{name}’" for name in items)
            self._error(place, f"{names} cannot stand together", "keep one", "span-conflict")
            return None
        if "pause" in yes:
            return self._pause(label, place, within)
        if "tone" in yes:
            return Tone(label, place)
        if own & {"answer", "choice"} and not self._sheet:
            self._error(
                place,
                f"‘.{next(iter(own))}’ belongs in a sheet",
                "move it into ::: sheet … :::",
                "span-misplaced",
            )
            return None
        if "answer" in yes:
            lines = self._value(items.get("lines"), lambda v: Fraction(values.count(v)))
            return AnswerPlace(int(lines or 1), place)
        if "lines" in items:
            self._error(place, "‘lines’ goes with ‘.answer’", "write {.answer lines=…}", "span")
        return self._worded(inner, items, place, label)

    def _pause(self, label: str, place: Place, within: tuple[str, ...]) -> Pause | None:
        try:
            pause_s = values.duration_s(label, "2 s")
        except ValueProblem as problem:
            self._error(
                place,
                "this pause has no length that can be read: " + problem.message,
                "write seconds, for example: [2 s]{.pause}",
                "pause-length",
            )
            return None
        if pause_s < SHORTEST_PAUSE_S:
            self._error(
                place,
                f"a pause of {label} is under 0.3 s",
                "write at least [0.3 s]{.pause}",
                "pause-length",
            )
            return None
        if within or self._sheet:
            self._error(
                place,
                "a pause cannot stand inside other brackets or on paper",
                "move it out",
                "pause-misplaced",
            )
            return None
        return Pause(pause_s, place)

    def _worded(
        self, inner: tuple[Inline, ...], items: dict[str, Item], place: Place, label: str
    ) -> Span | None:
        if not label.strip() and "say" not in items:
            self._error(place, "these brackets hold nothing", "write words in them", "span-empty")
            return None
        spoken = {"say", "ipa", "as", "spell", "digits"} & items.keys()
        if len(spoken) > 1:
            names = ", ".join(f"‘{name}’" for name in sorted(spoken))
            self._error(place, f"{names} cannot stand together", "keep one", "span-conflict")
        for name in ("say", "shown", "ipa"):
            item = items.get(name)
            if item is not None and not (item.value or "").strip():
                self._error(
                    self._item_place(item),
                    f"‘{name}’ is empty",
                    f'write {name}="…"',
                    "value-unreadable",
                )
            if item is not None and re.search(r"[{}\[\]]", item.value or ""):
                self._error(
                    self._item_place(item),
                    f"‘{name}’ holds brackets or braces",
                    "write plain words",
                    "value-unreadable",
                )
        if {"say", "ipa"} & items.keys() and _has_spoken(inner):
            self._error(
                place,
                "inside brackets with ‘say’ or ‘ipa’ nothing else can be spoken",
                "take out the inner attributes",
                "span-inner",
            )
        captions = self._choice(items.get("captions"), CAPTION_POLICIES)
        language = items["lang"].value if "lang" in items else None
        if language is not None and not is_language(language):
            self._error(
                self._item_place(items["lang"]),
                f"‘{language}’ is not a language tag",
                "for example: lang=fr or lang=es-ES",
                "value-unreadable",
            )
            language = None
        return Span(
            inner, place,
            say=items["say"].value if "say" in items else None,
            shown=items["shown"].value if "shown" in items else None,
            ipa=items["ipa"].value if "ipa" in items else None,
            read_as=self._choice(items.get("as"), READ_AS),
            language=language,
            states=self._choice(items.get("states"), STATES),
            captions=cast("CaptionPolicy | None", captions),
            spell="spell" in items, digits="digits" in items, choice="choice" in items,
        )  # fmt: skip

    def _sound(self, token: Token, place: Place, braces: Braces | None) -> Sound | None:
        items = self._items(braces, "sound")
        if meta(token, "path") is None:
            self._error(
                place, "a sound needs a file", "write ![description](audio/file.wav)", "path"
            )
            return None
        if not self._path_problem(token, place):
            return None
        words = items["words"].value if "words" in items else None
        edges = self._choice(items.get("edges"), ("trimmed", "as recorded"))
        level = self._choice(items.get("level"), ("matched", "as recorded"))
        width = None
        if "width" in items:
            try:
                width = values.width(items["width"].value or "")
            except ValueProblem as problem:
                self._error(
                    self._item_place(items["width"]), problem.message, problem.hint, "width"
                )
        return Sound(
            str(meta(token, "label")), str(meta(token, "path")), place,
            from_s=self._value(items.get("from"), values.position_s),
            to_s=self._value(items.get("to"), values.position_s),
            words=words,
            speaker=items["speaker"].value if "speaker" in items else None,
            edges=cast(
                "Literal['trimmed', 'as recorded']",
                edges or ("trimmed" if words else "as recorded"),
            ),
            level=cast(
                "Literal['matched', 'as recorded']",
                level or ("matched" if words else "as recorded"),
            ),
            fade_out_s=self._value(items.get("fade-out"), values.duration_s),
            pause_after_s=self._value(items.get("pause-after"), values.duration_s),
            width=width,
        )  # fmt: skip

    def _check_pauses(self, nodes: tuple[Inline, ...]) -> None:
        for index, node in enumerate(nodes):
            if not isinstance(node, Pause):
                continue
            if index in {0, len(nodes) - 1}:
                self._error(
                    node.place,
                    "a pause cannot begin or end a paragraph",
                    'for a silence after it write {pause-after="…"} at its end',
                    "pause-misplaced",
                )
            elif isinstance(nodes[index - 1], Pause) or (
                _blank(nodes[index - 1]) and index > 1 and isinstance(nodes[index - 2], Pause)
            ):
                self._error(
                    node.place,
                    "two pauses stand side by side",
                    "write one pause with the sum",
                    "silences-adjacent",
                )


def is_language(tag: str) -> bool:
    """Say whether this looks like a BCP 47 language tag such as `en-GB` or `es`."""
    return re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*", tag) is not None


def plain(nodes: tuple[Inline, ...]) -> str:
    """Return the words of inlines as written, for messages and labels."""
    out = ""
    for node in nodes:
        if isinstance(node, Text):
            out += node.text
        elif isinstance(node, Emphasis | Span):
            out += plain(node.children)
    return out


def _is_answer_place(token: Token) -> bool:
    """Say whether a span is `[____]{.answer}`, whose underscores are no text."""
    braces: Braces | None = meta(token, "braces")
    return (
        braces is not None
        and any(item.name == "answer" and item.value is None for item in braces.items)
        and not str(meta(token, "label")).strip("_ \u00a0.…")
    )


def _blank(node: Inline) -> bool:
    return isinstance(node, Text) and not node.text.strip()


def _has_spoken(nodes: tuple[Inline, ...]) -> bool:
    for node in nodes:
        if isinstance(node, Span | Pause | Tone | Sound):
            return True
        if isinstance(node, Emphasis) and _has_spoken(node.children):
            return True
    return False


def _trimmed(nodes: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Take blanks off both ends."""
    out = list(nodes)
    while out and _blank(out[0]):
        out.pop(0)
    while out and _blank(out[-1]):
        out.pop()
    if out and isinstance(out[-1], Text):
        out[-1] = replace(out[-1], text=out[-1].text.rstrip())
    return tuple(out)
