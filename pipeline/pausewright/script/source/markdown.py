"""Markdown to tokens: markdown-it-py, with three rules of our own.

Kept from CommonMark: paragraphs, headings of two levels, ordered lists (questions), bullets,
emphasis, backslash escapes, entities, images (sounds); tables inside sheets. Switched off:
indented code, underlined headings, link definitions, HTML, autolinks.

Our own: the block rule for `:::`, the inline rules for `$…$`, for `{…}` and for `[…]`. Each
inline token remembers where it starts (`meta["pos"]`), which the library does not do.
"""

from __future__ import annotations

import functools
import re
from typing import TYPE_CHECKING, Final, TypeAlias

from markdown_it import MarkdownIt

from pausewright.script.attributes.braces import read_braces
from pausewright.script.limits import MOST_IN_PARAGRAPH, MOST_NESTED
from pausewright.script.source.block_lines import closing_line

if TYPE_CHECKING:
    from collections.abc import Callable

    from markdown_it.rules_block import StateBlock
    from markdown_it.rules_core import StateCore
    from markdown_it.rules_inline import StateInline
    from markdown_it.token import Token

MarkdownToken: TypeAlias = "Token"
"""A token of the library, for those who walk over them."""
DIV_NAMES: Final = (
    "passage",
    "dictation",
    "again",
    "stop",
    "page-turn",
    "sheet",
    "key",
    "staff-note",
)

_MOST_KEPT_SIGNS: Final = 600
"""A longer paragraph is read anew each time."""
_DIV_HEAD: Final = re.compile(r":{3,}[ \u00a0]*(.*)$")
_NAMED: Final = re.compile(r"([A-Za-z][A-Za-z0-9-]*)[ \u00a0]*(.*)$", re.DOTALL)
_BRACED: Final = re.compile(r"\{[ \u00a0]*\.([A-Za-z][A-Za-z0-9-]*)[ \u00a0]*(.*)$", re.DOTALL)


@functools.cache
def _parser() -> MarkdownIt:
    md = MarkdownIt("commonmark", {"html": False, "maxNesting": 40})
    md.disable(
        ["code", "lheading", "reference", "html_block", "html_inline", "autolink", "link", "image"]
    )
    md.enable("table")
    md.core.ruler.before("inline", "long", _long_rule)
    md.core.ruler.at("inline", _inline_rule)
    md.disable(["fragments_join", "text_join"])
    interrupts = ["paragraph", "blockquote", "list", "table"]
    md.block.ruler.before("fence", "div", _div_rule, {"alt": interrupts})
    md.inline.ruler.before("escape", "formula", _formula_rule)
    md.inline.ruler.before("emphasis", "braces", _braces_rule)
    md.inline.ruler.before("emphasis", "sound", _sound_rule)
    md.inline.ruler.before("emphasis", "span", _span_rule)
    for rule in md.inline.ruler.__rules__:
        rule.fn = _placed(rule.fn)
    md.inline.ruler.__cache__ = None
    return md


def tokens(markdown: str) -> list[Token]:
    """Return the flat list of block tokens; inline tokens have children with `meta["pos"]`."""
    found = _parser().parse(markdown)
    for token in found:
        if token.children and _depth(token.children) > MOST_NESTED:
            token.meta["excess"] = ("too-nested", MOST_NESTED)
            token.children = []
    return found


def inline_tokens(content: str) -> tuple[Token, ...]:
    """Return the tokens of a paragraph's text, which tell nothing of where it stands.

    Those of equal texts are the same ones: nobody changes them.
    """
    return _kept(content) if len(content) <= _MOST_KEPT_SIGNS else _inline(content)


def forget_paragraphs() -> None:
    """Have the text of every paragraph read anew."""
    _kept.cache_clear()


def _inline(content: str) -> tuple[Token, ...]:
    found: list[Token] = []
    parser = _parser()
    parser.inline.parse(content, parser, {}, found)
    if found:
        _place_tail(found[-1], content, len(content))
    return tuple(found)


_kept = functools.lru_cache(maxsize=2048)(_inline)


def _inline_rule(state: StateCore) -> None:
    """Read what stands in paragraphs, in place of the library's rule that does no more."""
    for token in state.tokens:
        if token.type == "inline":
            token.children = list(inline_tokens(token.content))


def _long_rule(state: StateCore) -> None:
    """Take out paragraphs that are too long to be read; their readers say so."""
    for token in state.tokens:
        if token.type == "inline" and len(token.content) > MOST_IN_PARAGRAPH:
            token.meta["excess"] = ("too-long", len(token.content))
            token.content = ""


def _depth(children: list[Token]) -> int:
    """Return how many levels of emphasis and brackets stand inside each other."""
    depth = deepest = 0
    for token in children:
        depth += token.nesting
        deepest = max(deepest, depth)
    return deepest


def _place_tail(token: Token, src: str, end: int) -> None:
    """Place text that was still pending when the library reached `end`."""
    if token.type == "text" and "pos" not in token.meta:
        token.meta["pos"] = max(0, src.rfind(token.content, 0, end))


def _placed(rule: Callable[[StateInline, bool], bool]) -> Callable[[StateInline, bool], bool]:
    """Wrap an inline rule so that the tokens it pushes know the offset where they start."""

    @functools.wraps(rule)
    def placed(state: StateInline, silent: bool) -> bool:
        start, before, pending = state.pos, len(state.tokens), bool(state.pending)
        done = rule(state, silent)
        if done and not silent and len(state.tokens) > before:
            first = state.tokens[before]
            if pending and first.type == "text":
                # text that was pending is flushed first, as a token of its own
                first.meta["pos"] = max(0, state.src.rfind(first.content, 0, start))
            for token in state.tokens[before:]:
                token.meta.setdefault("pos", start)
        return done

    return placed


# ---- `:::` ----------------------------------------------------------------------------------


def _div_rule(state: StateBlock, start_line: int, end_line: int, silent: bool) -> bool:
    """Read a block between `:::` lines; every line that begins with `:::` ends up here."""
    if not _row(state, start_line).startswith(":::"):
        return False
    if silent:
        return True
    head = _DIV_HEAD.match(_row(state, start_line))
    rest = head[1].strip() if head else ""
    name, attrs = _named(rest)
    last, problem = closing_line(
        lambda line: _full_row(state, line), start_line, end_line, state.blkIndent
    )
    token = state.push("div_open", "", 1)
    token.block = True
    token.map = [start_line, last + 1]
    token.info = rest
    token.meta = {"name": name, "attrs": attrs, "problem": problem, "body": (start_line + 1, last)}
    if not rest:
        token.meta["problem"] = "stray"
        state.line = start_line + 1
    else:
        parent, line_max = state.parentType, state.lineMax
        state.parentType = "div"
        state.lineMax = last
        state.md.block.tokenize(state, start_line + 1, last)
        state.parentType, state.lineMax = parent, line_max
        state.line = min(last + 1, end_line) if problem != "open" else last
    closing = state.push("div_close", "", -1)
    closing.block = True
    return True


def _row(state: StateBlock, line: int) -> str:
    return state.src[state.bMarks[line] + state.tShift[line] : state.eMarks[line]].rstrip()


def _full_row(state: StateBlock, line: int) -> str:
    start = state.src.rfind("\n", 0, state.bMarks[line]) + 1
    return state.src[start : state.eMarks[line]]


def _named(rest: str) -> tuple[str, str]:
    found = _NAMED.match(rest)
    if found:
        return found[1], found[2]
    found = _BRACED.match(rest)
    if found:
        return found[1], "{" + found[2] if found[2].strip() != "}" else ""
    return "", rest


# ---- inline ---------------------------------------------------------------------------------


def _formula_rule(state: StateInline, silent: bool) -> bool:
    """Read `$…$` as a formula, before escapes and braces are looked at.

    Pandoc's rule (its manual, extension tex_math_dollars): the opening sign has a character that
    is no blank right after it, the closing one right before it, and no digit right after. So
    "$5 and $10" is money.
    """
    if state.src[state.pos] != "$":
        return False
    end = formula_end(state.src, state.pos, state.posMax)
    if end is None:
        return False
    if not silent:
        token = state.push("formula", "", 0)
        token.content = state.src[state.pos : end]
        token.meta = {"pos": state.pos}
    state.pos = end
    return True


def formula_end(text: str, at: int, limit: int) -> int | None:
    """Return the offset after the formula that begins at the dollar sign at `at`, or None."""
    sign = "$$" if text.startswith("$$", at) else "$"
    start = at + len(sign)
    if not text[start:limit].strip() or text[start].isspace() or text[start] == "$":
        return None
    closing = start
    while True:
        closing = text.find(sign, closing + 1, limit)
        if closing < 0:
            return None
        before, after = text[closing - 1], text[closing + len(sign) : closing + len(sign) + 1]
        if before == "\\" or "\n\n" in text[start:closing]:
            continue
        if before.isspace() or after.isdigit():
            return None
        return closing + len(sign)


def _braces_rule(state: StateInline, silent: bool) -> bool:
    """Read `{…}` as attributes, wherever it stands; the script reader says whether it may."""
    if state.src[state.pos] != "{":
        return False
    braces = read_braces(state.src, state.pos)
    if not silent:
        token = state.push("braces", "", 0)
        token.meta = {"braces": braces, "pos": state.pos}
    state.pos = min(braces.end, state.posMax)
    return True


def _span_rule(state: StateInline, silent: bool) -> bool:
    """Read `[words]{…}`, and `[words](path){.include}`."""
    if state.src[state.pos] != "[":
        return False
    return _bracketed(state, silent, opening=state.pos, sound=False)


def _sound_rule(state: StateInline, silent: bool) -> bool:
    """Read `![description](path){…}`."""
    if state.src[state.pos : state.pos + 2] != "![":
        return False
    return _bracketed(state, silent, opening=state.pos + 1, sound=True)


def _bracketed(state: StateInline, silent: bool, *, opening: int, sound: bool) -> bool:
    start, limit = state.pos, state.posMax
    if state.src.find("]", opening, limit) < 0:
        return False  # the library would look at all that follows, once for each bracket
    closing = state.md.helpers.parseLinkLabel(state, opening)
    if closing < 0:
        return False
    pos = closing + 1
    path: str | None = None
    path_problem = ""
    if pos < limit and state.src[pos] == "(":
        path, pos, path_problem = _path(state, pos)
    braces = None
    if pos < limit and state.src[pos] == "{":
        braces = read_braces(state.src, pos)
        pos = min(braces.end, limit)
    if not silent:
        kind = "sound" if sound else "link" if path is not None else "span"
        token = state.push(f"{kind}_open", "", 1)
        token.meta = {
            "pos": start,
            "end": pos,
            "braces": braces,
            "path": path,
            "path_problem": path_problem,
            "label": state.src[opening + 1 : closing],
        }
        if not sound:
            state.pos, state.posMax = opening + 1, closing
            state.linkLevel += 1
            state.md.inline.tokenize(state)
            state.linkLevel -= 1
            _place_tail(state.tokens[-1], state.src, closing)
        close = state.push(f"{kind}_close", "", -1)
        close.meta["pos"] = closing
    state.pos, state.posMax = pos, limit
    return True


def _path(state: StateInline, opening: int) -> tuple[str, int, str]:
    """Return the path in `(…)`, one past the bracket, and what is wrong with it."""
    limit = state.posMax
    pos = opening + 1
    result = state.md.helpers.parseLinkDestination(state.src, pos, limit)
    if result.ok and result.pos < limit and state.src[result.pos] == ")":
        return result.str, result.pos + 1, "" if result.str else "empty"
    closing = state.src.find(")", pos, limit)
    if closing < 0:
        return "", limit, "open"
    written = state.src[pos:closing]
    return written, closing + 1, "blank" if " " in written.strip() else "unreadable"


def children(token: Token) -> list[Token]:
    """Return the inline tokens of an `inline` block token."""
    return token.children or []
