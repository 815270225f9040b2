"""Braces at the end of a block, and braces that cannot be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.script.source.markdown import meta

if TYPE_CHECKING:
    from markdown_it.token import Token

    from pausewright.script.attributes.braces import Braces
    from pausewright.script.inline.inline_context import InlineContext


def read_block_braces(
    ctx: InlineContext, token: Token, index: int, within: tuple[str, ...]
) -> None:
    """Take the attributes at the end of a block; anywhere else braces are a problem."""
    braces: Braces = meta(token, "braces")
    report_braces(ctx, braces)
    place = ctx.places.at(braces.start, braces.end - braces.start)
    rest = ctx.tokens[index + 1 :]
    last = all(t.type == "text" and not t.content.strip() for t in rest)
    before = ctx.token.content[: braces.start]
    if within or not last:
        if not braces.problems:
            ctx.error(
                place,
                "these braces stand in the middle of text",
                r"braces go at the end of what they describe; to print them write \{ \}",
                "braces-misplaced",
            )
    elif not before.strip() and ctx.kind in {"part", "group"}:
        ctx.attrs += braces.items  # a heading without a title: its reader says so
    elif not before.strip():
        ctx.error(
            place,
            "these braces stand alone",
            "put them at the end of the line that they describe",
            "braces-alone",
        )
    elif before.rstrip(" \u00a0").endswith("\n"):
        ctx.error(
            place,
            "these braces begin a line of their own",
            "put them at the end of the line above",
            "braces-alone",
        )
    else:
        ctx.attrs += braces.items


def report_braces(ctx: InlineContext, braces: Braces) -> None:
    """Report what in braces cannot be read."""
    for problem in braces.problems:
        ctx.error(
            ctx.places.at(problem.start, problem.end - problem.start),
            problem.message,
            problem.hint,
            "attribute-unreadable",
        )
