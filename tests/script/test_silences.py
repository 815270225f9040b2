"""One table of kinds of silence: complete, the same in docs and schemas, and without a need."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from pausewright.pages.strip import KINDS
from pausewright.script.silences import (
    AUTHORS,
    CANDIDATES,
    SILENCE_KINDS,
    SILENCES,
    SilenceKind,
    room_name,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parent.parent.parent
OLD_NAMES = ("page turn time", "time to turn the page", "pause (default)", "time to answer")
"""What single silences were called beside their names."""


def test_every_kind_has_one_row_and_a_name_of_its_own() -> None:
    """No kind is without a name, and no name means two kinds."""
    assert sorted(SILENCES) == sorted(get_args(SilenceKind))
    assert len({one.name for one in SILENCES.values()}) == len(SILENCES)
    assert {kind for kind, one in SILENCES.items() if one.stretches} == set(SILENCE_KINDS)
    assert set(SILENCES) - CANDIDATES - AUTHORS == {"hold"}


def test_no_name_in_the_room_tells_of_extra_time() -> None:
    """What candidates can read of a silence says nothing of a need."""
    assert not [kind for kind in SILENCES if "extra" in room_name(kind)]


def test_the_language_page_lists_the_table() -> None:
    """docs/script-language.md has a row for each kind, with its name and whose time it is."""
    text = (ROOT / "docs" / "script-language.md").read_text("utf-8")
    section = text.partition("### Kinds of silence")[2].partition("\n#")[0]
    rows = re.findall(r"^\| (.+?) \| `(.+?)` \| the (\w+)(’s|’) \|", section, re.MULTILINE)

    assert [row[:3] for row in rows] == [
        (one.name, kind, one.whose) for kind, one in SILENCES.items()
    ]
    assert re.findall(r"\| (yes|no) \|$", section, re.MULTILINE) == [
        "yes" if one.stretches else "no" for one in SILENCES.values()
    ]


def test_the_report_schema_knows_every_kind_that_the_check_tells_apart() -> None:
    """A report with any silence keeps to its schema; `default-pause` is the builder's alone."""
    file = ROOT / "pipeline" / "pausewright" / "checker" / "check_report.schema.json"
    found = [
        set(one) for one in _enums(json.loads(file.read_text("utf-8"))) if "answer-time" in one
    ]

    drawn = [one for one in found if "speech" in one]  # kinds of stretches of the strip
    assert len(found) == 3
    assert all(one == set(SILENCES) - {"default-pause"} for one in found if one not in drawn)
    assert drawn == [set(KINDS)]


def _enums(node: object) -> Iterator[list[str]]:
    if isinstance(node, dict):
        for name, value in node.items():
            if name == "enum":
                yield value
            yield from _enums(value)
    elif isinstance(node, list):
        for value in node:
            yield from _enums(value)


def test_no_other_name_is_left_in_code_or_docs() -> None:
    """One word a thing: what silences were called before stands nowhere."""
    files = [
        *(ROOT / "pipeline").rglob("*.py"),
        *(ROOT / "pipeline").rglob("*.js"),
        *(ROOT / "pipeline").rglob("*.jinja"),
        *(ROOT / "docs").glob("*.md"),
    ]
    files.remove(ROOT / "docs" / "vocabulary.md")  # it lists words that are not used
    for file in files:
        text = file.read_text("utf-8").lower()
        assert [name for name in OLD_NAMES if name in text] == [], file
