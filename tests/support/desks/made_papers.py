"""Papers of tests, drawn at random and written as word processors write them, in five ways.

What a paper holds is known from how it was drawn, not from reading it.
"""

from __future__ import annotations

import html
import io
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import docx
import odfdo

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

NOUNS = [
    "harbour",
    "lantern",
    "orchard",
    "ferry",
    "kettle",
    "meadow",
    "ladder",
    "pocket",
    "river",
    "basket",
]
VERBS = ["counts", "carries", "finds", "sells", "paints", "borrows"]
NAMES = ["Mila", "Otto", "Nela", "Iker", "Pia"]
Kind = Literal["heading", "text", "question", "answer", "sub", "key", "more", "answers", "keys"]


@dataclass(frozen=True)
class Row:
    """One line of a paper."""

    kind: Kind
    text: str
    number: str = ""
    """As printed before it."""


@dataclass
class Asked:
    """A question as it was drawn."""

    words: str
    answers: list[str] = field(default_factory=list)
    key: str = ""


@dataclass
class Drawn:
    """A paper."""

    rows: list[Row] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    foot: str = ""


def drawn_paper(dice: random.Random) -> Drawn:
    """Draw a paper of some groups of questions."""
    paper = Drawn(foot="Form seven, turn over")
    paper.rows.append(Row("heading", f"Mental {dice.choice(NOUNS)} test"))
    paper.rows.append(Row("text", "Listen carefully and write your answers in ink."))
    number = 0
    keys_at_end = dice.random() < 0.5
    for group in range(dice.randint(1, 3)):
        paper.rows.append(Row("heading", f"Section {'ABC'[group]}: {dice.choice(NOUNS)}"))
        for _ in range(dice.randint(2, 5)):
            number += 1
            _question(dice, paper, number, keys_at_end=keys_at_end)
    if keys_at_end:
        paper.rows.append(Row("answers", "Answers"))
        for n, asked in enumerate(paper.asked, start=1):
            asked.key = _letter(dice, asked) or str(dice.randint(2, 99))
            paper.rows.append(Row("keys", asked.key, f"{n}."))
    return paper


def _question(dice: random.Random, paper: Drawn, number: int, *, keys_at_end: bool) -> None:
    name, noun = dice.choice(NAMES), dice.choice(NOUNS)
    words = f"{name} {dice.choice(VERBS)} {dice.randint(2, 90)} {noun}s. How many is that?"
    words += dice.choice(["", " {not a set}", " Is it 3*4?", " [see map]", " It costs £2.40."])
    asked = Asked(words)
    shown = words + dice.choice(["", " ________", " (2 marks)"])
    paper.rows.append(Row("question", shown, f"{number}."))
    how = dice.random()
    if how < 0.3:
        asked.answers = [f"{dice.choice(NOUNS)} {n}" for n in range(3)]
        paper.rows += [Row("answer", one, f"{'ABC'[n]}.") for n, one in enumerate(asked.answers)]
    elif how < 0.5:
        asked.answers = [f"Where is the {dice.choice(NOUNS)}?", "And how old?"]
        paper.rows += [Row("sub", one, f"{'ab'[n]})") for n, one in enumerate(asked.answers)]
    elif how < 0.6:
        paper.rows.append(Row("more", "and write it in words"))
        asked.words += " and write it in words"
    if not keys_at_end and dice.random() < 0.6:
        others = ["42", "two | 2", "the {red} one", 'a "sign"']
        asked.key = _letter(dice, asked) or dice.choice(others)
        paper.rows.append(Row("key", f"Answer: {asked.key}"))
    paper.asked.append(asked)


def _letter(dice: random.Random, asked: Asked) -> str:
    """Return the key of a question with three answers to choose from."""
    return dice.choice("ABC") if len(asked.answers) == 3 else ""


def as_txt(paper: Drawn) -> bytes:
    """Return it as a text file, as one is typed."""
    rows = [f"{row.number} {row.text}".strip() for row in paper.rows]
    return "\r\n".join(rows).encode("utf-16" if len(rows) % 2 else "utf-8")


def as_html(paper: Drawn) -> bytes:
    """Return it as a page with lists, the questions' numbers by the browser."""
    out = ["<!DOCTYPE html><html><head><title>x</title></head><body>"]
    number = 0
    for row in paper.rows:
        text = html.escape(row.text)
        if row.kind == "heading":
            out.append(f"<h{1 if number == 0 and len(out) == 1 else 2}>{text}</h2>")
        elif row.kind == "question":
            number += 1
            out.append(f'<ol start="{number}"><li>{text}</li></ol>')
        elif row.kind in {"answer", "sub"}:
            form, start = ("A", "ABC") if row.kind == "answer" else ("a", "abc")
            at = start.index(row.number[0]) + 1
            out.append(f'<ol type="{form}" start="{at}"><li>{text}</li></ol>')
        else:
            out.append(f"<p>{html.escape(f'{row.number} {row.text}'.strip())}</p>")
    return "".join(out).encode()


def as_clipboard(paper: Drawn) -> bytes:
    """Return it as a word processor puts it on the clipboard: paragraphs with typed numbers."""
    out = ["<html xmlns:o='urn:x'><body><!--StartFragment-->"]
    for row in paper.rows:
        text = html.escape(row.text)
        if row.kind == "heading":
            out.append(f"<h1>{text}<o:p></o:p></h1>")
            continue
        number = f"<span>{row.number}<span>&nbsp;&nbsp;&nbsp; </span></span>" if row.number else ""
        out.append(f"<p class=X style='margin-left:36pt'>{number}{text}<o:p></o:p></p>")
    return "".join([*out, "<!--EndFragment--></body></html>"]).encode()


def as_docx(paper: Drawn) -> bytes:
    """Return it as a .docx file with typed numbers, and a foot."""
    document = docx.Document()
    document.sections[0].footer.paragraphs[0].text = paper.foot
    for row in paper.rows:
        if row.kind == "heading":
            document.add_heading(row.text, 1 if len(document.paragraphs) == 0 else 2)
        else:
            document.add_paragraph(f"{row.number}\t{row.text}" if row.number else row.text)
    body = io.BytesIO()
    document.save(body)
    return body.getvalue()


def as_odt(paper: Drawn) -> bytes:
    """Return it as an .odt file with typed numbers."""
    document = odfdo.Document("text")
    document.body.clear()
    for n, row in enumerate(paper.rows):
        if row.kind == "heading":
            document.body.append(odfdo.Header(1 if n == 0 else 2, row.text))
        else:
            document.body.append(odfdo.Paragraph(f"{row.number} {row.text}".strip()))
    body = io.BytesIO()
    document.save(body)
    return body.getvalue()


WAYS: dict[str, tuple[str, Callable[[Drawn], bytes]]] = {
    "txt": (".txt", as_txt),
    "html": (".html", as_html),
    "clipboard": (".html", as_clipboard),
    "docx": (".docx", as_docx),
    "odt": (".odt", as_odt),
}
"""Name → ending and writer."""
