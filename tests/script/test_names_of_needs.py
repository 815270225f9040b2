"""Names that the room can read must not tell a candidate's need."""

from pathlib import Path

import pytest
from pausewright.script.reader import read
from support.scripts.short_scripts import SMALL


def _warned(folder: Path, text: str) -> list[str]:
    problems = read(folder / "t.md", text).problems
    return [p.message for p in problems if p.code == "name-tells-need"]


@pytest.mark.parametrize(
    "name",
    ["Extra time", "Test (25 % more)", "For deaf candidates", "SEN version", "Version +25 %"],
)
@pytest.mark.parametrize("place", ["title: Harbour morning", "# Test", "## First"])
def test_a_name_that_tells_a_need_is_warned_of(tmp_path: Path, name: str, place: str) -> None:
    """Title, part and group are each looked at."""
    head = (
        place.split("Harbour", maxsplit=1)[0]
        .split("Test", maxsplit=1)[0]
        .split("First", maxsplit=1)[0]
    )
    value = f'"{name}"' if place.startswith("title") else name
    assert len(_warned(tmp_path, SMALL.replace(place, head + value, 1))) == 1


def test_ordinary_names_are_not(tmp_path: Path) -> None:
    """Words that only look alike pass."""
    text = SMALL.replace("# Test", "# The sender of the blinding light, 25 % of 80", 1)
    assert _warned(tmp_path, text) == []
