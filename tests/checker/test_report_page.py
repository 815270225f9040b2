"""The report as a page: alone, safe from hostile names, and readable by numbers."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.checker.listen.waveform import COLUMNS, HEIGHT, WIDTH, waves
from pausewright.checker.report.page import as_page, write_page
from pausewright.checker.report.report import as_text
from pausewright.checker.result.delivered import Delivered, FileRow, delivered_tracks
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.proofs import Comparison, ExtraTimeProof
from pausewright.problems import OutputError, Place
from support.tracks.checker_tracks import SCRIPT, gap, index, laid, layout, worded, written

RATE_HZ = 16_000
HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(1)>&amp;{{ 7*7 }}</style>'
STYLE = Path(__file__).resolve().parents[2] / "pipeline/pausewright/pages/base.css"

if TYPE_CHECKING:
    Wave = np.ndarray


@pytest.fixture(scope="module")
def delivered(tmp_path_factory: pytest.TempPathFactory) -> Delivered:
    """Return a track with a short answer time at question 5 and a lost reading of question 2."""
    folder = tmp_path_factory.mktemp("track")
    items = layout()
    at = index(items, "answer 5")
    items[at] = gap("6")
    del items[index(items, "2", 2)]
    path = written(folder / "t.wav", laid(items, RATE_HZ), RATE_HZ)
    return delivered_tracks([check_track(path, worded(folder, SCRIPT), edition="T5A8TM")], [path])


class Reader(HTMLParser):
    """Collects tags and attributes, and complains of what is not closed."""

    def __init__(self, page: str) -> None:
        """Read a page."""
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep a tag, open unless it is void."""
        self.tags.append((tag, dict(attrs)))
        if tag not in {"meta", "br"}:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep a tag that closes itself."""
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """Close the tag that was opened last."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Keep the text."""
        self.text += data


def test_an_arrangement_is_proved_on_the_page_as_in_the_text(delivered: Delivered) -> None:
    """The line of proof and the comparison stand in text and page alike; on no blind page.

    The figures are those of the published example: 25 % of 5,400 s in 9 places (AA-04).
    """
    (room,) = delivered.rooms
    check = replace(
        room.checks[0],
        extra_time=ExtraTimeProof(
            Fraction(1350),
            Fraction(1350),
            Fraction(1_349_998, 1000),
            9,
            n_silences=9,
            n_unmeasured=0,
        ),
        comparison=Comparison("version A", 40, 38, 38, 25, Fraction(1), None, None),
    )
    proved = replace(delivered, rooms=(replace(room, checks=(check,)),))
    proof = (
        "entitled 1,350 s, given 1,350.000 s in 9 places (measured 1,349.998 s), none inside speech"
    )
    against = check.comparison.sentence if check.comparison else ""

    page = Reader(as_page(proved)).text
    assert f"extra time{proof}" in page
    assert f"compared{against}" in page
    text = " ".join(as_text(check).split())
    assert f"extra time: {proof}" in text
    assert f"compared: {against}" in text
    blind_page = Reader(as_page(proved, is_blind=True)).text
    assert "1,350" not in blind_page
    assert "version A" not in blind_page
    assert "extra time" not in Reader(as_page(delivered)).text


def test_the_page_stands_alone(delivered: Delivered) -> None:
    """No script, no address, nothing to load, and a policy that forbids it; ids are unique."""
    page = as_page(delivered)
    reader = Reader(page)
    names = {tag for tag, _ in reader.tags}
    attributes = {name for _, attrs in reader.tags for name in attrs}
    ids = [attrs["id"] for _, attrs in reader.tags if "id" in attrs]

    assert names & {"script", "link", "img", "iframe", "object", "form", "audio"} == set()
    assert attributes & {"src", "style", "srcset", "action", "data"} == set()
    assert not any(name.startswith("on") for name in attributes)
    assert "http:" not in page
    assert "https:" not in page
    assert set(re.findall(r"url\(.", page)) == {"url(#"}  # patterns of the page itself
    assert "default-src 'none'" in page
    assert len(ids) == len(set(ids))
    links = [attrs["href"] for tag, attrs in reader.tags if tag == "a"]
    assert links
    assert {str(link).removeprefix("#") for link in links} <= set(ids)
    assert dict(reader.tags)["html"]["lang"] == "en-GB"


def test_one_row_a_question_and_bars_where_a_time_is_off(delivered: Delivered) -> None:
    """Bars are as long as their times: 5 s declared of 8.5 s at most are 58.8 per cent.

    Question 2 lost its second reading and what follows it, question 5 has 6 s for 8.5 s.
    """
    page = as_page(delivered)
    table = page[page.index("<table") : page.index("</table>")]

    assert table.count('scope="row"') == 8
    declared = [float(w) for w in re.findall(r'"declared" x="0.5%" y="1" width="([\d.]+)%', table)]
    measured = [float(w) for w in re.findall(r'"measured" x="0.5%" y="1" width="([\d.]+)%', table)]
    assert declared == pytest.approx([100 * 5 / 8.5 - 1, 99], abs=0.01)
    assert measured == pytest.approx([0, 100 * 6 / 8.5 - 1], abs=0.3)
    assert table.count(">WRONG<") == 2
    assert table.count(">good<") == 6
    assert "Question 5" in table
    assert 'href="#finding-track-0-0-1">cause 2<' in table


def test_the_head_says_title_verdict_and_causes(delivered: Delivered) -> None:
    """Two faults were put in: two causes are named before anything else, each once."""
    page = as_page(delivered)
    head = Reader(page[page.index("<header>") : page.index("</header>") + len("</header>")])
    causes = [line.strip() for line in head.text.splitlines() if "question" in line]

    assert "<h1><bdi>Eight sums</bdi></h1>" in page
    assert "Not good: 2 errors, 0 warnings" in head.text
    assert causes == [
        "reading 2 of question 2 is not on the track",
        "the answer time of question 5, reading 2 is too short",
    ]


def test_every_waveform_is_behind_a_finding(delivered: Delivered) -> None:
    """Drawings stand inside <details> only, with a text for those who do not see them."""
    page = as_page(delivered)
    inside = "".join(re.findall(r"<details>.*?</details>", page, re.DOTALL))

    assert page.count('<svg class="wave"') == inside.count('<svg class="wave"') >= 2
    assert page.count('role="img" aria-labelledby') == page.count('<svg class="wave"')
    assert "<details open" not in page


def test_hostile_names_stay_text(delivered: Delivered) -> None:
    """A name of a file, a sentence or a hint cannot become markup, style or template."""
    (room,) = delivered.rooms
    (check,) = room.checks
    bad = Finding(
        "silence-short",
        "error",
        HOSTILE,
        HOSTILE,
        Fraction(1),
        check.rows[0].item,
        Place(Path(HOSTILE), 1, 1),
    )
    check = replace(
        check, track=HOSTILE, edition=HOSTILE, findings=(bad,), cautions=(HOSTILE,),
        versions={HOSTILE: HOSTILE}, version_label=HOSTILE,
    )  # fmt: skip
    room = replace(
        room, name=HOSTILE, version_label=HOSTILE, edition=HOSTILE, checks=(check,),
        files=(FileRow(HOSTILE, "changed", HOSTILE),), findings=(bad,), is_listed=True,
        cautions=(HOSTILE,),
    )  # fmt: skip
    hostile = Delivered((room,), (bad,), is_folder=True)
    page = as_page(hostile)
    blind = as_page(hostile, is_blind=True)

    assert {tag for tag, _ in Reader(page).tags} & {"script", "img"} == set()
    assert page.count("</style>") == 1
    assert page.count("{{ 7*7 }}") > 10
    assert "49" not in re.sub(r"[\d.]*\d[\d.]+", "", page)
    assert Reader(page).text.count("alert(1)</script>") > 10
    assert "alert" not in blind


def test_a_good_track_has_no_finding_to_open(tmp_path: Path) -> None:
    """With nothing found there is no link, no drawing and nothing to open."""
    path = written(tmp_path / "t.wav", laid(layout(), RATE_HZ), RATE_HZ)
    check = check_track(path, worded(tmp_path, SCRIPT), edition=None)
    page = as_page(delivered_tracks([check], [path]))

    assert check.is_good
    assert "Good: 0 errors, 0 warnings" in Reader(page).text
    assert "<nav" not in page
    assert '<svg class="wave"' not in page
    assert "Not heard by a person yet" in page


# ---- drawings --------------------------------------------------------------------------------


def test_a_drawing_shows_the_samples(tmp_path: Path) -> None:
    """1 s of a square wave at −20 dBFS from second 3 on: outline, place and lengths by hand."""
    samples = np.zeros(10 * 8000, dtype=np.float32)
    samples[3 * 8000 : 4 * 8000] = 0.1
    path = written(tmp_path / "t.wav", samples, 8000)
    finding = Finding(
        "sound-in-silence", "error", "", "", Fraction(3), measured=Fraction(1), unit="s"
    )
    wave = waves(path, [finding], -60.0)[0]

    assert (wave.start_s, wave.end_s) == (
        Fraction(1),
        Fraction(6),
    )  # 2 s around the place and its 1 s
    assert wave.place_x == WIDTH * 2 / 5
    assert wave.measured_width == WIDTH / 5
    assert wave.expected_width is None
    assert wave.threshold_y == HEIGHT * 60 / 80
    heights = [float(y) for y in re.findall(r"L[\d.]+ ([\d.]+)", wave.outline)][:-1:2]
    assert len(heights) == COLUMNS
    loud = [n for n, y in enumerate(heights) if y < HEIGHT]
    assert (loud[0], loud[-1] + 1) == (COLUMNS * 2 // 5, COLUMNS * 3 // 5)
    assert {heights[n] for n in loud} == {HEIGHT * 20 / 80}


def test_drawings_are_bounded(tmp_path: Path) -> None:
    """At most 60 places are drawn, a place at the very end too, and none without a place."""
    path = written(tmp_path / "t.wav", np.full(8000, 0.1, dtype=np.float32), 8000)
    at = [Finding("x", "error", "", "", Fraction(n, 80)) for n in range(81)]
    found = waves(path, [Finding("x", "error", "", ""), *at], None)

    assert sorted(found) == list(range(1, 61))
    assert waves(path, at[80:], None)[0].outline.endswith("Z")
    assert waves(path, [], None) == {}


# ---- files -----------------------------------------------------------------------------------


def test_only_a_report_is_written_over(tmp_path: Path) -> None:
    """A page replaces an older page; any other file of the user's is left alone."""
    page = tmp_path / "r.html"
    write_page('<meta name="generator" content="Pausewright check">1', page)
    write_page('<meta name="generator" content="Pausewright check">2', page)
    assert page.read_text("utf-8").endswith("2")

    page.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match="no report of a check"):
        write_page("x", page)
    with pytest.raises(OutputError, match=r"does not end in \.html"):
        write_page("x", tmp_path / "test.md")
    with pytest.raises(OutputError, match="cannot be written"):
        write_page("x", tmp_path / "nowhere" / "r.html")
    assert page.read_text("utf-8") == "mine"


# ---- colours ---------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour as #rrggbb, after WCAG 2.2's definition."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, after WCAG 2.2's definition."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_the_palette() -> None:
    """Text has 4.5:1 (WC-09: WCAG 1.4.3), lines and focus 3:1 (WCAG 1.4.11), on both papers."""
    style = STYLE.read_text("utf-8")
    palettes = [
        dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", block))
        for block in re.findall(r":root \{(.*?)\}", style, re.DOTALL)
    ]

    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    palettes = [palette for palette in palettes if palette]
    assert len(palettes) == 3  # forced colours are the system's own
    for palette in palettes:
        for paper in (palette["paper"], palette["quiet"]):
            for ink in ("ink", "soft", "good", "wrong", "warning"):
                assert contrast(palette[ink], paper) >= 4.5, (ink, palette[ink])
            assert contrast(palette["line"], paper) >= 3
            assert contrast(palette.get("focus", "#000000"), paper) >= 3
