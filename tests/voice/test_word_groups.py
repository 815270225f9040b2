"""Words that are pronounced as one, and one word pronounced as several."""

from __future__ import annotations

import pytest
from pausewright.voice.word_groups import matched, shared, written_words
from pausewright.wording.line_elements import SpokenPart


@pytest.mark.parametrize(
    ("groups", "alone", "pieces"),
    [
        (["wʌn", "ʌvðə", "bəʊts"], ["wʌn", "ɒv", "ðə", "bəʊts"], [(1, 1), (1, 2), (1, 1)]),
        (["duːnɒt", "ɹaɪt"], ["duː", "nɒt", "ɹaɪt"], [(1, 2), (1, 1)]),
        (["juː", "ɛs", "biː", "stɪk"], ["juːɛsbiː", "stɪk"], [(3, 1), (1, 1)]),
        (["ɒnðə", "lɛft"], ["ɒn", "ðə", "lɛft"], [(1, 2), (1, 1)]),
        (["a"], ["a"], [(1, 1)]),
        ([], [], []),
    ],
)
def test_the_likeliest_division(
    groups: list[str], alone: list[str], pieces: list[tuple[int, int]]
) -> None:
    """Pronunciations as espeak-ng gives them, divided by hand."""
    assert matched(groups, alone) == pieces


def test_no_division() -> None:
    """Six words cannot be one group, nor words without sounds."""
    assert matched(["abcdef"], list("abcdef")) is None
    assert matched([], ["a"]) is None


def test_time_is_shared_by_sounds() -> None:
    """Two words of one and three sounds share 400 samples as 100 and 300; groups are joined."""
    assert shared([(0, 400), (500, 600), (650, 900)], [(1, 2), (2, 1)], ["a", "bcd", "ef"]) == (
        (0, 100),
        (100, 400),
        (500, 900),
    )


def test_words_as_written() -> None:
    """A word may be made of parts; a mark alone is none, whoever brings it."""
    spoken = (
        SpokenPart("Say the "), SpokenPart("ˈlæntən", is_ipa=True), SpokenPart("s now – and"),
        SpokenPart(" ˈaɪ ɑː", is_ipa=True), SpokenPart(" ."),
    )  # fmt: skip
    words = [[part.text for part in word] for word in written_words(spoken)]

    assert words == [["Say"], ["the"], ["ˈlæntən", "s"], ["now"], ["and"], ["ˈaɪ"], ["ɑː"]]
