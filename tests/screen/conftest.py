"""What all tests of the screens share: one browser, and one short track with its pages."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from support.browser.screen_pages import LONG_OPENING, Made, browser, made

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Browser


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """Give one browser to all tests; each page has a profile of its own."""
    with browser() as found:
        yield found


@pytest.fixture(scope="package")
def built(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return the pages of the short track; nobody writes into its folder."""
    return made(tmp_path_factory.mktemp("screens"))


@pytest.fixture(scope="package")
def unhurried(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return the pages of the track that plays for long before it stops; nobody writes there."""
    return made(tmp_path_factory.mktemp("unhurried"), LONG_OPENING)


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with a file beside the tests, times and editions as signs.

    A change that is meant is written by deleting the file and running the test once.
    """
    folder = request.path.parent

    def compare(name: str, text: str) -> None:
        signs = {
            r"\d{4}-\d\d-\d\d": "DATE", r"\b\d\d:\d\d:\d\d\b": "CLOCK", r"\b\d\d:\d\d\b": "CLOCK",
            r"\b\d+:\d\d(\.\d)?\b": "TIME", r"edition [2-9A-Z]{6}": "edition EDITION",
            r"\b\d+(\.\d+)?( of \d+(\.\d+)?)? s\b": "LENGTH s", r"\b\d+ seconds?\b": "N seconds",
        }  # fmt: skip
        for pattern, sign in signs.items():
            text = re.sub(pattern, sign, text)
        file = folder / name
        if not file.is_file():
            file.write_text(text, encoding="utf-8")
        assert text == file.read_text("utf-8")

    return compare
