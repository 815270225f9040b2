"""What three hearings of a reading say against the paper: other words, other announcements."""

from __future__ import annotations

import pytest
from pausewright.alignment.phone_words import spoken_words
from pausewright.drafting.ears import HeardText, announced_otherwise, doubts_of


def heard(*texts: str) -> list[HeardText]:
    """Return texts as they are heard."""
    return [HeardText(text, spoken_words([text])[0]) for text in texts]


def doubts(said: str, *texts: str) -> list[str]:
    """Return what is told of a reading that is heard in several ways."""
    found = doubts_of(spoken_words([said])[0], (), heard(*texts), 0)
    return [one.sentence for one in found]


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (("delta sierra oscar",) * 3, ["on the paper “foxtrot”, heard “oscar”"]),
        (("delta sierra oscar", "delta sierra oscar", "delta sierra foxtrot"), []),
        (("delta sierra oscar", "delta sierra other", "delta sierra oscar"), []),
        (("delta sierra fox trot",) * 3, []),
        (("delta sierra foxtrots",) * 3, []),
    ],
    ids=["another word", "once as written", "never the same", "in two", "nearly the same"],
)
def test_another_word_in_all_hearings_is_told(texts: tuple[str, ...], told: list[str]) -> None:
    """What one hearing has as it is written, or what sounds like it, is the recogniser's fault."""
    assert doubts("delta sierra foxtrot", *texts) == told


def test_letters_are_passed_over() -> None:
    """A recogniser mistakes letters in all manners: "S" for "F" of an honest reading."""
    assert doubts("B S M Q E", *("B F M Q E",) * 3) == []


@pytest.mark.parametrize(
    ("texts", "is_told"),
    [
        (("number eleven", "number eleven forty five"), True),
        (("number four", "number eleven"), False),
        (("number for", "number for forty five"), False),
        (("forty five minus four", "number eleven"), False),
    ],
    ids=["another", "right once", "sounds alike", "not heard once"],
)
def test_another_announcement_is_told(texts: tuple[str, ...], *, is_told: bool) -> None:
    """Where every hearing has another number than the paper."""
    (announced,) = spoken_words(["number four"])
    assert bool(announced_otherwise(announced, heard(*texts), 0)) == is_told


def test_ten_for_teen_is_no_other_announcement() -> None:
    """No ear tells forty from fourteen."""
    (announced,) = spoken_words(["number forty"])
    assert announced_otherwise(announced, heard("number fourteen"), 0) == []


def test_a_number_is_compared_though_the_text_is_heard_twice() -> None:
    """A recogniser wrote "number two", then the question twice, in two of three hearings."""
    found = doubts(
        "twenty five plus ninety one equals",
        "twenty five plus eighteen equals",
        "twenty five plus eighteen equals twenty five plus eighteen equals",
        "twenty five plus eighteen equals twenty five plus eighteen equals",
    )
    assert found == ["on the paper “ninety one”, heard “eighteen”"]
