"""Large print: the version's own page turns, what is said without them, and no size told."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from pausewright.plan.timeline import Say, Wait
from pausewright.problems import ScriptError
from pypdf import PdfReader
from support.scripts.versions import options, waits, written
from support.scripts.versions import version as made_version

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path
    from typing import TypeAlias

    from pypdf import PageObject

    Matrix: TypeAlias = Sequence[float]

ROWS = "".join(f'{n}. What is {n} and {n}? {{key="{2 * n}"}}\n' for n in range(1, 15))
LONG = (
    "---\ntitle: Tide tables\nlanguage: en-GB\nvoice: joe\n---\n\n"
    f'# Test {{answer-time="3 s"}}\n\nListen.\n\n{ROWS}\nThe test is over.\n'
)
"""A page at 10 pt, and two at 18 pt."""
TURNED = LONG.replace(
    "10. What", '::: page-turn {for="7 s"}\nTurn your sheet now.\n:::\n\n10. What'
)


def built(folder: Path, text: str, fields: str) -> tuple[list[str], list[str], Path]:
    """Build a version; return its notes, the texts of its sheet's pages, and the folder."""
    script = written(folder, text, "large: {label: B, basis: f, print: {" + fields + "}}")
    (made,) = build_versions(script, options(folder), ["large"])
    assert made.is_good
    sheet = next(made.folder.rglob("answer-sheet_B_*.pdf"))
    reader = PdfReader(io.BytesIO(sheet.read_bytes()))
    return list(made.notes), [page.extract_text() for page in reader.pages], made.folder


@pytest.mark.parametrize(("size", "n_pages"), [("10 pt", 1), ("18 pt", 2), ("24 pt", 3)])
def test_a_version_turns_where_its_own_sheet_does(tmp_path: Path, size: str, n_pages: int) -> None:
    """A cue for each page but the first; the check of the build agrees."""
    notes, pages, folder = built(tmp_path, LONG, f"size: {size}")

    assert len(pages) == n_pages
    assert ["Turn over" in page for page in pages] == [True] * (n_pages - 1) + [False]
    assert not [note for note in notes if "without" in note or "nothing on the" in note]
    record = next(folder.rglob("build-record_B.json")).read_text("utf-8")
    assert ('"page-turn-time"' in record) == (n_pages > 1)


def test_its_cues_have_the_words_and_the_time_of_the_script(tmp_path: Path) -> None:
    """Those of the script's first page turn."""
    made = made_version(tmp_path, TURNED, "print: {size: 24 pt}")
    assert waits(made, "page-turn-time") == [7]
    notes, pages, folder = built(tmp_path, TURNED, "size: 24 pt")
    record = next(folder.rglob("build-record_B.json")).read_text("utf-8")

    assert len(pages) == 3
    assert '"page-turn-time":{"count":2,"total_s":"14"}' in record.replace(" ", "").replace(
        "\n", ""
    )
    assert not [note for note in notes if "nothing on the" in note]


def test_where_the_author_forbids_cues_the_build_says_what_differs(tmp_path: Path) -> None:
    """The track is the standard one; the note names the question."""
    notes, pages, _ = built(tmp_path, LONG, "size: 18 pt, turns: as in the script")

    assert len(pages) == 2
    assert [note for note in notes if "begins with question" in note]


def test_no_file_and_no_paper_tells_the_size(tmp_path: Path) -> None:
    """Names, titles and texts of what a room gets say nothing of print (they tell a need)."""
    fields = 'size: 24 pt, paper: "A3, cream", font: clear'
    _, pages, folder = built(tmp_path, LONG, fields)
    names = [str(file.relative_to(folder)) for file in folder.rglob("*")]

    for word in ("24", "cream", "A3", "large", "clear"):
        assert not [name for name in names if word in name]
    for word in ("24 pt", "cream", "A3", "large"):
        assert not [page for page in pages if word in page]
    (basis,) = (folder / "confidential").glob("arrangement_B*")
    assert "24 pt, A3, cream, clear" in basis.read_text("utf-8")


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ("size: 18", "is not a size of letters"),
        ("size: 99 pt", "is not between 9 pt and 48 pt"),
        ("paper: A5", "is not known here"),
        ("font: comic", "is not known here"),
        ("colour: red", "is not known here"),
        ("size: 12 pt", "changes nothing on this script"),
    ],
)
def test_what_cannot_be_read_is_told(tmp_path: Path, fields: str, sentence: str) -> None:
    """With its place in the arrangements' file."""
    script = written(tmp_path, LONG, "large: {label: B, basis: f, print: {" + fields + "}}")
    with pytest.raises(ScriptError) as error:
        build_versions(script, options(tmp_path))

    assert any(sentence in one.message for one in error.value.problems)
    assert {one.place.line for one in error.value.problems if one.severity == "error"} == {2}


def test_steps_of_an_added_turn(tmp_path: Path) -> None:
    """Answer time, cue, time to turn, next question."""
    from pausewright.deliver.project import open_project  # noqa: PLC0415
    from pausewright.deliver.version import made_versions  # noqa: PLC0415

    script = written(tmp_path, LONG, "large: {label: B, basis: f, print: {size: 18 pt}}")
    (made,) = made_versions(open_project(script), ["large"])
    rows = [
        step.kind if isinstance(step, Wait) else step.role
        for step in made.steps
        if isinstance(step, Wait | Say)
    ]
    at = rows.index("page-turn-time")

    assert rows[at - 2 : at + 2] == ["answer-time", "cue", "page-turn-time", "question"]


def test_instructions_in_writing_look_like_the_sheet(tmp_path: Path) -> None:
    """They are for the same candidates: its paper and size, and never below 14 pt."""
    for name in ("large", "small"):
        (tmp_path / name).mkdir()
    _, _, folder = built(tmp_path / "large", LONG, 'size: 24 pt, paper: "A3"')
    _, _, other = built(tmp_path / "small", LONG, "size: 10 pt")
    large, small = (
        PdfReader(next(made.rglob("instructions_B_*.pdf"))).pages[0] for made in (folder, other)
    )

    assert (round(large.mediabox.width), round(large.mediabox.height)) == (842, 1191)
    assert _size(large) > _size(small) == 14


def _size(page: PageObject) -> int:
    """Return the size of the word "Listen" on a page, in points."""
    found: list[int] = []

    def look(text: str, to_page: Matrix, in_text: Matrix, _: object, size_pt: float) -> None:
        if "Listen" in text:
            found.append(round(abs(to_page[3] * in_text[3]) * size_pt))

    page.extract_text(visitor_text=look)
    (one,) = set(found)
    return one
