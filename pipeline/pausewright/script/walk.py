"""Walks over what a block holds: its paragraphs, and the inlines in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.script.model import (
    Again,
    Dictation,
    Emphasis,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Span,
    Stop,
    SubQuestion,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.script.model import Block, Inline, QuestionContent


def proses(block: Block) -> Iterator[Prose]:
    """Walk the paragraphs, turns, options and cues of a block."""
    if isinstance(block, Prose):
        yield block
    elif isinstance(block, Passage):
        yield from block.content
    elif isinstance(block, Stop | PageTurn):
        yield from block.cue
    elif isinstance(block, Again):
        yield from block.lead_in
    elif isinstance(block, Dictation):
        yield from (p.prose for p in block.phrases)
    elif isinstance(block, Question):
        yield from _content_proses(block.content)


def _content_proses(content: Sequence[object]) -> Iterator[Prose]:
    for one in content:
        if isinstance(one, Options):
            yield from (o.prose for o in one.options)
        elif isinstance(one, Prose | Passage | Dictation):
            yield from proses(one)
        elif hasattr(one, "content"):
            yield from _content_proses(one.content)


def all_inlines(nodes: Sequence[Inline]) -> Iterator[Inline]:
    """Walk inlines with those inside emphasis and spans."""
    for node in nodes:
        yield node
        if isinstance(node, Emphasis | Span):
            yield from all_inlines(node.children)


def inlines_of(block: Block) -> Iterator[Inline]:
    """Walk all inlines of a block."""
    for prose in proses(block):
        yield from all_inlines(prose.inlines)


def nested(content: Sequence[Block | QuestionContent]) -> Iterator[Block | QuestionContent]:
    """Walk contents with what belongs to sub-questions among them."""
    for one in content:
        yield one
        if isinstance(one, SubQuestion):
            yield from nested(one.content)
