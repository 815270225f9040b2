"""Extra time: published examples worked out, every way of giving it, and what is refused.

Each sum is worked out by the planner and, apart from it, by the check.
"""

from __future__ import annotations

from fractions import Fraction
from string import ascii_lowercase
from typing import TYPE_CHECKING

import pytest
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Say, Wait
from support.scripts.versions import END, HEAD, expected_waits, version, waits

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.version import Version

F = Fraction
ANSWERS = ("answer-time", "extra-time")


def questions(*times: str, extra: str = "") -> str:
    """Return a part with a question for each answer time."""
    rows = [
        f'{number}. What is {number} plus {number}? {{answer-time="{time}"}}'
        for number, time in enumerate(times, 1)
    ]
    return HEAD + "# Sums\n\n" + "\n".join(rows) + extra + END


def both(made: Version, *kinds: str) -> list[Fraction]:
    """Return silences as planned, once the check has worked out the same."""
    planned = waits(made, *kinds)
    assert expected_waits(made, *kinds) == planned
    return planned


EACH = "stretch: [answer-time], share-of: listed-silences, where: each-gap"


@pytest.mark.parametrize(
    ("share", "wanted"),
    [
        ("25 %", ["25/4", "25/2", "75/4", "25"]),  # AA-03: 6.25, 12.5, 18.75 and 25 s
        ("50 %", ["15/2", "15", "45/2", "30"]),  # AA-17 gives 25, 50 and 100 %
        ("100 %", ["10", "20", "30", "40"]),
    ],
)
def test_each_gap_in_proportion(tmp_path: Path, share: str, wanted: list[str]) -> None:
    """AA-01, AA-03: every pause of the standard test gets the same share, speech none.

    Cambridge International Help, "If awarded extra time, do candidates also get extra time in the
    Listening exam?"; the set 25/50/100 % from DfE, "Additional time", 2012.
    """
    made = version(
        tmp_path, questions("5 s", "10 s", "15 s", "20 s"), f"extra-time: {share}, {EACH}"
    )

    assert both(made, *ANSWERS) == [F(one) for one in wanted]
    assert made.grant is not None
    assert (
        made.grant.given_s == made.grant.entitled_s == F(50) * F(share.split(maxsplit=1)[0]) / 100
    )


def test_the_time_to_transfer_answers_grows_too(tmp_path: Path) -> None:
    """AA-02: five minutes to copy answers become 375 s at 25 %; nothing else changes."""
    text = HEAD + (
        '# Sums {answer-time="10 s"}\n\n1. One plus one?\n\n'
        'Copy your answers. You have [five minutes]{states="answer-time"}. '
        '{answer-time="5 min"}' + END
    )
    made = version(tmp_path, text, f"extra-time: 25 %, {EACH}")

    assert both(made, *ANSWERS) == [F(25, 2), F(375)]
    words = [s.element.words for s in made.steps if isinstance(s, Say)]  # type: ignore[union-attr]
    assert "You have six and a quarter minutes." in words


MUSIC = HEAD.replace("---\n\n", "test-time: 90 min\n---\n\n")


def test_a_fixed_pause_after_each_question_and_the_rest_at_the_end(tmp_path: Path) -> None:
    """AA-04: 8 × 60 s + 870 s = 1,350 s = 25 % of 90 minutes.

    AQA, "GCSE Music Component 1: guidance for supporting learners with extra time", 29 April 2024.
    """
    rows = "\n".join(f'{n}. What was that? {{answer-time="30 s"}}' for n in range(1, 9))
    made = version(
        tmp_path, MUSIC + "# Listening\n\n" + rows + END,
        "extra-time: 25 %, share-of: whole-test, where: fixed-and-remainder, fixed-pause: 60 s, "
        "extra-words: 'You have {time} more.'",
    )  # fmt: skip

    assert both(made, "answer-time") == [F(90)] * 8
    assert both(made, "extra-time") == [F(870)]
    assert made.grant is not None
    assert made.grant.entitled_s == 1350
    assert made.grant.n_places == 9
    assert made.grant.sum_text == "8 × 60 s + 870 s = 1,350 s = 25 % of 5,400 s"
    words = [s.element.words for s in made.steps if isinstance(s, Say)]  # type: ignore[union-attr]
    assert words[-2:] == ["You have fourteen and a half minutes more.", "The test is over."]


def test_at_most_thirty_minutes(tmp_path: Path) -> None:
    """CV-20: a ceiling of 30 minutes (Dutch central exams, NU.nl May 2018)."""
    text = MUSIC.replace("90 min", "150 min") + '# Sums {answer-time="60 s"}\n\n1. What?' + END
    made = version(
        tmp_path, text, "extra-time: '25 %, 30 min at most', share-of: whole-test, where: test-end"
    )

    assert both(made, *ANSWERS) == [F(60 + 1800)]
    assert made.grant is not None
    assert "the ceiling, less than 25 % of 9,000 s = 2,250 s" in made.grant.sum_text


def test_exactly_fixed_minutes_or_a_multiple(tmp_path: Path) -> None:
    """CV-23: a multiplier of 1.25 is 25 %; fixed minutes are the other way (QTI 3 PNP)."""
    times = ("40 s", "60 s")
    share = version(tmp_path, questions(*times), f"extra-time: 25 %, {EACH}")
    fixed = version(
        tmp_path, questions(*times), "extra-time: 25 s, stretch: [answer-time], where: each-gap"
    )

    assert both(share, *ANSWERS) == both(fixed, *ANSWERS) == [F(50), F(75)]


def test_the_end_of_each_part(tmp_path: Path) -> None:
    """Each part gets its own share at its end, by what its listed silences come to."""
    text = HEAD + (
        '# One {answer-time="10 s"}\n\n1. One?\n2. Two?\n\nRest your hand.\n\n'
        '# Two {answer-time="40 s"}\n\n3. Three?' + END
    )
    made = version(
        tmp_path, text,
        "extra-time: 50 %, stretch: [answer-time], share-of: listed-silences, where: part-end",
    )  # fmt: skip

    assert both(made, *ANSWERS) == [F(10), F(20), F(60)]
    assert made.grant is not None
    assert made.grant.sum_text == "10 s + 20 s = 30 s = 50 % of 60 s"
    assert [p.code for p in made.problems] == ["extra-time-unannounced"]


def test_a_stated_split(tmp_path: Path) -> None:
    """AA-05: how the time is split is data; here between gaps, one question and the end."""
    made = version(
        tmp_path, questions("10 s", "30 s", extra='\n\nNow check. {answer-time="20 s"}'),
        "extra-time: 60 s, stretch: [answer-time], "
        "where: {each-gap: 12 s, question 1: 8 s, test-end: 40 s}",
    )  # fmt: skip

    assert both(made, *ANSWERS) == [F(10 + 2 + 8), F(30 + 6), F(20 + 4 + 40)]


@pytest.mark.parametrize("n_parts", [1, 10, 11, 26])
def test_time_after_a_question_comes_after_the_last_of_its_parts(
    tmp_path: Path, n_parts: int
) -> None:
    """Letters of sub-questions run from a to z, and each of them belongs to its question."""
    parts = "".join(
        f'    - {letter}. What is {n}? {{answer-time="{n} s"}}\n'
        for n, letter in enumerate(ascii_lowercase[:n_parts], 1)
    )
    text = f'{HEAD}# Sums\n\n1. A row of sums.\n\n{parts}\n2. Last? {{answer-time="40 s"}}{END}'
    made = version(tmp_path, text, "extra-time: 9 s, where: {question 1: 9 s}")

    assert both(made, *ANSWERS) == [*range(1, n_parts), n_parts + 9, 40]


def test_other_kinds_stay(tmp_path: Path) -> None:
    """AA-06: only the listed kinds grow; no reading is added and no silence of another kind."""
    text = HEAD + (
        '# Sums {readings="2" between-readings="2 s" answer-time="8 s"}\n\n'
        'Look. {look-time="20 s"}\n\n1. One?\n\n::: page-turn {for="5 s"}\nTurn over.\n:::' + END
    )
    plain = version(tmp_path, text, "loudness: loudspeaker")
    made = version(tmp_path, text, f"extra-time: 25 %, {EACH}")
    others = ("look-time", "between-readings", "page-turn-time", "pause", "default-pause", "hold")

    assert both(made, *others) == waits(plain, *others)
    assert both(made, "answer-time") == [F(10)]
    sounds = [s for s in made.steps if isinstance(s, Say)]
    assert len(sounds) == len([s for s in plain.steps if isinstance(s, Say)])


def test_halves_of_an_answer_time_grow_alike(tmp_path: Path) -> None:
    """An answer time with a cue at its half is one gap: its cue stays at half."""
    text = HEAD + '# Sums {answer-time="40 s" time-cue="half"}\n\n1. One?\n2. Two?' + END
    made = version(
        tmp_path, text,
        "extra-time: 30 s, where: fixed-and-remainder, fixed-pause: 10 s",
    )  # fmt: skip

    assert both(made, "answer-time") == [F(25), F(25), F(25), F(35)]
    assert made.grant is not None
    assert made.grant.n_places == 3


def test_practice_gets_its_share_and_no_fixed_pause(tmp_path: Path) -> None:
    """Practice is as the test will be, but time for the whole test is not spent on it."""
    text = HEAD + (
        '# Practice {.practice answer-time="10 s"}\n\n1. One?\n\nNow the test.\n\n'
        '# Test {answer-time="20 s"}\n\n1. Two?\n2. Three?' + END
    )
    each = version(tmp_path, text, f"extra-time: 10 %, {EACH}")
    fixed = version(
        tmp_path, text, "extra-time: 30 s, where: fixed-and-remainder, fixed-pause: 15 s"
    )

    assert both(each, *ANSWERS) == [F(11), F(22), F(22)]
    assert both(fixed, *ANSWERS) == [F(10), F(35), F(35)]


def test_dictation_and_passages_have_their_share(tmp_path: Path) -> None:
    """CV-12: phrase times of 15 s and two minutes to end grow by what is listed.

    The pattern (whole, phrases, whole; 15 s; 2 min) was announced on a Chinese national recording.
    """
    text = HEAD + (
        '# Dictation\n\n1. Write. {answer-time="none"}\n\n'
        '    ::: dictation {order="whole, phrases, whole" between-readings="5 s" '
        'phrase-time="15 s" phrase-readings="2" answer-time="2 min"}\n'
        "    - The ferry leaves at dawn\n    - and the harbour is still dark.\n    :::\n" + END
    )
    kinds = ("phrase-time", "answer-time", "between-readings", "between-phrase-readings")
    made = version(
        tmp_path, text,
        "extra-time: 25 %, stretch: [phrase-time, answer-time], share-of: listed-silences, "
        "where: each-gap",
    )  # fmt: skip

    assert both(made, *kinds) == [F(5), F(2), F(75, 4), F(2), F(5), F(150)]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            "extra-time: 20 s, where: {question 1: 12 s, test-end: 7 s}",
            "the split adds up to 19 s (12 s + 7 s), but 20 s are entitled",
        ),
        (
            "extra-time: 20 s, where: fixed-and-remainder, fixed-pause: 15 s",
            "2 × 15 s = 30 s, but 20 s are entitled",
        ),
        ("extra-time: 25 %, share-of: whole-test, where: test-end", "needs the time that the test"),
        (
            f"extra-time: 25 %, leave-out: [Nothing], {EACH}",
            "no part or group has the title ‘Nothing’",
        ),
        (
            f"extra-time: 25 %, {EACH.replace('answer-time', 'page-turn-time')}",
            "there are no silences of the kinds in ‘stretch’",
        ),
        ("extra-time: 20 s, where: {question 7: 20 s}", "question 7 has no answer time"),
        ("extra-time: 20 s, where: {test-end: 10 %}", "a split in per cent belongs to"),
    ],
)
def test_what_does_not_add_up_is_refused(tmp_path: Path, fields: str, words: str) -> None:
    """Both sums are shown; nothing is rounded into place."""
    made = version(tmp_path, questions("10 s", "20 s"), fields, errors=True)
    errors = [p for p in made.problems if p.severity == "error"]

    assert len(errors) == 1
    assert words in errors[0].message
    assert errors[0].hint
    assert errors[0].place.file.name == "tide.arrangements.yaml"


def test_rest_breaks_are_no_test_time(tmp_path: Path) -> None:
    """AA-14: the candidates' silences stay, a stop is added, no extra time counts it."""
    text = questions("10 s", "20 s", "30 s")
    plain = version(tmp_path, text, f"extra-time: 25 %, {EACH}")
    made = version(tmp_path, text, f"extra-time: 25 %, rest-breaks: {{after-questions: 2}}, {EACH}")

    assert both(made, *ANSWERS) == waits(plain, *ANSWERS)
    assert waits(plain, "hold") == []
    assert both(made, "hold") == [F(20)]
    assert made.grant is not None
    assert plain.grant is not None
    assert made.grant.entitled_s == plain.grant.entitled_s
    at = next(i for i, s in enumerate(made.steps) if isinstance(s, Wait) and s.kind == "hold")
    before = [s for s in made.steps[:at] if isinstance(s, Wait) and s.kind == "answer-time"]
    assert len(before) == 2


def test_leaving_parts_out_counts_what_is_left(tmp_path: Path) -> None:
    """Extra time is a share of what is left; the whole test's time must be declared anew."""
    text = MUSIC + (
        '# Songs {answer-time="20 s"}\n\n1. One?\n\n# Sums {answer-time="40 s"}\n\n2. Two?' + END
    )
    made = version(tmp_path, text, f"extra-time: 25 %, leave-out: [Songs], {EACH}")
    whole = version(
        tmp_path, text, "extra-time: 25 %, leave-out: [Songs], share-of: whole-test, "
        "where: test-end", errors=True,
    )  # fmt: skip
    told = version(
        tmp_path, text, "extra-time: 25 %, leave-out: [Songs], share-of: whole-test, "
        "test-time: 60 min, where: test-end",
    )  # fmt: skip

    assert both(made, *ANSWERS) == [F(50)]
    assert "is not this arrangement's" in next(p.message for p in whole.problems)
    assert both(told, *ANSWERS) == [F(40 + 900)]


def test_whole_samples_are_never_below_the_entitlement(tmp_path: Path) -> None:
    """A share that is no whole sample is rounded up, gap by gap, by less than a sample."""
    made = version(tmp_path, questions("7 s", "11 s", "13 s"), f"extra-time: 33 %, {EACH}")
    clock = Clock(44_100)

    assert made.grant is not None
    for one in made.grant.added:
        laid_s = clock.seconds(clock.samples(one.before_s + one.added_s))
        assert 0 <= laid_s - one.before_s - one.added_s < F(1, 44_100)
    assert made.grant.given_s == F(31) * 33 / 100
