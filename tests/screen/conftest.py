"""What all tests of the screens share: one browser, and one short track with its pages."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from support.browser.screen_pages import Made, browser, made

if TYPE_CHECKING:
    from collections.abc import Iterator

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
