"""The five sample scripts of the language's design, whole: read, built with a voice, checked."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import Options, build
from support.damage.slips import PLANTED, planted
from support.scripts.sample_sounds import SCRIPTS, lay_out

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built

NOTE = "::: staff-note\nKeep this.\n:::\n\n"
QUICK = {"d-dialogue.md", "e-music.md"}
"""Built at every change: voices and sounds of every kind; the others in the long set."""
TOTALS: dict[str, dict[str, int | Fraction]] = {
    "a-arithmetic.md": {
        "answer-time": 7 * 6 + 6 * 9 + 6 * 12 + 6 * 18,
        "between-readings": 25 * Fraction(3, 2),
        "hold": 20,
        "page-turn-time": 6,
    },
    "d-dialogue.md": {
        "answer-time": 120,
        "look-time": 70,
        "between-readings": 15 + 10 + 20,
        "page-turn-time": 5,
        "hold": 20,
    },
    "e-music.md": {
        "answer-time": 90 + 120 + 240,
        "look-time": 75,
        "between-readings": 20 + 30 + 60 + 10 + 10,
        "page-turn-time": 8,
    },
    "g-science.md": {
        "answer-time": 3 * 15 + 20,
        "between-readings": 4 * 3,
        "hold": 30,
    },
}
"""Seconds of candidates' silence and holds, added up by hand from the scripts."""


def test_there_are_five() -> None:
    """Sums, a dictation, a dialogue, music and science."""
    assert len(SCRIPTS) == 5


@dataclass(frozen=True)
class Sample:
    """A sample script with planted words in its keys and notes, built."""

    script: Path
    built: Built


@pytest.fixture(
    scope="module",
    params=[one if one in QUICK else pytest.param(one, marks=pytest.mark.long) for one in SCRIPTS],
)
def sample(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Sample:
    """Return a sample script, built once for all tests here, with its real voices."""
    folder = tmp_path_factory.mktemp("sample")
    script = lay_out(folder) / request.param
    noted = script.read_text(encoding="utf-8").replace("# Close", NOTE + "# Close")
    script.write_text(planted(noted), encoding="utf-8")
    assert PLANTED in script.read_text(encoding="utf-8")
    return Sample(script, build(script, Options(folder / "out")))


@pytest.mark.voice
def test_it_builds_and_passes_its_check(sample: Sample) -> None:
    """With recorded voices, sounds of several rates, mono and stereo in one test."""
    (check,) = sample.built.checks
    assert check.is_good
    found: dict[str, Fraction] = {row.kind: row.measured_s for row in check.totals}
    for kind, declared_s in TOTALS.get(sample.script.name, {}).items():
        assert abs(found[kind] - declared_s) < Fraction(3, 100), kind


@pytest.mark.voice
def test_planted_words_stay_in_confidential_files(sample: Sample) -> None:
    """Keys and staff notes: in nothing that the room or a candidate gets, names included."""
    delivered = sample.script.parent / "out" / sample.script.stem
    room = [*(delivered / "version-A").rglob("*"), *(delivered / "print/candidates").rglob("*")]

    assert len([file for file in room if file.is_file()]) >= 4
    for file in room:
        assert PLANTED not in str(file.relative_to(delivered))
        for encoded in ("utf-8", "utf-16-le", "utf-16-be"):
            assert not file.is_file() or PLANTED.encode(encoded) not in file.read_bytes()
