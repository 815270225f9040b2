"""One desk for all tests that only look or are refused; each test that changes much has its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from support.browser.pages import launched
from support.desks.client import let_in, started
from support.desks.folder import Place, lay_out
from support.desks.made import made_place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """Return an open desk on a folder of tests, and a browser that was let in."""
    folder = tmp_path_factory.mktemp("desk") / "tests"
    folder.mkdir()
    lay_out(folder)
    with started(folder) as process:
        yield Place(folder, process, let_in(folder))


@pytest.fixture(scope="package")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """Return an open desk on a test that is made. Rooms may be laid out; its words stay."""
    with made_place(tmp_path_factory.mktemp("made") / "tests") as place:
        yield place


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """Return a browser of the system; each test has a profile of its own in it."""
    found = launched()
    yield found
    found.close()
