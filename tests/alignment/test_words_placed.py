"""Words by their sounds, and when they are said."""

from __future__ import annotations

from itertools import pairwise

import pytest
from pausewright.alignment.differences import differences
from pausewright.alignment.phone_words import cost, likeness, part_of, sounds, spoken_words
from pausewright.alignment.said_lines import HeardRun, SaidLine, paired, usual_s
from pausewright.alignment.word_times import word_times
from pausewright.checker.shown.recorded_words import word_places


def phones(text: str) -> list[str]:
    """Return the sounds of a text."""
    return sounds(spoken_words([text])[0])


@pytest.mark.parametrize(
    ("a", "b"), [("see", "C,"), ("see", "sea"), ("two", "too"), ("won", "one"), ("Y,", "why")]
)
def test_what_sounds_the_same_costs_nothing(a: str, b: str) -> None:
    """The CMU Pronouncing Dictionary gives both the same sounds."""
    assert cost(phones(a), phones(b)) == 0


def test_what_sounds_nearly_the_same_costs_little() -> None:
    """Fifteen is nearer to fifty than to nine."""
    assert 0 < cost(phones("fifteen"), phones("fifty")) < cost(phones("fifteen"), phones("nine"))
    assert likeness(phones("half of ninety"), phones("half of ninety")) == 1
    found, start, end = part_of(phones("seven eight"), phones("number one seven eight stop"))
    assert found == 0
    assert phones("number one seven eight stop")[start:end] == phones("seven eight")


@pytest.mark.parametrize(
    ("said", "heard", "expected"),
    [
        ("what is seven times eight", "what is seven times ate", []),
        ("what is seven times eight", "what is seven times nine", [("eight", "nine")]),
        ("half of forty", "half of fourteen", [("forty", "fourteen")]),
        ("spell ship", "now spell ship please", [("", "now"), ("", "please")]),
        ("take it to the ice cream van", "take it to ice cream van", []),
    ],
)
def test_differences_are_told_by_sound(
    said: str, heard: str, expected: list[tuple[str, str]]
) -> None:
    """Other words are differences; the same sounds and small words are none."""
    ours, theirs = spoken_words([said, heard])
    found, _ = differences(ours, theirs)

    assert [(one.said, one.heard) for one in found] == expected
    assert all(one.is_teen_for_ten for one in found if "forty" in one.said)


TEXT = "The mill stands by the river. It was built of stone, long ago, by two brothers. Look."


def stretches(pauses_ms: list[int]) -> tuple[list[tuple[int, int]], list[int]]:
    """Return the sound of `TEXT` with pauses after its marks, and where its clauses begin."""
    (words,) = spoken_words([TEXT])
    found, begins, at, start = [], [0], 0.0, 0.0
    left = list(pauses_ms)
    for k, word in enumerate(words):
        at += 1000 * word.usual_s
        if word.ends_clause:
            found.append((round(start), round(at)))
            at += left.pop(0) if left else 0
            start = at
            if k + 1 < len(words):
                begins.append(round(at))
    return found, begins


@pytest.mark.parametrize("pauses_ms", [[500, 300, 250, 900], [2500, 200, 200, 400]])
def test_words_lie_between_the_pauses(pauses_ms: list[int]) -> None:
    """Clauses begin where they were laid, however long the pauses are; words are in order."""
    pieces, begins = stretches(pauses_ms)
    (words,) = spoken_words([TEXT])
    found = word_times(pieces, words)
    first = [0, *(k + 1 for k, word in enumerate(words[:-1]) if word.ends_clause)]

    assert [found[k].start_ms for k in first] == pytest.approx(begins, abs=30)
    assert all(a.end_ms <= b.start_ms for a, b in pairwise(found))
    assert max(one.within_ms for one in found) < 250


def test_the_check_places_words_in_its_own_way() -> None:
    """By letters and marks; within what it says of itself."""
    pieces, begins = stretches([500, 300, 250, 900])
    words = TEXT.split()
    found = word_places(words, pieces)
    assert found is not None
    first = [0, *(k + 1 for k, word in enumerate(words[:-1]) if word[-1] in ".,")]
    for k, true in zip(first, begins, strict=True):
        assert abs(found.begins_ms[k] - true) <= found.within_ms[k]
    assert max(found.within_ms) < 900


def test_runs_are_matched_to_lines_in_order() -> None:
    """A line that is missing and a run that is nothing known are told as such."""
    texts = [
        "Listen now",
        "What is seven times eight plus nine",
        "Spell ship",
        "Half of ninety two",
    ]
    rows = spoken_words(texts)
    lines = [SaidLine(row, (), i > 0, 3.0 if i else 1.0) for i, row in enumerate(rows)]

    def run(i: int, n: int = 2) -> HeardRun:
        return HeardRun(1.1 * usual_s(rows[i]), n)

    whole = paired([run(0, 1), run(1), run(2), run(3)], lines)
    assert [(one.runs[0], one.lines[0]) for one in whole] == [(0, 0), (1, 1), (2, 2), (3, 3)]
    missing = paired([run(0, 1), run(1), run(3)], lines)
    assert [one.lines for one in missing if one.runs[0] == one.runs[1]] == [(2, 3)]
    extra = paired([run(0, 1), run(1), HeardRun(9.0, 1), run(2), run(3)], lines)
    assert [one.runs for one in extra if one.lines[0] == one.lines[1]] == [(2, 3)]


def test_a_question_too_many_is_one_with_its_announcement() -> None:
    """Each number is a run of its own; the second question is not on the paper."""
    texts = ["Seven times eight plus nine", "Spell the word ship for me", "Half of ninety two"]
    rows = spoken_words(texts)
    announced = spoken_words([f"Number {n}." for n in (1, 2, 3)])
    lines = [
        SaidLine(row, before, is_question=True, if_unheard=3.0)
        for row, before in zip(rows, announced, strict=True)
    ]
    number = HeardRun(usual_s(announced[0]), 1, after_s=1.2)
    asked = [HeardRun(usual_s(row), 1, after_s=8.0) for row in rows]
    extra = HeardRun(9.0, 1, after_s=8.0)
    runs = [number, asked[0], number, extra, number, asked[1], number, asked[2]]

    pairs = paired(runs, lines)

    assert [one.runs for one in pairs] == [(0, 2), (2, 4), (4, 6), (6, 8)]
    assert [one.lines for one in pairs] == [(0, 1), (1, 1), (1, 2), (2, 3)]
