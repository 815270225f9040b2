"""What we keep of CommonMark reads as CommonMark's own published examples say.

The examples are those of the CommonMark Spec 0.31.2 by John MacFarlane (CC BY-SA 4.0), named by
their numbers there; `tests/cases/commonmark_examples.json` holds the selection with its source.
Words, emphasis, paragraphs, headings and list items are compared, not HTML.
"""

from __future__ import annotations

import json
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

import pytest
from pausewright.script.model import Emphasis, Prose, Question, Sound, Text
from pausewright.script.reader import read
from support.places import CASES
from support.scripts.script_cases import FILE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.script.model import Inline, Script

EXAMPLES = json.loads((CASES / "commonmark_examples.json").read_text(encoding="utf-8"))
SETTINGS = "---\ntitle: T\nlanguage: en\nanswer-time: none\n---\n\n"
PLAIN_TITLES = {66}
"""A heading is a chapter's name: its words are kept, its emphasis is not."""


class _Html(HTMLParser):
    """Words and emphasis of the expected HTML, one line for each block."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        marks = {"em": "<em>", "strong": "<strong>", "p": "\n", "h1": "\n", "h2": "\n", "li": "\n"}
        if tag == "img":
            self.text += f"<sound {given['src']}>"
        self.text += marks.get(tag, "")

    def handle_endtag(self, tag: str) -> None:
        self.text += {"em": "</em>", "strong": "</strong>"}.get(tag, "")

    def handle_data(self, data: str) -> None:
        self.text += data if data != "\n" else ""


def expected(html: str) -> list[str]:
    """Return the blocks of the published HTML."""
    parser = _Html()
    parser.feed(html.replace("<br />\n", " ").replace("\n</p>", "</p>"))
    return parser.text.split("\n")


def shown(nodes: tuple[Inline, ...]) -> str:
    """Return inlines as words with their emphasis."""
    out = ""
    for node in nodes:
        if isinstance(node, Text):
            out += node.text
        elif isinstance(node, Emphasis):
            tag = "strong" if node.strong else "em"
            out += f"<{tag}>{shown(node.children)}</{tag}>"
        elif isinstance(node, Sound):
            out += f"<sound {node.path}>"
    return out


def understood(script: Script) -> Iterator[str]:
    """Yield the titles and paragraphs of a script."""
    for part in script.parts:
        yield part.title
        for group in part.groups:
            yield group.title
            for block in group.blocks:
                if isinstance(block, Prose):
                    yield shown(block.inlines)
                elif isinstance(block, Question):
                    yield from (shown(p.inlines) for p in block.content if isinstance(p, Prose))


def words(lines: list[str]) -> str:
    """Return blocks as one text; where lines break inside a paragraph does not count."""
    return " ".join(" ".join(lines).split())


@pytest.mark.parametrize("example", EXAMPLES["kept"], ids=lambda e: str(e["example"]))
def test_a_kept_example(example: dict[str, Any]) -> None:
    """The words and emphasis of a published example are those of its published HTML."""
    reading = read(FILE, SETTINGS + example["markdown"] + "\n\nThe end.\n")
    assert [p for p in reading.problems if p.severity == "error"] == []

    found = words(list(understood(reading.script))).removesuffix("The end.").strip()
    wanted = words(expected(example["html"]))
    if example["example"] in PLAIN_TITLES:
        wanted = wanted.replace("<em>", "").replace("</em>", "")

    assert found == wanted


@pytest.mark.parametrize("example", EXAMPLES["refused"], ids=lambda e: str(e["example"]))
def test_a_refused_example(example: dict[str, Any]) -> None:
    """What of CommonMark is not ours is an error with a hint, never speech."""
    reading = read(FILE, SETTINGS + example["markdown"] + "\n\nThe end.\n")
    errors = [p for p in reading.problems if p.severity == "error"]

    assert errors
    assert all(p.hint for p in errors)


def test_examples_are_found() -> None:
    """A lost selection does not pass unnoticed."""
    assert len(EXAMPLES["kept"]) > 90
    assert len(EXAMPLES["refused"]) > 15
