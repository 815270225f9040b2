"""What was read of a text is used again for equal texts in equal ways, each time at its place."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.problems import Place, Problems
from pausewright.script.settings.settings_reader import settings_from
from pausewright.wording import kept_readings
from pausewright.wording.text import TextReader

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.problems import Problem
    from pausewright.wording.kept_readings import Spoken, Where

FILE = Path("one.md")


def at_line(line: int) -> Where:
    """Return what gives the places of a text that is alone on a line."""
    return lambda offset, n_signs: Place(FILE, line, 1 + offset, max(1, n_signs))


def read(
    text: str, where: Where, chosen: Mapping[str, str] | None = None
) -> tuple[Spoken, tuple[Problem, ...]]:
    """Return what is said of a text, and its problems."""
    problems = Problems()
    reader = TextReader(settings_from(FILE, "en-GB", chosen or {}), problems)
    return reader.read(text, "en-GB", "joe", where), problems.all


def test_problems_stand_at_the_place_of_each_text() -> None:
    """Of doubts and a sign without words; the second time nothing is walked."""
    text = "Look at 10-12 and ☃ and lead, and 7-9 here."
    kept_readings.forget_readings()

    first, found = read(text, at_line(3))
    second, again = read(text, at_line(40))

    assert second is first
    assert len(found) >= 2
    assert again == tuple(replace(one, place=replace(one.place, line=40)) for one in found)


def test_a_place_of_another_length_is_read_anew() -> None:
    """A hint depends on whether the words have a place of their own, or one with others."""
    text = "Look at ☃ here."
    kept_readings.forget_readings()
    _, found = read(text, at_line(3))
    _, whole = read(text, lambda _offset, _n_signs: Place(FILE, 3, 1, len(text)))

    assert found[0].hint != whole[0].hint
    kept_readings.forget_readings()
    assert whole == read(text, lambda _offset, _n_signs: Place(FILE, 3, 1, len(text)))[1]


def test_other_ways_of_reading_are_other_readings() -> None:
    """What the settings choose is part of what is asked for."""
    text = "It is 0.5 here."
    kept_readings.forget_readings()

    said = [read(text, at_line(1), {"zero": one})[0].words for one in ("nought", "zero", "nought")]

    assert said[0] == said[2] != said[1]


def test_what_is_kept_does_not_grow_without_end() -> None:
    """Texts are forgotten together, and long ones are never kept."""
    problems = Problems()
    reader = TextReader(settings_from(FILE, "en-GB", {}), problems)
    kept_readings.forget_readings()
    reader = TextReader(reader.settings, problems)
    most = kept_readings._MOST_TEXTS
    for n in range(most):
        reader.ways.keep(
            (f"text {n}", "en-GB", "joe"),
            kept_readings.Kept(reader.read("a", "en-GB", "joe", at_line(1))),
        )
    assert len(reader.ways.texts) <= most
    reader.read("word " * 400, "en-GB", "joe", at_line(1))
    assert all(len(text) <= kept_readings._MOST_SIGNS for text, _, _ in reader.ways.texts)
