"""What stands behind the damaged scripts of tests/support/fuzz: planted words, damage by seeds."""

from __future__ import annotations

from pathlib import Path

from pausewright.script.reader import read
from support.damage.slips import KINDS, PLANTED, damages, heard_and_shown, planted, sheets

DEMO = Path(__file__).parents[2] / "demo_scripts"
FILES = sorted(DEMO.glob("*.md"))
WIDE = Path(__file__).parents[1] / "cases" / "wide.md"
"""A script that holds every construct of the language, those not built yet included."""


def test_scripts_are_found_and_planted() -> None:
    """The scripts to be damaged are there and hold planted words in keys and staff notes."""
    assert len(FILES) >= 3
    n_planted = 0
    for file in (*FILES, WIDE):
        text = planted(file.read_text(encoding="utf-8"))
        reading = read(file, text)
        errors = [p for p in reading.problems if p.severity == "error"]

        assert errors == []
        assert PLANTED in text
        n_planted += text.count(PLANTED)
        assert PLANTED not in heard_and_shown(reading.script) + sheets(reading.script)
    assert n_planted >= 80


def test_the_same_seed_gives_the_same_damage() -> None:
    """Damage can be repeated by its seed, and every kind of it comes up."""
    text = "One.\n\nTwo.\n"
    found = list(damages(text, 5, 200))

    assert found == list(damages(text, 5, 200))
    assert {kind for kind, _ in found} == set(KINDS)
