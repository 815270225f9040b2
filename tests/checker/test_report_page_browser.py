"""The report's page in a real browser: accessible in every colour scheme, by keys, on paper."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.check import check_track
from pausewright.checker.report.page import as_page
from pausewright.checker.result.delivered import FileRow, delivered_tracks
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.proofs import Comparison, ExtraTimeProof
from support.browser.pages import (
    Look,
    for_any_look,
    needs_browser,
    opened,
    overflow_px,
    small_targets,
    violations,
)
from support.tracks.checker_tracks import SCRIPT, gap, index, laid, layout, worded, written

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = needs_browser


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the full and the blind page of a folder with one damaged track."""
    folder = tmp_path_factory.mktemp("pages")
    items = layout()
    at = index(items, "answer 5")
    items[at] = gap("6")
    del items[index(items, "2", 2)]
    path = written(folder / "t.wav", laid(items, 16_000), 16_000)
    vtt = folder / "t.vtt"
    vtt.write_text("WEBVTT\n\n00:01.000 --> 00:09.000\nOther words\n", encoding="utf-8")
    check = check_track(path, worded(folder, SCRIPT), edition="T5A8TM", captions=[vtt])
    check = replace(
        check, track=f"{'a-long-name-without-a-blank-' * 4}.wav",
        extra_time=ExtraTimeProof(Fraction(1350), Fraction(1350), Fraction(1350), 9, 9, 0),
        comparison=Comparison("version A", 40, 38, 30, 25, Fraction(1), None, None),
    )  # fmt: skip
    delivered = delivered_tracks([check], [path])
    lost = Finding("file-missing", "error", "‘t.srt’ is not there", "copy it again")
    room = replace(
        delivered.rooms[0], name="version-A", is_listed=True, findings=(lost,),
        files=(FileRow("t.wav", "as listed", check.sha256), FileRow("t.srt", "missing", "")),
    )  # fmt: skip
    delivered = replace(delivered, rooms=(room,), is_folder=True)
    found = {}
    for name, is_blind in (("full", False), ("blind", True)):
        found[name] = folder / f"{name}.html"
        found[name].write_text(as_page(delivered, is_blind=is_blind), encoding="utf-8")
    return found


@for_any_look
def test_nothing_is_wrong_for_any_look(pages: dict[str, Path], look: Look) -> None:
    """axe-core finds nothing, closed and opened; targets are 24 px and nothing sticks out."""
    for file in pages.values():
        with opened(file, look) as page:
            if look == Look():
                assert violations(page) == []
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            assert violations(page) == []
            assert small_targets(page) == []
            assert overflow_px(page) <= 0


def test_everything_works_by_keys(pages: dict[str, Path]) -> None:
    """Tab reaches every link and finding in order, the focus is seen, Enter opens and closes."""
    with opened(pages["full"]) as page:
        n_targets = page.locator("a:visible, summary:visible").count()
        seen = []
        for _ in range(n_targets):
            page.keyboard.press("Tab")
            seen.append(
                page.evaluate(
                    "[document.activeElement.getBoundingClientRect().top + scrollY,"
                    " getComputedStyle(document.activeElement).outlineStyle,"
                    " parseFloat(getComputedStyle(document.activeElement).outlineWidth),"
                    " document.activeElement.tagName]"
                )
            )
        assert {one[3] for one in seen} == {"A", "SUMMARY"}
        assert [one[0] for one in seen] == sorted(one[0] for one in seen)
        assert all(one[1] == "solid" and one[2] >= 2 for one in seen)

        first = page.locator("details:has(.opened figure) > summary").first
        figure = page.locator(".opened figure").first
        first.focus()
        assert not figure.is_visible()
        page.keyboard.press("Enter")
        assert figure.is_visible()
        page.keyboard.press("Space")
        assert not figure.is_visible()

        page.locator("nav a").last.focus()
        page.keyboard.press("Enter")
        assert page.evaluate("scrollY") > 0


def test_more_space_between_letters_hides_nothing(pages: dict[str, Path]) -> None:
    """With the spacing of WCAG 1.4.12 (CV-25) no text is cut off and nothing sticks out."""
    with opened(pages["full"], Look(width_px=320)) as page:
        page.evaluate(
            """() => { for (const one of document.querySelectorAll('*')) {
                one.style.lineHeight = '1.5'; one.style.letterSpacing = '0.12em';
                one.style.wordSpacing = '0.16em'; }
                for (const one of document.querySelectorAll('p')) {
                    one.style.marginBottom = '2em'; } }"""
        )
        assert overflow_px(page) <= 0


def test_the_print_fits_on_a4_and_says_what_to_do(pages: dict[str, Path], tmp_path: Path) -> None:
    """The PDF has A4 pages; on paper the closed findings show their numbers, no drawings."""
    with opened(pages["full"]) as page:
        pdf = page.pdf(prefer_css_page_size=True)
        page.emulate_media(media="print")
        assert page.locator(".opened .numbers").first.is_visible()
        assert not page.locator(".opened figure").first.is_visible()
        assert page.locator("nav").is_visible()  # the causes in the head
        assert page.locator(".strip-line").first.is_visible()
    (tmp_path / "page.pdf").write_bytes(pdf)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)

    assert 1 <= len(boxes) <= 6
    for width, height in boxes:
        assert float(width) == pytest.approx(210 / 25.4 * 72, abs=1)
        assert float(height) == pytest.approx(297 / 25.4 * 72, abs=1)


def test_no_head_of_a_table_stays_alone_at_the_foot_of_a_sheet(pages: dict[str, Path]) -> None:
    """On paper nothing may break between a heading, a caption, a head and the first row.

    Of 60 prints, each with the tables 16 px lower, 19 had a head alone at the foot before this
    rule, and none with it (text of the PDFs, read with pypdfium2).
    """
    with opened(pages["full"]) as page:
        page.emulate_media(media="print")
        for place in ("h2", "h3", "caption", "thead", "thead tr"):
            kept = page.locator(place).evaluate_all(
                "all => all.map(one => getComputedStyle(one).breakAfter)"
            )
            assert kept
            assert set(kept) == {"avoid"}, place
        first = page.locator("thead + tbody")
        assert first.count() >= 2
        assert set(first.evaluate_all("all => all.map(x => getComputedStyle(x).breakBefore)")) == {
            "avoid"
        }


def test_the_rows_are_a_table_for_screen_readers_at_any_width(pages: dict[str, Path]) -> None:
    """Rows and headers keep their roles where the table is laid out as blocks."""
    for look in (Look(), Look(width_px=320)):
        with opened(pages["full"], look) as page:
            table = page.get_by_role("table").first
            assert table.get_by_role("row").count() >= 9
            assert table.get_by_role("rowheader", name="Question 5").count() == 1
            assert table.get_by_role("columnheader", name="declared").count() == 1
