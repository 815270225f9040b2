"""Papers that were changed after they were built: what is read of them, not what they say."""

from __future__ import annotations

import shutil
import subprocess
import sys
from typing import TYPE_CHECKING

import pikepdf
import pytest
from pausewright.checker.report.blind import as_blind_text
from pausewright.deliver.project import open_project
from pausewright.deliver.recheck import recheck
from pausewright.papers.answer_sheet import answer_sheet
from pausewright.papers.typeset.paper_frame import Look
from pausewright.problems import TrackError
from support.rooms.layouts import OTHER_KEY, codes, laid_out, remember_measuring
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from support.rooms.layouts import Layout

TWO_PAGES = """---
title: Lantern walk
language: en-GB
answer-time: 5 s
---

# Only

Listen.

1. How many lanterns? {sheet="lanterns" key="56"}

::: page-turn {for="6 s"}
Turn over.
:::

2. How many rivers? {sheet="rivers" key="QUOKKA"}

# End

The end.
"""

READING = """
import contextlib, pathlib, sys
from pausewright.checker.papers.pdf_paper import read_paper
from pausewright.problems import TrackError
with contextlib.suppress(TrackError):
    read_paper(pathlib.Path(sys.argv[1]))
"""


def _lose_the_last_page(paper: pikepdf.Pdf) -> None:
    del paper.pages[-1]


def _swap_pages(paper: pikepdf.Pdf) -> None:
    paper.pages.append(paper.pages[0])
    del paper.pages[0]


def _cover(paper: pikepdf.Pdf) -> None:
    paper.pages[0].contents_add(paper.make_stream(b"q 1 g 0 100 600 650 re f Q"))


def _print_on(paper: pikepdf.Pdf) -> None:
    page = paper.pages[0]
    name = pikepdf.Name
    font = pikepdf.Dictionary(Type=name.Font, Subtype=name.Type1, BaseFont=name.Helvetica)
    page.Resources.Font[name("/FX")] = paper.make_indirect(font)
    page.contents_add(paper.make_stream(b"BT /FX 20 Tf 100 500 Td (Answer 1 is 56) Tj ET"))


def _save_again(paper: pikepdf.Pdf) -> None:
    """Change nothing that can be seen."""


SOMETHING = "something was changed, added or covered in it, or another program saved it"
BENDS: dict[str, tuple[Callable[[pikepdf.Pdf], None], str]] = {
    "a page lost": (_lose_the_last_page, "it has 1 of 2 pages"),
    "pages swapped": (_swap_pages, "its pages are numbered 2, 1"),
    "covered": (_cover, SOMETHING),
    "printed on": (_print_on, SOMETHING),
    "saved again": (_save_again, SOMETHING),
}


def bent(paper: Path, bend: Callable[[pikepdf.Pdf], None]) -> None:
    """Change a paper as any program for PDFs could."""
    with pikepdf.open(paper, allow_overwriting_input=True) as opened:
        bend(opened)
        opened.save(paper)


def sheet_of(folder: Path, script_text: str, label: str = "A") -> tuple[Path, Path, str]:
    """Return script, sheet as its build writes it, and edition."""
    script = folder / "lanterns.md"
    script.write_text(script_text, "utf-8")
    project = open_project(script)
    project.raise_errors()
    made = answer_sheet(project.script, label=label, edition=project.edition, look=Look())
    sheet = folder / f"answer-sheet_{label}_{project.edition}.pdf"
    sheet.write_bytes(made.pdf)
    return script, sheet, project.edition


@pytest.mark.parametrize("name", BENDS)
def test_a_sheet_of_this_edition_is_read(name: str, tmp_path: Path) -> None:
    """As it was built it is good; with a page lost, moved, covered or printed on it is not."""
    script, sheet, _ = sheet_of(tmp_path, TWO_PAGES)
    assert codes(recheck(sheet, script=script)) == []

    bend, why = BENDS[name]
    bent(sheet, bend)
    found = recheck(sheet, script=script)

    assert "error paper-changed" in codes(found)
    assert any(why in one.sentence for one in found.all_findings)
    # its words and its order by the script itself
    assert ("error promise-sheet" in codes(found)) == (name not in {"covered", "saved again"})


@pytest.mark.parametrize("name", BENDS)
def test_a_sheet_of_an_older_edition_is_read(name: str, tmp_path: Path) -> None:
    """Only as it was built it need not be printed again."""
    script, sheet, edition = sheet_of(tmp_path, TWO_PAGES)
    script.write_text(TWO_PAGES.replace("QUOKKA", "AXOLOTL"), "utf-8")
    assert codes(recheck(sheet, script=script)) == ["warning paper-older"]

    bend, _ = BENDS[name]
    bent(sheet, bend)
    found = recheck(sheet, script=script)

    assert "error paper-changed" in codes(found)
    assert "warning paper-older" not in codes(found)
    assert all("need not" not in one.hint for one in found.all_findings)
    assert edition in found.rooms[0].edition


def test_a_name_that_does_not_fit_is_told(tmp_path: Path) -> None:
    """The sheet of another version, or of another edition, than its name has."""
    script, sheet, edition = sheet_of(tmp_path, TWO_PAGES)
    for name in (f"answer-sheet_B_{edition}.pdf", "answer-sheet_A_Z2Z2Z2.pdf"):
        other = tmp_path / name
        shutil.copy(sheet, other)
        found = recheck(other, script=script)
        assert codes(found) == ["error paper-changed"]
        assert f"it says version A, edition {edition}" in found.all_findings[0].sentence


@pytest.fixture(scope="module")
def layouts(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Layout, Layout]]:
    """Return rooms of a test, and of an older edition that prints the same."""
    folder = tmp_path_factory.mktemp("office")
    with pytest.MonkeyPatch.context() as patch:
        remember_measuring(patch)
        yield laid_out(folder / "today"), laid_out(folder / "key", OTHER_KEY)


def yesterdays(layouts: tuple[Layout, Layout], folder: Path) -> tuple[Path, Path]:
    """Return the folder of a room with the sheet of an older edition, and that sheet."""
    today, older = layouts
    room = shutil.copytree(today.rooms / "hall", folder / "hall")
    (sheet,) = (room / "papers" / "candidates").iterdir()
    sheet.unlink()
    (before,) = (older.rooms / "hall" / "papers" / "candidates").iterdir()
    shutil.copy(before, sheet.with_name(before.name))
    return room, sheet.with_name(before.name)


@pytest.mark.parametrize("name", ["covered", "printed on", "saved again", "cut", "flipped"])
def test_in_a_room_too(layouts: tuple[Layout, Layout], name: str, tmp_path: Path) -> None:
    """On a stick, and blind: one finding, and never "need not be reprinted"."""
    room, sheet = yesterdays(layouts, tmp_path)
    assert "warning paper-older" in codes(recheck(room))
    raw = sheet.read_bytes()
    if name == "cut":
        sheet.write_bytes(raw[: len(raw) // 2])
    elif name == "flipped":
        at = raw.index(b"stream", raw.index(b"FlateDecode")) + 30
        sheet.write_bytes(raw[:at] + bytes([raw[at] ^ 255]) + raw[at + 1 :])
    else:
        bent(sheet, BENDS[name][0])
    found = recheck(room)

    assert [one for one in codes(found) if one not in UNLIKE_SPEECH] == ["error paper-changed"]
    assert "NOT GOOD" in as_blind_text(found)
    assert "need not" not in " ".join(one.hint for one in found.all_findings)


def test_the_list_says_nothing_of_a_changed_sheet(
    layouts: tuple[Layout, Layout], tmp_path: Path
) -> None:
    """Rooms of an older edition, checked with the script of today: this sheet must be printed."""
    today, older = layouts
    room = shutil.copytree(older.rooms / "hall", tmp_path / "hall")
    assert "warning paper-older" in codes(recheck(room, script=today.script))
    (sheet,) = (room / "papers" / "candidates").iterdir()
    bent(sheet, _cover)
    found = codes(recheck(room, script=today.script))

    assert "error file-changed" in found
    assert "warning paper-older" not in found


def test_by_the_record_too(layouts: tuple[Layout, Layout], tmp_path: Path) -> None:
    """Of the same edition as well; a paper without a mark is not called another."""
    today, _ = layouts
    (built,) = (today.rooms / "hall" / "papers" / "candidates").iterdir()
    sheet = tmp_path / built.name
    shutil.copy(built, sheet)
    assert codes(recheck(sheet, record=today.record("A"))) == []
    bent(sheet, _cover)
    assert codes(recheck(sheet, record=today.record("A"))) == ["error paper-changed"]


@pytest.mark.parametrize("share", [0.3, 0.7, 0.97])
def test_the_reader_of_pdfs_says_nothing_by_itself(share: float, tmp_path: Path) -> None:
    """A damaged file is refused, or told, in one sentence of ours; no line of a library's."""
    script, sheet, _ = sheet_of(tmp_path, TWO_PAGES)
    raw = sheet.read_bytes()
    at = raw.index(b"stream", raw.index(b"FlateDecode")) + 30
    for spoiled in (raw[: int(share * len(raw))], raw[:at] + b"\xff\x00\xff" + raw[at + 3 :]):
        sheet.write_bytes(spoiled)
        try:
            told_of = codes(recheck(sheet, script=script))
        except TrackError:  # in a sentence of ours, with a hint
            told_of = ["error paper-changed"]
        assert "error paper-changed" in told_of
        told = subprocess.run(
            [sys.executable, "-c", READING, str(sheet)], capture_output=True, text=True, check=True
        )
        assert told.stdout + told.stderr == ""
