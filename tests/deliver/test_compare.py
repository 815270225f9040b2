"""Versions side by side: as text, as data and as a page."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.compare_page import compare_page
from pausewright.deliver.comparison import compare, compare_data, compare_text
from pausewright.deliver.output_folder import write_new_text
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.problems import OutputError
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.comparison import Column

VERSIONS = """
quarter: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
"<lump>": {label: C, basis: f, extra-time: 90 s, where: fixed-and-remainder, fixed-pause: 20 s,
  extra-words: "You have {time} more."}
slower: {label: D, basis: f, pace: 80 %, readings: 3}
"""


def columns(folder: Path) -> tuple[Column, ...]:
    """Return the comparison of four versions, built or not."""
    script = written(folder, SMALL, VERSIONS)
    made = options(folder)
    project = open_project(script, made.profiles)
    return compare(project, made_versions(project), made)


def test_figures_are_those_of_the_plan(tmp_path: Path) -> None:
    """Lengths of silence, what is added and its sum stand side by side."""
    a, b, c, d = columns(tmp_path)

    assert [one.label for one in (a, b, c, d)] == ["A", "B", "C", "D"]
    assert a.silences_s["answer-time"] == Fraction(17, 2)
    assert b.answer_s == Fraction(17, 2) * Fraction(5, 4)
    assert c.sum_text == "2 × 20 s + 50 s = 90 s"
    assert c.silences_s["extra-time"] == 50
    assert [(int(p.added_s), p.is_one_piece) for p in c.places] == [
        (20, False),
        (20, False),
        (50, True),
    ]
    assert dict(c.groups_s) == {"Test / First": 26, "Test / Second": Fraction(45, 2) + 50}
    assert (d.pace, d.readings) == ("80 %", "3")
    assert d.silences_s["between-readings"] == 2 * a.silences_s["between-readings"]
    assert not any(one.is_current for one in (a, b, c, d))


def test_what_must_be_heard_anew(tmp_path: Path) -> None:
    """What a version says and the standard track does not is named, else that all is slower."""
    _, b, c, d = columns(tmp_path)

    assert b.own_words == ("You have seven and a half seconds.",)
    assert c.own_words == ("You have twenty-six seconds.", "You have fifty seconds more.")
    assert d.own_words == ()
    assert d.n_own_sounds > 5
    assert "every sentence" in compare_text("T", "E", [d])


def test_after_building_lengths_are_exact(tmp_path: Path) -> None:
    """Before a build lengths are estimates and say so; after it they are those of the tracks."""
    before = columns(tmp_path)
    assert "about" in compare_text("T", "E", before)
    made = options(tmp_path, formats=("mp3",))
    built = build_versions(tmp_path / "tide.md", made)
    assert {one.label for one in built} == {"A", "B", "C", "D"}
    project = open_project(tmp_path / "tide.md", made.profiles)
    after = compare(project, made_versions(project), made)

    assert all(one.is_current for one in after)


@pytest.mark.parametrize(
    "changes",
    [
        {"formats": ("wav",)},
        {"formats": ("flac", "mp3")},
        {"screen": "inline"},
        {"split_at_stops": True},
    ],
)
def test_a_build_is_current_whatever_was_asked_for(
    changes: dict[str, object], tmp_path: Path
) -> None:
    """Other formats, screens and pieces are no other version; another script is."""
    columns(tmp_path)
    script = tmp_path / "tide.md"
    made = options(tmp_path)
    build_versions(script, replace(made, **changes), ["standard"])  # type: ignore[arg-type]

    def current() -> list[bool]:
        project = open_project(script, made.profiles)
        return [one.is_current for one in compare(project, made_versions(project), made)]

    assert current() == [True, False, False, False]
    script.write_text(script.read_text("utf-8").replace("Listen", "Now listen"), "utf-8")
    assert not any(current())


def test_as_data(tmp_path: Path) -> None:
    """The JSON holds exact times as text."""
    plain = compare_data("T", "E", columns(tmp_path))
    data = json.loads(json.dumps(plain))

    assert data == plain
    assert [v["entitled_s"] for v in data["versions"]] == ["0", "2.125", "90", "0"]
    assert data["versions"][1]["sum"] == "2.125 s (2 gaps) = 25 % of 8.5 s"


class _Page(HTMLParser):
    """Counts tags and holds text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not {"src", "href", "onclick"} & {name for name, _ in attrs}
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_page_stands_alone(tmp_path: Path) -> None:
    """No script, picture or address; every name escaped; one bar a version on one axis."""
    page = compare_page("A & B", "E", "en-GB", columns(tmp_path))
    read = _Page()
    read.feed(page)

    assert read.open == []
    assert "script" not in read.tags
    assert "http:" not in page
    assert "https:" not in page
    assert "A &amp; B" in page
    assert "&lt;lump&gt;" in page
    assert "<lump>" not in page
    assert "Confidential" in read.text
    assert page.count('class="bar"') == 4
    bars = [bar.split("</svg>")[0] for bar in page.split('class="bar"')[1:]]
    ends = [
        [
            float(x) + float(width)
            for x, width in re.findall(r'x="([0-9.]+)%" y="\d+" width="([0-9.]+)%"', bar)
        ]
        for bar in bars
    ]
    assert all(0 < end <= 100.01 for of_bar in ends for end in of_bar)
    assert max(end for of_bar in ends for end in of_bar) == pytest.approx(100, abs=0.1)
    for kind in ("answer time", "extra time in one piece", "silence between readings"):
        assert f'<th role="rowheader" scope="row">{kind}</th>' in page


def test_a_page_is_never_written_over_another_file(tmp_path: Path) -> None:
    """Only an earlier comparison is replaced."""
    page = compare_page("T", "E", "en-GB", columns(tmp_path))
    file = tmp_path / "compare.html"
    write_new_text(file, page)
    write_new_text(file, page)
    file.write_text("mine", "utf-8")

    with pytest.raises(OutputError, match="left as it is"):
        write_new_text(file, page)
    assert file.read_text("utf-8") == "mine"
