"""Tracks that end early, or lack some questions in a row: one run of missing sounds, well named."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.checker.expect.expect import expect
from pausewright.checker.match.match import match
from pausewright.wording.line_elements import Utterance
from support.tracks.checker_tracks import Gap, Item, Say, gap, index, laid, worded, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.match import Matching
    from pausewright.checker.result.findings import CheckResult
    from pausewright.wording.worded import Worded
    from support.tracks.checker_tracks import Wave

RATE = 16_000
NAMES = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven"),
    *("twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
    *("twenty", "twenty-one", "twenty-two", "twenty-three", "twenty-four"),
)
QUESTIONS = (
    "Add four and nine.",
    "How many corners have five triangles?",
    "A jug holds two litres; how many glasses of a quarter of a litre does it fill?",
    "What is left of eighty if you take away thirty-three?",
    "Halve ninety.",
    "Which is longer, a yard or a metre?",
    "Write the number that is one less than five thousand.",
    "Six boxes hold twelve pears each: how many pears are there altogether?",
    "Name a factor of thirty-five.",
    "How many seconds are there in four and a half minutes?",
    "Multiply seven by itself.",
    "A train leaves at noon and travels for three hours and ten minutes: when does it arrive?",
    "What is a tenth of four hundred?",
    "How many grams are there in three kilograms?",
    "Round six hundred and forty-eight to the nearest ten, and write down your answer.",
    "Subtract nineteen from one hundred.",
    "Is thirty-nine prime?",
    "How much change do you get from ten pounds if you spend six pounds and forty pence?",
    "Write two fifths as a decimal.",
    "The sides of a square are eleven metres long; how far is it all the way round?",
    "Double two hundred and sixty.",
    "What is the next odd number after one hundred and nine?",
    "Share fifty-four equally between six.",
    "How many days are there in eleven weeks?",
)
HEAD = """---
title: Twenty-four sums
language: en-GB
readings: 2
between-readings: 1.5 s
announce: "Number {number}."
announcement-pause: 0.8 s
loudness: -22.5 LUFS
answer-time: 3 s
---

Listen well.

"""


def layout() -> list[Item]:
    """Return the layout of a good track, worked out by hand."""
    items: list[Item] = [gap("0.5"), Say("Listen well."), gap("0.8")]
    for number, (name, words) in enumerate(zip(NAMES, QUESTIONS, strict=True), 1):
        items += [
            Say(f"Number {name}.", f"n{number}"),
            gap("0.8"),
            Say(words, str(number)),
            gap("1.5"),
            Say(words, str(number)),
            gap("3", f"answer {number}"),
        ]
    return [*items, Say("The sums are over.", "end"), gap("1")]


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Worded:
    """Return the worded script of all tests here."""
    items = "".join(f"{n}. {words}\n" for n, words in enumerate(QUESTIONS, 1))
    return worded(tmp_path_factory.mktemp("script"), f"{HEAD}{items}\nThe sums are over.\n")


@pytest.fixture(scope="module")
def wave() -> Wave:
    """Return the samples of a good track."""
    return laid(layout(), RATE)


def lost(result: CheckResult) -> list[str]:
    """Return the labels of the questions that are missing whole."""
    return [str(f.question) for f in result.findings if f.code == "question-missing"]


def start_of(tag: str, nth: int = 1) -> int:
    """Return the first sample of a sound of the good track."""
    return len(laid(layout()[: index(layout(), tag, nth)], RATE))


CUTS = (
    ("2", 1, 0.3, "2"),
    ("3", 2, 1.2, "3"),
    ("answer 5", 1, 1.0, "5"),
    ("n9", 1, 0.3, "9"),
    ("12", 1, 2.0, "12"),
    ("answer 18", 1, 2.9, "18"),
    ("23", 2, 0.5, "23"),
)
"""Where the file is cut: item, its number, seconds after its start; question that it ends in."""


@pytest.mark.parametrize(("tag", "nth", "after_s", "question"), CUTS, ids=[c[0] for c in CUTS])
def test_a_track_that_ends_early(
    tag: str, nth: int, after_s: float, question: str, script: Worded, wave: Wave, tmp_path: Path
) -> None:
    """Wherever a file is cut, one finding names the question, and all that follow are missing."""
    end = start_of(tag, nth) + int(after_s * RATE)

    result = check_track(written(tmp_path / "t.wav", wave[:end], RATE), script, edition=None)

    (finding,) = [f for f in result.findings if f.code == "track-ends-early"]
    number = int(question)
    assert "other-words" not in {f.code for f in result.findings}
    assert str(finding.question) == question
    assert abs(float(finding.at_s or 0) - end / RATE) < 3.1  # not later than its answer time
    assert lost(result) == [str(n) for n in range(number + 1, 25)]
    assert [row.readings_found for row in result.rows[: number - 1]] == [2] * (number - 1)
    assert [row.readings_found for row in result.rows[number:]] == [0] * (24 - number)


def without_three(first: int, script: Worded, folder: Path) -> CheckResult:
    """Return what the check says of a track without three questions in a row."""
    items = layout()
    start, end = index(items, f"n{first}"), index(items, f"answer {first + 2}") + 1
    track = written(folder / "t.wav", laid(items[:start] + items[end:], RATE), RATE)
    return check_track(track, script, edition=None)


@pytest.mark.parametrize("first", [1, 3, 9, 19, 20])
def test_a_lost_block_of_three(first: int, script: Worded, tmp_path: Path) -> None:
    """Three questions that are missing in the middle are named, and no others are touched."""
    result = without_three(first, script, tmp_path)

    assert lost(result) == [str(n) for n in range(first, first + 3)]
    assert [f.code for f in result.findings] == ["question-missing"] * 3
    assert sum(row.is_good for row in result.rows) == 21


@pytest.mark.parametrize("first", [4, 15])
def test_a_lost_block_beside_questions_as_long(first: int, script: Worded, tmp_path: Path) -> None:
    """Where the next question is as long as the first lost one, the run is three, one off at most.

    Questions 4 and 7, and 15 and 18, are equally long: the check has no ear for which it hears.
    """
    result = without_three(first, script, tmp_path)

    numbers = [int(label) for label in lost(result)]
    assert numbers in ([first + k, first + k + 1, first + k + 2] for k in (-1, 0, 1))
    assert {f.code for f in result.findings} == {"question-missing"}


def test_a_beginning_that_is_lost(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A file that begins in the middle of the test lacks the questions before."""
    begin = start_of("n17") - RATE // 2

    result = check_track(written(tmp_path / "t.wav", wave[begin:], RATE), script, edition=None)

    assert lost(result) == [str(n) for n in range(1, 17)]


def test_a_whole_track_does_not_end_early(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A good track has no finding; one without its last silence is complete but cut."""
    good = check_track(written(tmp_path / "good.wav", wave, RATE), script, edition=None)
    cut = check_track(written(tmp_path / "cut.wav", wave[: -RATE // 2], RATE), script, edition=None)

    assert good.findings == ()
    assert [f.code for f in cut.findings] == ["end-cut"]


def test_sounds_after_a_missing_end(script: Worded, tmp_path: Path) -> None:
    """Where other sounds stand in the place of the end, the track does not end early."""
    items = layout()[: index(layout(), "answer 24")]
    for words in QUESTIONS[2:6]:
        items += [gap("2.2"), Say(words.upper())]
    items.append(gap("1"))

    result = check_track(written(tmp_path / "t.wav", laid(items, RATE), RATE), script, edition=None)

    codes = {f.code for f in result.findings}
    assert "sound-extra" in codes
    assert "track-ends-early" not in codes


def test_the_layout_has_all_questions() -> None:
    """There are as many number words as questions, and every answer time is there."""
    assert (
        len(NAMES)
        == len(QUESTIONS)
        == sum(isinstance(item, Gap) and item.tag.startswith("answer") for item in layout())
    )


# ---- long tests, without sound ---------------------------------------------------------------


LONG = 300
"""Questions; 900 sounds, about 100 minutes."""


@pytest.fixture(scope="module")
def long_test(
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[Expectation, list[tuple[int, int]]]:
    """Return a long test's expectation, and where its sounds would be, in frames of 1/1000 s.

    A sound lasts 0.1 s and 0.07 s a letter, times something between 0.8 and 1.25 that is the
    same for the same words.
    """
    random = np.random.default_rng(11)
    nouns = ("apple", "river", "seventy", "plate", "minute", "garden", "boat", "hour", "is", "of")
    rows = [
        f"{n}. {' '.join(random.choice(nouns, size=int(random.integers(3, 14)))).capitalize()}?"
        for n in range(1, LONG + 1)
    ]
    script = worded(
        tmp_path_factory.mktemp("long"), HEAD + "\n".join(rows) + "\n\nThe sums are over.\n"
    )
    expectation = expect(script)
    spans: list[tuple[int, int]] = []
    factors: dict[str, float] = {}
    at = 0
    for silence, sound in zip(expectation.silences, expectation.sounds, strict=False):
        assert isinstance(sound.element, Utterance)
        words = sound.element.words
        factor = factors.setdefault(words, float(random.uniform(0.8, 1.25)))
        start = at + int(silence.wait_s * 1000)
        at = start + int((100 + 70 * sum(c.isalnum() for c in words)) * factor)
        spans.append((start, at))
    return expectation, spans


def heard(matching: Matching) -> list[int]:
    """Return the indices of the expected sounds that were found."""
    return [i for i, span in enumerate(matching.heard) if span is not None]


@pytest.mark.parametrize("share", [0.1, 0.35, 0.6, 0.9])
def test_a_long_track_that_ends_early(
    share: float, long_test: tuple[Expectation, list[tuple[int, int]]]
) -> None:
    """However much of a long test is missing at the end, exactly what is there is found."""
    expectation, spans = long_test
    n = int(share * len(spans))

    matching = match(expectation, spans[:n], 1000, spans[n - 1][1] + 500)

    assert heard(matching) == list(range(n))
    assert matching.extras == ()


def test_a_long_track_without_its_first_half(
    long_test: tuple[Expectation, list[tuple[int, int]]],
) -> None:
    """Hundreds of sounds missing in a row at the start are one run, right to a few questions."""
    expectation, spans = long_test
    n = len(spans) // 2
    begin = spans[n][0] - 400
    rest = [(start - begin, end - begin) for start, end in spans[n:]]

    matching = match(expectation, rest, 1000, rest[-1][1] + 1000)

    found = heard(matching)
    assert found == list(range(found[0], len(spans)))
    assert abs(found[0] - n) <= 10
