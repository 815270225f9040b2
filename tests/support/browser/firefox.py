"""A page in Firefox ESR: driven by puppeteer-core over WebDriver BiDi, an open W3C draft.

Playwright drives only a Firefox of its own making, which would have to be downloaded. `.ci/run`
installs Firefox, Node and puppeteer-core; without them tests are skipped with the reason.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from typing import TYPE_CHECKING, Any

import pytest

from support.browser.screen_modules import NODE
from support.places import TESTS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

DRIVER = TESTS / "firefox" / "drive.mjs"
NAMES = ("firefox-esr", "firefox")
FIREFOX = next((found for name in NAMES if (found := shutil.which(name))), None)

needs_firefox = [
    pytest.mark.skipif(FIREFOX is None, reason="no Firefox on this machine: install firefox-esr"),
    pytest.mark.skipif(NODE is None, reason="no Node on this machine: install nodejs"),
    pytest.mark.skipif(
        not (DRIVER.parent / "node_modules").is_dir(),
        reason="puppeteer-core is missing: npm ci in tests/firefox",
    ),
    pytest.mark.timeout(600),
]
"""For `pytestmark`: skips where Firefox, Node or puppeteer-core is missing."""

LIGHT: Mapping[str, int] = {"layout.css.prefers-color-scheme.content-override": 1}
DARK: Mapping[str, int] = {"layout.css.prefers-color-scheme.content-override": 0}
FORCED: Mapping[str, int] = {"browser.display.document_color_use": 2}
"""Firefox's own preferences for what a system or a person sets."""


def in_firefox(
    page: Path,
    scripts: Sequence[tuple[str, str, object]],
    folder: Path,
    prefs: Mapping[str, int] = LIGHT,
) -> dict[str, Any]:
    """Return what scripts give in a page, by their names, with `version` and `complaints`.

    Parameters
    ----------
    page : a file
    scripts : name, a function in JavaScript, what it is given
    folder : for the job's file
    prefs : preferences of Firefox
    """
    job = {
        "firefox": FIREFOX,
        "page": page.resolve().as_uri(),
        "prefs": {"media.autoplay.default": 0, **prefs},
        "scripts": scripts,
    }
    file = folder / "job.json"
    file.write_text(json.dumps(job), encoding="utf-8")
    done = subprocess.run(
        [str(NODE), str(DRIVER), str(file)], capture_output=True, encoding="utf-8", check=False,
        timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found
