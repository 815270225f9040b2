"""A paper from elsewhere as a script: what a worker does for the page on which a test is begun."""

from __future__ import annotations

from pathlib import Path

from pausewright.desk.messages import PaperRead, ReadPaper
from pausewright.documents.reader import read_paper
from pausewright.drafting.paper_questions import questions_of
from pausewright.drafting.paper_script import LOOK, Manner, script_of_paper
from pausewright.shown_text import one_line


def read(ask: ReadPaper) -> PaperRead:
    """Read a paper; raises as its reader does."""
    paper = read_paper(Path(ask.path))
    found = questions_of(paper)
    manner = Manner(
        ask.title, ask.language, ask.readings, ask.between, ask.answer_time, ask.announce
    )
    text = script_of_paper(found, paper.cautions, manner)
    return PaperRead(
        text,
        len(found.questions),
        text.count(f"<!-- {LOOK}: "),
        tuple((one_line(one.text), one.why) for one in found.left),
        paper.cautions,
    )
