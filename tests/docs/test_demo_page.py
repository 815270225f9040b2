"""docs/demo-tests.md is what its script writes, and says nothing that the scripts do not hold."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import make_demo_page
import pytest
from pausewright.script.reader import read_script
from support.scripts.demo_scripts import SCRIPTS

if TYPE_CHECKING:
    from pathlib import Path


def test_the_page_is_up_to_date() -> None:
    """Descriptions and outlines on the page are those of today's scripts."""
    kept = make_demo_page.PAGE.read_text(encoding="utf-8")

    assert kept == make_demo_page.page(), "run: python scripts/make_demo_page.py"


def test_each_demo_is_described() -> None:
    """Every script has a description, and no description is left over."""
    assert sorted(make_demo_page.DEMOS) == [script.stem for script in SCRIPTS]


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_what_a_demo_is_said_to_show_stands_in_it(script: Path) -> None:
    """Everything in backquotes is found in the script or in what it includes."""
    text = "\n".join(read_script(script).sources.values())
    said = [code for one in make_demo_page.DEMOS[script.stem].shows for code in _codes(one)]

    assert said
    assert [code for code in said if code not in text] == []


def _codes(sentence: str) -> list[str]:
    return re.findall(r"`([^`]+)`", sentence)
