"""Inside a paragraph: tokens to text, spans, pauses, tones and sounds.

Everything that is not understood becomes a problem with its place; nothing falls through to
speech.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.script.inline.bracketed_words import ANSWERS, read_span
from pausewright.script.inline.inline_context import InlineContext, offset_of
from pausewright.script.inline.plain_text import check_emphasis, check_line, emphasis_end, read_text
from pausewright.script.inline.sound_links import read_link, read_sound
from pausewright.script.inlines import is_blank, leaves, plain, trimmed
from pausewright.script.limits import MOST_IN_PARAGRAPH
from pausewright.script.model import Emphasis, Formula, Pause, Sound, Text
from pausewright.script.source.markdown import children
from pausewright.script.source.paragraph_places import Places

if TYPE_CHECKING:
    from markdown_it.token import Token

    from pausewright.problems import Place, Problems
    from pausewright.script.attributes.braces import Braces, Item
    from pausewright.script.model import Inline
    from pausewright.script.source.source_text import Source


__all__ = ["Content", "plain", "read_inline"]


@frozen
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


def read_inline(token: Token, source: Source, problems: Problems, kind: str) -> Content:
    """Read an `inline` token of a block of this kind ("paragraph", "question", "part" …)."""
    first_line = (token.map or [0])[0] + 1
    places = Places(source, token.content, first_line)
    excess = token.meta.get("excess")
    if excess is not None:
        return _refused(source.whole_line(first_line), problems, *excess)
    ctx = InlineContext(token, places, problems, kind, children(token))
    nodes, _ = _nodes(ctx, 0, None, within=())
    nodes = trimmed(nodes)
    if kind == "indented paragraph" and ctx.tokens and offset_of(ctx.tokens[0]) == 0:
        check_line(ctx, ctx.tokens[0])
    _check_pauses(ctx, nodes)
    first = token.content.split("\n")[0].rstrip()
    place = places.at(0, max(1, len(first)))
    return Content(nodes, tuple(ctx.attrs), place, ctx.include, places)


def _refused(place: Place, problems: Problems, code: str, count: int) -> Content:
    """Say that a paragraph is too much to be read; in its place stands one word."""
    message, hint = {
        "too-long": (
            f"this paragraph has {count:,} characters, and {MOST_IN_PARAGRAPH:,} are read at most",
            "break it into paragraphs, with a blank line between them",
        ),
        "too-nested": (
            f"emphasis and brackets stand more than {count} deep here",
            "take some of them out; write \\* and \\[ for the signs themselves",
        ),
    }[code]
    problems.error(place, message, hint, code=code)
    return Content((Text("…", place),), (), place)


def _is_answer_place(token: Token) -> bool:
    """Say whether a span is a place to write, `[____]{.answer}`: its underscores are no text."""
    braces: Braces | None = token.meta.get("braces")
    return (
        braces is not None
        and any(item.name in ANSWERS and item.value is None for item in braces.items)
        and not str(token.meta.get("label")).strip("_ \u00a0.…")
    )


def _nodes(
    ctx: InlineContext, index: int, closing: str | None, within: tuple[str, ...]
) -> tuple[tuple[Inline, ...], int]:
    nodes: list[Inline] = []
    while index < len(ctx.tokens):
        token = ctx.tokens[index]
        if token.type == closing:
            return tuple(nodes), index + 1
        if token.type in {"text", "text_special", "softbreak", "hardbreak"}:
            nodes += read_text(ctx, token, index)
            index += 1
        elif token.type == "formula":
            nodes.append(Formula(token.content, ctx.at(token, len(token.content))))
            index += 1
        elif token.type in {"em_open", "strong_open"}:
            check_emphasis(ctx, token, index)
            inner, after = _nodes(ctx, index + 1, token.type.replace("open", "close"), within)
            place = ctx.at(token, emphasis_end(ctx, token, index) - offset_of(token))
            nodes.append(Emphasis(inner, token.type == "strong_open", place))
            index = after
        elif token.type == "braces":
            _read_block_braces(ctx, token, index, within)
            index += 1
        elif token.type in {"span_open", "link_open", "sound_open"}:
            closing_type = token.type.replace("open", "close")
            if _is_answer_place(token):
                inner, after = (), _after(ctx, index, closing_type)
            else:
                inner, after = _nodes(ctx, index + 1, closing_type, (*within, token.type))
            node = _bracketed(ctx, token, inner, within, alone=after >= len(ctx.tokens))
            if node is not None:
                nodes.append(node)
            index = after
        else:
            what = "code" if token.type == "code_inline" else token.type
            message = f"{what} marks are not part of a script"
            ctx.error(ctx.at(token), message, "take out the backquotes", "markup-unknown")
            index += 1
    return tuple(nodes), index


def _after(ctx: InlineContext, index: int, closing: str) -> int:
    while index < len(ctx.tokens) and ctx.tokens[index].type != closing:
        index += 1
    return index + 1


def _bracketed(
    ctx: InlineContext,
    token: Token,
    inner: tuple[Inline, ...],
    within: tuple[str, ...],
    *,
    alone: bool,
) -> Inline | None:
    start, end = int(token.meta["pos"]), int(token.meta["end"])
    place = ctx.places.at(start, end - start)
    braces: Braces | None = token.meta.get("braces")
    if braces is not None:
        _report_braces(ctx, braces)
        if braces.problems:
            return None
    if token.type == "sound_open":
        return read_sound(ctx, token, place, braces)
    if token.type == "link_open":
        read_link(ctx, token, place, braces, alone=alone and start == 0 and not within)
        return None
    if braces is None:
        hint = "give it attributes, [words]{…}, or write \\[ and \\] to print the brackets"
        source = ctx.token.content
        if source[end : end + 1] == " " and source[end:].lstrip(" \u00a0")[:1] == "{":
            hint = "take out the blank between ] and {"
        ctx.error(place, "brackets without attributes", hint, "brackets-bare")
        return None
    return read_span(ctx, inner, place, braces, within)


def _check_pauses(ctx: InlineContext, nodes: tuple[Inline, ...]) -> None:
    flat = [node for node in leaves(nodes) if not is_blank(node)]
    for index, node in enumerate(flat):
        before = flat[index - 1] if index else None
        if isinstance(node, Pause) and index in {0, len(flat) - 1}:
            message = "a pause cannot begin or end a paragraph"
            hint = 'for a silence after it write {pause-after="…"} at its end'
            ctx.error(node.place, message, hint, "pause-misplaced")
        elif isinstance(node, Pause) and (
            isinstance(before, Pause)
            or (isinstance(before, Sound) and before.pause_after_s is not None)
        ):
            hint = "write one pause with the sum"
            ctx.error(node.place, "two pauses stand side by side", hint, "silences-adjacent")


def _read_block_braces(
    ctx: InlineContext, token: Token, index: int, within: tuple[str, ...]
) -> None:
    """Take the attributes at the end of a block; anywhere else braces are a problem."""
    braces: Braces = token.meta["braces"]
    _report_braces(ctx, braces)
    place = ctx.places.at(braces.start, braces.end - braces.start)
    rest = ctx.tokens[index + 1 :]
    last = all(t.type == "text" and not t.content.strip() for t in rest)
    before = ctx.token.content[: braces.start]
    if within or not last:
        if not braces.problems:
            hint = r"braces go at the end of what they describe; to print them write \{ \}"
            ctx.error(place, "these braces stand in the middle of text", hint, "braces-misplaced")
    elif not before.strip() and ctx.kind in {"part", "group"}:
        ctx.attrs += braces.items  # a heading without a title: its reader says so
    elif not before.strip():
        hint = "put them at the end of the line that they describe"
        ctx.error(place, "these braces stand alone", hint, "braces-alone")
    elif before.rstrip(" \u00a0").endswith("\n"):
        hint = "put them at the end of the line above"
        ctx.error(place, "these braces begin a line of their own", hint, "braces-alone")
    else:
        ctx.attrs += braces.items


def _report_braces(ctx: InlineContext, braces: Braces) -> None:
    """Report what in braces cannot be read."""
    for problem in braces.problems:
        place = ctx.places.at(problem.start, problem.end - problem.start)
        ctx.error(place, problem.message, problem.hint, "attribute-unreadable")
