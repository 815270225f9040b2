"""Faults on paper: the answer sheet for candidates, printed instructions, the running sheet."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from pausewright.captions import transcript_page as page
from pausewright.deliver.outputs import papers_output, transcripts_output
from pausewright.papers import answer_sheet as sheets
from pausewright.script.reader import read

from support.planted.base import Fault, Plant, after, changed

if TYPE_CHECKING:
    from collections.abc import Callable


def _sections(change: Callable[[list[list[Any]]], list[list[Any]]]) -> Plant:
    """Return a fault in what the template of the answer sheet is given."""

    def made(sheet: Any) -> Any:
        return replace(sheet, data={**sheet.data, "sections": change(sheet.data["sections"])})

    return changed(sheets, "sheet_data", after(made))


def _reworded(old: str, new: str) -> Plant:
    """Return a fault in the texts of the answer sheet."""
    return _sections(lambda found: json.loads(json.dumps(found).replace(old, new)))


def _without(key: str) -> Plant:
    """Return the fault of a question that is not printed."""
    return _sections(
        lambda found: [[one for one in part if one.get("key") != key] for part in found]
    )


def _with_words(right: Any) -> Any:
    """Print questions that are spoken."""
    return lambda question, *more: right(replace(question, printed=True), *more)


def _with_key(right: Any) -> Any:
    def made(question: Any, *more: Any) -> Any:
        found = right(question, *more)
        text = question.key.text if question.key else ""
        found["blocks"] = [
            *found["blocks"], {"kind": "para", "pieces": [{"kind": "text", "text": text}]}
        ]  # fmt: skip
        return found

    return made


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
    Fault("papers", "keys on the answer sheet", changed(sheets, "_question", _with_key)),
    Fault("papers", "spoken questions on the answer sheet",
          changed(sheets, "_question", _with_words)),
    Fault("papers", "a question missing on the answer sheet", _without("question 3")),
    Fault("papers", "questions under each other's numbers",
          _reworded('"label": "9"', '"label": "19"')),
    Fault("papers", "what the sheet says lost", _reworded("gulls", "")),
    Fault("papers", "answers to choose lost", _reworded("a fishing net", "")),
    Fault("papers", "a page turn inside a page of the answer sheet",
          _sections(lambda found: [[one for part in found for one in part]])),
    Fault("papers", "the sheet of the whole test where a part is left out", changed(
        papers_output, "answer_sheet", _whole_test), "leave"),
    Fault("papers", "an answer on the printed instructions",
          changed(transcripts_output, "transcript_page", _page)),
    Fault("papers", "printed instructions ten seconds late",
          changed(page, "_at", _later)),
)  # fmt: skip
