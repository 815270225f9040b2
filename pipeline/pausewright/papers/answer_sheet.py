"""The candidates' answer sheet: numbers, what is printed for each, places to write.

Keys, staff notes and what is only heard have no way into its data. Pages end where the script
turns the page.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.papers.paper_content import PaperContent
from pausewright.papers.typeset.paper_frame import Frame, Look, content_mark
from pausewright.papers.typeset.template_files import own_templates, templates_of
from pausewright.papers.typeset.typst_compiler import compile_paper
from pausewright.problems import Place, Problems
from pausewright.script.model import Note, Options, PageTurn, Prose, Question, Sound, SubQuestion
from pausewright.wording.paper_words import paper_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.papers.paper_content import Data
    from pausewright.papers.typeset.template_files import Templates
    from pausewright.papers.typeset.typst_compiler import Paper, Sources
    from pausewright.script.model import Part, QuestionContent, Script

TEMPLATE = "answer-sheet"


@frozen
class SheetData:
    """What the template is given."""

    frame: Frame
    data: Data
    pictures: dict[str, bytes]
    sources: Sources


def answer_sheet(
    script: Script,
    *,
    label: str,
    edition: str,
    look: Look,
    signed: frozenset[str] | None = None,
) -> Paper:
    """Return the answer sheet of a version as PDF.

    `signed` has the content marks of papers that are no drafts; None: nothing is said of that.

    Raises
    ------
    ScriptError
        If something on it cannot be printed; with all places that are known.
    PausewrightError
        If the script's own templates cannot be read.
    """
    sheet = sheet_data(script, label=label, edition=edition, look=look)
    return compile_paper(
        TEMPLATE,
        replace(sheet.frame, signed=signed),
        sheet.data,
        sheet.sources,
        pictures=sheet.pictures,
        templates=templates_for(script),
    )


def sheet_mark(script: Script, *, label: str, edition: str, look: Look) -> str:
    """Return the content mark of an answer sheet without setting it; errors as above."""
    sheet = sheet_data(script, label=label, edition=edition, look=look)
    digest = templates_for(script).digest
    return content_mark(sheet.frame, sheet.data, sheet.pictures, digest)


def templates_for(script: Script) -> Templates:
    """Return the templates of a script's papers: ours, and those of its own folder."""
    name = script.settings.paper_templates
    return templates_of(script.path.parent / name) if name else own_templates()


def look_of(arrangement: Arrangement) -> Look:
    """Return how the candidates' papers of a version look."""
    declared = arrangement.print_look
    if declared is None:
        return Look()
    return Look(float(declared.size_pt), declared.paper, declared.font)


def sheet_data(script: Script, *, label: str, edition: str, look: Look) -> SheetData:
    """Return the answer sheet of a version as data.

    Raises
    ------
    ScriptError
        If a picture is missing, has no description or is wider than the paper; with all places.
    """
    problems = Problems()
    content = PaperContent(problems)
    words = paper_words(script.settings.language)
    sections: list[list[Data]] = [[]]
    for part in script.parts:
        _part(part, sections, content)
    problems.raise_errors()
    settings = script.settings
    head = (words["name"],) if settings.sheet_head is None else settings.sheet_head
    places, start = settings.places, Place(script.path, 1, 1)
    content.texts += [(line, places.get("sheet-head", start)) for line in head]
    content.text(settings.title, places.get("title", start))
    frame = Frame(
        settings.title,
        words["answer-sheet"],
        label,
        edition,
        settings.language,
        look,
        {"page": words["page"]},
    )
    data: Data = {
        "head": list(head),
        "words": dict(words),
        "sections": [section for section in sections if section] or [[]],
    }
    return SheetData(frame, data, content.pictures, content.sources(start))


def _part(part: Part, sections: list[list[Data]], content: PaperContent) -> None:
    """Add what a part prints; its title stands before the first of it, on its page."""
    title: list[Data] = []
    if part.title:
        title = [{"kind": "title", "level": 2, "title": content.text(part.title, part.place)}]
    for group in part.groups:
        titles = list(title)
        is_named = group.title and any(isinstance(b, Question) for b in group.blocks)
        headings = 2 + bool(part.title) + bool(is_named)
        if is_named:
            words = content.text(group.title, group.place)
            titles.append({"kind": "title", "level": headings - 1, "title": words})
        for block in group.blocks:
            if isinstance(block, PageTurn):
                sections.append([])
                continue
            found = _block(block, content, headings)
            if found is not None:
                sections[-1] += [*titles, found]
                title, titles = [], []


def _block(block: object, content: PaperContent, level: int) -> Data | None:
    """Return what a block prints; `level` is that of a question's number as a heading."""
    if isinstance(block, Note) and block.kind == "sheet":
        key = f"the sheet of line {block.place.line}"
        content.keys[key] = block.place
        return {"kind": "sheet", "key": key, "blocks": content.note(block)}
    return _question(block, content, level) if isinstance(block, Question) else None


def _question(question: Question, content: PaperContent, level: int) -> Data:
    """Return a question; `level` is that of its number as a heading."""
    key = f"question {question.label}"
    content.keys[key] = question.place
    found: Data = {
        "kind": "question",
        "key": key,
        "label": str(question.number),
        "level": level,
        "practice": question.practice,
        "withdrawn": question.withdrawn,
        "marks": 0 if question.practice else question.marks,
        "blocks": [],
        "parts": [],
        "lines": 0,
    }
    if question.withdrawn:
        return found
    subs = [one for one in question.content if isinstance(one, SubQuestion)]
    blocks = _blocks(question.content, question.sheet, content, is_printed=question.printed)
    found["parts"] = [_sub_question(question, sub, content) for sub in subs]
    found["blocks"] = blocks
    found["lines"] = 0 if subs or _has_answer(blocks) else question.lines
    return found


def _sub_question(question: Question, sub: SubQuestion, content: PaperContent) -> Data:
    blocks = _blocks(sub.content, sub.sheet, content, is_printed=question.printed)
    return {
        "letter": sub.letter,
        "blocks": blocks,
        "lines": 0 if _has_answer(blocks) else sub.lines,
        "marks": 0 if question.practice else sub.marks,
    }


def _blocks(
    items: Sequence[QuestionContent],
    sheet: Note | None,
    content: PaperContent,
    *,
    is_printed: bool,
) -> list[Data]:
    """Return what stands on paper: a printed question's words, the sheet, answers to choose."""
    found: list[Data] = []
    if is_printed:
        for one in items:
            found += content.paragraph(one.inlines) if isinstance(one, Prose) else []
    found += [] if sheet is None else content.note(sheet)
    for one in items:
        if isinstance(one, Options):
            found.append(_options(one, content))
    return found


def _options(options: Options, content: PaperContent) -> Data:
    rows: list[Data] = [
        {"letter": one.letter, "pieces": content.pieces(one.prose.inlines)}
        for one in options.options
    ]
    only = all(
        all(isinstance(node, Sound) for node in one.prose.inlines) for one in options.options
    )
    return {"kind": "options", "options": rows, "pictures": only}


def _has_answer(blocks: object) -> bool:
    """Return whether blocks hold a place to write or answers to choose."""
    if isinstance(blocks, list):
        return any(map(_has_answer, blocks))
    if isinstance(blocks, dict):
        kind = blocks.get("kind")
        if kind in {"lines", "gap", "box", "staff", "options", "choice"}:
            return True
        return any(_has_answer(one) for one in blocks.values())
    return False
