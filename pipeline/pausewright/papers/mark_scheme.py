"""The mark scheme: keys, what else is accepted, marks and their total, what markers are told.

Confidential: it holds every key of the test.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.papers.answer_sheet import templates_for
from pausewright.papers.paper_content import PaperContent
from pausewright.papers.typeset.paper_frame import Frame, Look
from pausewright.papers.typeset.typst_compiler import compile_paper
from pausewright.problems import Place, Problems
from pausewright.script.inlines import plain
from pausewright.script.model import Note, Options, Prose, Question, SubQuestion
from pausewright.script.sheet_content import PaperParagraph, blocks_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.papers.paper_content import Data
    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.script.model import Group, Script

TEMPLATE: Final = "mark-scheme"
_BAR: Final = re.compile(r"(?<!\\)\|")
LOOK: Final = Look(11)


def mark_scheme(
    script: Script, *, label: str, edition: str, signed: frozenset[str] | None = None
) -> Paper:
    """Return the mark scheme of a version as PDF; `signed` as for the answer sheet.

    Raises
    ------
    ScriptError
        If something on it cannot be printed; with its place.
    """
    problems = Problems()
    content = PaperContent(problems, runs_on=True)
    data = mark_scheme_data(script, content)
    problems.raise_errors()
    settings = script.settings
    start = Place(script.path, 1, 1)
    content.text(settings.title, settings.places.get("title", start))
    language = settings.language
    frame = Frame(settings.title, "Mark scheme", label, edition, language, LOOK, signed=signed)
    return compile_paper(
        TEMPLATE,
        frame,
        data,
        content.sources(start),
        pictures=content.pictures,
        templates=templates_for(script),
    )


def mark_scheme_data(script: Script, content: PaperContent) -> Data:
    """Return the rows of each group, the marks of each part and the total."""
    parts: list[Data] = []
    total = 0
    for part in script.parts:
        groups = [_group(group, content) for group in part.groups]
        shown = [group for group in groups if group["rows"] or group["notes"]]
        marks = sum(_marks(group) for group in part.groups)
        total += marks
        if shown:
            title = content.text(part.title, part.place)
            parts.append({"title": title, "groups": shown, "marks": marks})
    return {"parts": parts, "total": total}


def _marks(group: Group) -> int:
    """Return the marks of a group; practice and withdrawn questions have none."""
    return sum(
        question_marks(block)
        for block in group.blocks
        if isinstance(block, Question) and not block.practice and not block.withdrawn
    )


def question_marks(question: Question) -> int:
    """Return the marks of a question: those of its sub-questions, if it has some."""
    subs = [one for one in question.content if isinstance(one, SubQuestion)]
    return sum(one.marks for one in subs) if subs else question.marks


def _group(group: Group, content: PaperContent) -> Data:
    rows: list[Data] = []
    notes: list[Data] = []
    for block in group.blocks:
        if isinstance(block, Question):
            rows += question_rows(block, content)
        elif isinstance(block, Note) and is_for_markers(block):
            notes += content.note(block)
    title = content.text(group.title, group.place)
    return {"title": title, "rows": rows, "notes": notes}


def is_for_markers(note: Note) -> bool:
    """Say whether a margin note stands on the mark scheme."""
    return note.kind == "staff-note" and (not note.to or "marker" in note.to)


def question_rows(question: Question, content: PaperContent) -> list[Data]:
    """Return the rows of a question: its own, and those of its sub-questions."""
    key = f"question {question.label}"
    content.keys[key] = question.place
    subs = [one for one in question.content if isinstance(one, SubQuestion)]
    own = _row(question, question.label, content, is_pattern=_is_pattern(question))
    own["withdrawn"] = question.withdrawn
    own["practice"] = question.practice
    if not subs:
        return [own]
    rows = [_row(one, f"{question.label}{one.letter}", content) for one in subs]
    for row in rows:
        row["practice"], row["withdrawn"] = question.practice, question.withdrawn
    has_own = bool(own["keys"] or own["notes"])
    return [{**own, "marks": 0}, *rows] if has_own else rows


def _is_pattern(question: Question) -> bool:
    return question.delivery.pattern.value is not None and question.key is None


def _row(
    one: Question | SubQuestion, label: str, content: PaperContent, *, is_pattern: bool = False
) -> Data:
    keys = [] if one.key is None else _keys(one.key, content)
    if is_pattern and one.content and isinstance(one.content[0], Prose):
        keys = [content.pieces(one.content[0].inlines)]
    notes: list[Data] = []
    for note in one.notes:
        notes += content.note(note) if is_for_markers(note) else []
    options = {
        option.letter: content.pieces(option.prose.inlines)
        for block in one.content
        if isinstance(block, Options)
        for option in block.options
    }
    letters = _letters(one.key)
    chosen = [{"letter": at, "pieces": options[at]} for at in letters if at in options]
    return {
        "label": label,
        "keys": keys,
        "chosen": chosen,
        "marks": one.marks,
        "notes": notes,
        "withdrawn": False,
        "practice": False,
    }


def _letters(key: Note | None) -> Iterable[str]:
    """Return the letters of a key that is letters only: "A, C"."""
    text = "" if key is None else key.text.strip()
    return re.findall(r"[A-Z]", text) if re.fullmatch(r"[A-Z](?:\s*,\s*[A-Z])*", text) else ()


def _keys(key: Note, content: PaperContent) -> list[object]:
    """Return the forms that are right, the first one first; a bar parts them."""
    if not key.content:
        forms = [part.strip().replace("\\|", "|") for part in _BAR.split(key.text)]
        return [content.plain_pieces(form, key.place) for form in forms]
    found = blocks_of(key)
    if len(found) == 1 and isinstance(found[0], PaperParagraph):
        text = plain(found[0].inlines)
        if "|" in text:
            return [content.plain_pieces(one.strip(), key.place) for one in text.split("|")]
        return [content.pieces(found[0].inlines)]
    return [[{"kind": "blocks", "blocks": content.blocks(found)}]]
