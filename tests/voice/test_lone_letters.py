"""Capitals that stand alone are said by their names, and not as Roman numerals."""

from __future__ import annotations

from string import ascii_uppercase

import pytest
from pausewright.voice.engine import Request
from pausewright.voice.hibari import HibariEngine, Prepared
from pausewright.voice.voice_list import bundled_profiles
from pausewright.wording.line_elements import SpokenPart


@pytest.fixture(scope="module")
def engine() -> HibariEngine:
    """Return the second bundled voice."""
    return HibariEngine(bundled_profiles()["iris"])


def symbols(engine: HibariEngine, text: str) -> str:
    """Return what the voice would sound for a text."""
    prepared = engine.prepare(Request((SpokenPart(text),), "en-US", 0.7, 1))
    assert isinstance(prepared, Prepared)
    return " ".join(prepared.pieces)


@pytest.mark.voice
@pytest.mark.parametrize("before", ["Part", "Chapter", "Section", "Class", "Level"])
def test_each_letter_has_its_name(engine: HibariEngine, before: str) -> None:
    """Behind words that numerals follow, every letter but A and I is as it is by itself."""
    for letter in set(ascii_uppercase) - {"A", "I"}:
        name = symbols(engine, letter).rstrip(".")
        assert symbols(engine, f"{before} {letter}, please.").split()[1] == f"{name},"


@pytest.mark.voice
def test_letters_inside_words_are_left_alone(engine: HibariEngine) -> None:
    """The article, abbreviations and names with an apostrophe are as before."""
    assert symbols(engine, "A pen").startswith("ɐ")
    assert symbols(engine, "plan B’s end") == symbols(engine, "plan B's end")
