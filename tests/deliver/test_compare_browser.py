"""The comparison's page in a real browser: accessible in every colour scheme, at any width."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.compare_page import compare_page
from pausewright.deliver.comparison import Column
from support.browser.pages import Look, for_any_look, needs_browser, opened, overflow_px, violations

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = needs_browser


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a page of six versions, one with a name that no line holds."""
    columns = [
        Column(
            label=label,
            name="an-arrangement-without-a-blank-" * 3 if label == "C" else "extra",
            length_s=Fraction(600 + 40 * n),
            is_exact=n > 0,
            silences_s={"answer-time": Fraction(200), "hold": Fraction(30 * n)},
            groups_s=(("Sums", Fraction(120)),),
            places=(),
            entitled_s=Fraction(40 * n),
            sum_text="",
            share_readings=None,
            pace="100 %",
            readings="2",
            captions="instructions",
            is_current=True,
            own_words=(),
            n_own_sounds=0,
        )
        for n, label in enumerate("ABCDEF")
    ]
    file = tmp_path_factory.mktemp("page") / "compare.html"
    file.write_text(compare_page("Boats", "K7M2QX", "en-GB", columns), encoding="utf-8")
    return file


@for_any_look
def test_nothing_is_wrong_for_any_look(page_file: Path, look: Look) -> None:
    """axe-core finds nothing and nothing sticks out; the policy allows no style but its own."""
    with opened(page_file, look) as page:
        assert violations(page) == []
        assert overflow_px(page) <= 0
    assert "unsafe-inline" not in page_file.read_text("utf-8")


def test_bars_are_to_scale_and_told_apart_without_colour(page_file: Path) -> None:
    """800 s are the axis: 600 s of version A end at three quarters; extra time has a pattern."""
    with opened(page_file, Look(forced_colours=True)) as page:
        bars = page.locator("svg.bar")
        assert bars.count() == 6
        width = bars.first.bounding_box()
        solid, hollow = (bars.first.locator("rect").nth(n).bounding_box() for n in (0, 1))
        assert width is not None
        assert solid is not None
        assert hollow is not None
        assert solid["width"] / width["width"] == pytest.approx(400 / 800, abs=0.01)
        end = hollow["x"] + hollow["width"] - width["x"]
        assert end / width["width"] == pytest.approx(600 / 800, abs=0.01)
        assert page.locator('rect[fill="url(#slanted)"]').count() >= 5
