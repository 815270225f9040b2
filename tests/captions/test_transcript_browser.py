"""The transcript's page in a real browser: accessible in every colour scheme, whole on paper."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from pausewright.captions.transcript_page import transcript_page
from pausewright.plan.timeline import Mark
from support.browser.pages import Look, for_any_look, needs_browser, opened, overflow_px, violations
from support.tracks.sound_samples import laid_out, say, small_test, wait

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.plan.timeline import Step

pytestmark = needs_browser


@pytest.fixture(scope="module", params=[False, True], ids=["untimed", "timed"])
def page_file(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a page of a long test, with a word that no line holds: transcript, instructions."""
    steps: list[Step] = [*small_test(), Mark("part", f"Part {'unbrokenword' * 8}"), wait("2")]
    for _ in range(60):
        steps += [say("Listen once more and write the word that you hear.", speaker="Marta")]
        steps += [wait("2"), say("Stop.", speaker="Jo"), wait("2")]
    file = tmp_path_factory.mktemp("page") / "road_transcript.html"
    file.write_text(
        transcript_page(
            laid_out(steps), title="Road", language="en-GB", label="A", edition="K7M2",
            timed=request.param,
        ),
        encoding="utf-8",
    )  # fmt: skip
    return file


@for_any_look
def test_nothing_is_wrong_for_any_look(page_file: Path, look: Look) -> None:
    """axe-core finds nothing; nothing sticks out at 400 % zoom (WCAG 2.2, 1.4.10)."""
    with opened(page_file, look) as page:
        assert violations(page) == []
        assert overflow_px(page) <= 0


def test_more_space_between_letters_hides_nothing(page_file: Path) -> None:
    """With the spacing of WCAG 1.4.12 (CV-25) nothing sticks out."""
    with opened(page_file, Look(width_px=320)) as page:
        page.evaluate(
            """() => { for (const one of document.querySelectorAll('*')) {
                one.style.lineHeight = '1.5'; one.style.letterSpacing = '0.12em';
                one.style.wordSpacing = '0.16em'; } }"""
        )
        assert overflow_px(page) <= 0


def test_it_prints_on_a4_in_black_on_white(page_file: Path) -> None:
    """Every sheet of the PDF is A4, also from a dark screen."""
    with opened(page_file, Look(dark=True)) as page:
        pdf = page.pdf(prefer_css_page_size=True)
        page.emulate_media(media="print")
        assert page.locator(".note:visible").count() == 0
        colours = page.evaluate(
            "[document.documentElement, document.querySelector('.soft')].map("
            "one => getComputedStyle(one).color)"
        )
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)

    assert colours == ["rgb(0, 0, 0)", "rgb(0, 0, 0)"]
    assert 2 <= len(boxes) <= 6
    for width, height in boxes:
        assert float(width) == pytest.approx(210 / 25.4 * 72, abs=1)
        assert float(height) == pytest.approx(297 / 25.4 * 72, abs=1)
