"""Faults on paper: the answer sheet for candidates, printed instructions, the running sheet."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from pausewright.captions import transcript_page as page
from pausewright.deliver.outputs import papers_output, transcripts_output
from pausewright.papers import plain as papers
from pausewright.script.reader import read

from support.planted.base import Fault, Plant, after, changed


def _sheet(change: Any) -> Plant:
    """Return a fault in the text of the answer sheet."""
    return changed(papers_output, "answer_sheet", after(change))


def _with_words(right: Any) -> Any:
    """Print questions that are spoken."""
    return lambda question: right(replace(question, printed=True))


def _with_key(right: Any) -> Any:
    def rows(question: Any) -> Any:
        found = right(question)
        return [*found, question.key.text] if question.key else found

    return rows


def _whole_test(right: Any) -> Any:
    """Print the sheet of the standard test for every version."""
    return lambda script, **more: right(read(script.path).script, **more)


def _later(right: Any) -> Any:
    """Print times that are ten seconds late."""

    def at(rate_hz: int, line: Any) -> Any:
        return right(rate_hz, replace(line, start_sample=line.start_sample + 10 * rate_hz))

    return at


def _page(right: Any) -> Any:
    def made(timeline: Any, **more: Any) -> Any:
        text = str(right(timeline, **more))
        return text.replace("<main>", "<main><p>ZEBRAFISH</p>") if more.get("timed") else text

    return made


FAULTS: Final = (
    Fault("papers", "keys on the answer sheet", changed(papers, "_question", _with_key)),
    Fault("papers", "spoken questions on the answer sheet",
          changed(papers, "_question", _with_words)),
    Fault("papers", "a question missing on the answer sheet",
          _sheet(lambda text: text.replace("3.  ", "    "))),
    Fault("papers", "questions under each other's numbers",
          _sheet(lambda text: text.replace("9.  ", "19.  "))),
    Fault("papers", "what the sheet says lost", _sheet(lambda text: text.replace("gulls", ""))),
    Fault("papers", "answers to choose lost",
          _sheet(lambda text: text.replace("a fishing net", ""))),
    Fault("papers", "the sheet of the whole test where a part is left out", changed(
        papers_output, "answer_sheet", _whole_test), "leave"),
    Fault("papers", "an answer on the printed instructions",
          changed(transcripts_output, "transcript_page", _page)),
    Fault("papers", "printed instructions ten seconds late",
          changed(page, "_at", _later)),
)  # fmt: skip
