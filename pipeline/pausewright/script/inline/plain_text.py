"""Plain text and emphasis; signs in it that must mean something and do not."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.inline.inline_context import InlineContext, offset_of
from pausewright.script.model import Text
from pausewright.script.source.block_lines import NOTHING

if TYPE_CHECKING:
    from markdown_it.token import Token

    from pausewright.script.model import Inline

_LOST_BRACE: Final = re.compile(r"[A-Za-z][A-Za-z-]*=[\"“]")
_HTML: Final = re.compile(r"<[/!?A-Za-z]")
_LISTED: Final = re.compile(r"(?:\d{1,9}|[A-Za-z])[.)][ \u00a0]")
_LIST_MARK: Final = re.compile(r"([-+*])[ \u00a0]")
"""At the start of a line, and taken for text only because it is indented too far for a list."""
_STRAY: Final = re.compile(r"[{}\[\]`]|::")


def read_text(ctx: InlineContext, token: Token, index: int) -> list[Inline]:
    """Return the text of a token, its line break as a text of its own."""
    if token.type in {"softbreak", "hardbreak"}:
        following = ctx.tokens[index + 1] if index + 1 < len(ctx.tokens) else None
        if following is not None and following.type == "text" and not ctx.on_paper:
            check_line(ctx, following)
        return [Text("\n", ctx.at(token))]
    if token.content in {"", NOTHING}:
        return []
    if token.type == "text_special":
        if token.info == "entity" and token.content in "{}[]`":
            message = f"‘{token.markup}’ makes a ‘{token.content}’"
            hint = f"write \\{token.content}"
            ctx.error(ctx.at(token, len(token.markup)), message, hint, "entity-brace")
        return [Text(token.content, ctx.at(token, len(token.markup)))]
    _check_text(ctx, token)
    return [Text(token.content.replace("\u00a0", " "), ctx.at(token, len(token.content)))]


def check_line(ctx: InlineContext, token: Token) -> None:
    """Look at the first text of a line for what looks like markup and is none."""
    listed = _LISTED.match(token.content)
    if listed:
        mark = listed[0].strip()
        is_letter = not mark[0].isdigit()
        hint = "put a blank line before it, or join the lines"
        if is_letter:
            hint = f"write - {mark} for an answer to choose, with a blank line before the first; "
            hint += f"or {mark[0]}\\{mark[1]} for words"
        message = f"a line that begins with ‘{mark}’ is not a list here"
        code = "line-lettered" if is_letter else "question-joined"
        ctx.error(ctx.at(token, len(mark)), message, hint, code)
    elif marked := _LIST_MARK.match(token.content):
        message = f"a line that begins with ‘{marked[1]}’ is no part of the words above it"
        hint = "indent it by four, or by eight below a sub-question; or join it with the line above"
        ctx.error(ctx.at(token, len(marked[1])), message, hint, "line-marked")
    elif re.fullmatch(r"[=-]{2,}[ \u00a0]*", token.content):
        message = f"a line of ‘{token.content[0]}’ below text means nothing here"
        hint = "take it out; a heading begins with # or ##"
        ctx.error(ctx.at(token, len(token.content)), message, hint, "markup-unknown")


def _check_text(ctx: InlineContext, token: Token) -> None:
    text, pos = token.content, offset_of(token)
    lost = _LOST_BRACE.search(text)
    if lost:
        message = "an attribute stands outside braces"
        hint = "put it in braces: {" + lost[0] + '…"}'
        ctx.error(ctx.places.at(pos + lost.start(), len(lost[0])), message, hint, "brace-lost")
    for found in _STRAY.finditer(text):
        sign = found[0]
        hints = {
            "[": "give it attributes, [words]{…}, or write \\[ to print it",
            "]": "write \\] to print it",
            "`": "take it out",
            "::": "write one colon",
        }
        message = f"a stray ‘{sign}’"
        hint = hints.get(sign, f"write \\{sign} to print it")
        ctx.error(ctx.places.at(pos + found.start(), len(sign)), message, hint, "stray-sign")
    found_html = _HTML.search(text)
    if found_html:
        hint = r"take it out, or write \< for the sign, with a blank after it"
        ctx.error(ctx.places.at(pos + found_html.start()), "this looks like HTML", hint, "html")
    if (text and not text.strip("*_") and ("*" in text or "_" in text)) or "_" in text:
        sign = "*" if "*" in text else "_"
        hint = (
            "for a place to write, put [______]{.answer} in a sheet"
            if sign == "_"
            else r"for a product write ×; for emphasis put stars on both sides; or \*"
        )
        ctx.error(ctx.places.at(pos, len(text)), f"a stray ‘{sign}’", hint, "stray-sign")
    if pos == 0 and re.match(r"#\w", text):
        hint = "write # and a blank, then the title"
        ctx.error(ctx.places.at(pos), "a heading needs a blank after #", hint, "heading-form")


def check_emphasis(ctx: InlineContext, token: Token, index: int) -> None:
    """Refuse emphasis next to a letter or digit."""
    source, pos = ctx.token.content, offset_of(token)
    end = emphasis_end(ctx, token, index)
    before = source[pos - 1 : pos]
    after = source[end : end + 1]
    if before.isalnum() or after.isalnum():
        message = f"‘{token.markup}’ next to a letter or digit is not clear"
        hint = r"write × for a product, or \* for the sign; emphasis goes around whole words"
        ctx.error(ctx.places.at(pos, max(1, end - pos)), message, hint, "emphasis-unclear")


def emphasis_end(ctx: InlineContext, token: Token, index: int) -> int:
    """Return the offset after the closing stars of the emphasis that opens at `index`."""
    closing_type = token.type.replace("open", "close")
    depth = 0
    for later in ctx.tokens[index + 1 :]:
        if later.type == token.type:
            depth += 1
        if later.type == closing_type:
            if depth == 0:
                return offset_of(later) + len(later.markup)
            depth -= 1
    return offset_of(token) + 1
