"""The desk in a real browser: the system's Chromium, let in as a person is, nowhere else."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from support.browser.pages import Look
from support.desks.client import way_in

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page


@contextlib.contextmanager
def desk_page(
    browser: Browser, folder: Path, look: Look | None = None, *, has_script: bool = True
) -> Iterator[Page]:
    """Give a page that was let in; what it asks elsewhere, or complains of, fails the test."""
    look = look or Look()
    port, key = way_in(folder)
    own = f"http://127.0.0.1:{port}/"
    complaints: list[str] = []
    context = browser.new_context(
        viewport={"width": look.width_px, "height": look.height_px},
        color_scheme="dark" if look.dark else "light",
        forced_colors="active" if look.forced_colours else "none",
        java_script_enabled=has_script,
    )
    try:
        context.set_default_timeout(60_000)
        page = context.new_page()
        page.on(
            "request",
            lambda asked: None if asked.url.startswith(own) else complaints.append(asked.url),
        )
        page.on(
            "console",
            lambda said: None if "409 (Conflict)" in said.text else complaints.append(said.text),
        )  # which the browser says of a text that was changed elsewhere
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(f"{own}open?key={key}")
        page.wait_for_url(own)
        yield page
        assert complaints == [], complaints
    finally:
        context.close()
