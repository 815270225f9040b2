"""A question that is withdrawn on the day, followed through everything that a build writes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.deliver.build import build_versions
from pausewright.records.record_files import read_as
from pausewright.records.shapes import RunningTimes
from support.paper_text import text_of
from support.scripts.versions import END, HEAD, options, written

if TYPE_CHECKING:
    from pathlib import Path

TEXT = (
    HEAD
    + """# Test {answer-time="6 s"}

1. How many boats lie on the quay? {key="12" marks="2"}
2. Which boat is painted red? {key="the Heron" marks="3"}
3. How many are left now? {key="5"}"""
    + END
)


def test_it_is_withdrawn_everywhere(tmp_path: Path) -> None:
    """Sheet, mark scheme, marks, running sheet and edition say so; the rest keeps its numbers."""
    script, how = written(tmp_path, TEXT, ""), replace(options(tmp_path), mark_scheme=True)
    (before,) = build_versions(script, how)
    script.write_text(TEXT.replace('marks="3"', 'marks="3" .withdrawn'), "utf-8")
    (built,) = build_versions(script, how)

    def paper(start: str) -> str:
        (found,) = (f for f in built.files if f.name.startswith(start) and f.suffix == ".pdf")
        return text_of(found)

    assert built.edition != before.edition
    sheet, keys, running = map(paper, ("answer-sheet", "mark-scheme", "running-sheet"))
    assert sheet.count("Leave this one blank.") == 1
    assert "Withdrawn: no marks." in keys
    assert "Heron" not in keys
    assert "Total: 3" in keys
    assert "Question 2, withdrawn" in running
    times = read_as(built.folder / "confidential" / "running-times_A.json", RunningTimes)
    assert times is not None
    asked = [row for row in times.rows if row.kind == "question"]
    assert [row.what for row in asked] == ["Question 1", "Question 2, withdrawn", "Question 3"]
    assert asked[1].answer_s == "6"
