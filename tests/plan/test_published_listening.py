"""Published listening tasks as scripts: their silences, and what an arrangement makes of them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.plan.timeline import Mark
from support.scripts.versions import END, HEAD, expected_waits, version, waits

if TYPE_CHECKING:
    from pathlib import Path

F = Fraction
KINDS = ("look-time", "between-readings", "answer-time", "extra-time")
ANSWERS = "stretch: [answer-time], share-of: listed-silences, where: each-gap"


def task(*, look: str = "", readings: int, between: str, answer: str) -> str:
    """Return a script with one passage that is heard so often."""
    opening = f'Look at your sheet. {{look-time="{look}"}}\n\n' if look else "Listen.\n\n"
    return (
        HEAD + "# Task {.printed}\n\n" + opening
        + f'::: passage {{readings="{readings}" between-readings="{between}" '
        f'answer-time="{answer}" for-questions="1"}}\nThe path runs along the river.\n:::\n\n'
        '1. Where does the path run? {key="along the river"}' + END
    )  # fmt: skip


def test_a_minute_to_look_two_hearings_two_minutes_to_end(tmp_path: Path) -> None:
    """CV-13: 60 + 50 + 60 + 50 + 120 = 340 s, within the announced six minutes.

    Level One listening objectives to NATO STANAG 6001; 100 words at 120 a minute are 50 s.
    """
    text = task(look="1 min", readings=2, between="1 min", answer="2 min")
    plain = version(tmp_path, text, "loudness: loudspeaker")
    made = version(tmp_path, text, f"extra-time: 25 %, {ANSWERS}")

    assert waits(plain, *KINDS) == expected_waits(plain, *KINDS) == [F(60), F(60), F(120)]
    assert sum(waits(plain, *KINDS)) + 2 * F(100 * 60, 120) == 340
    assert waits(made, *KINDS) == expected_waits(made, *KINDS) == [F(60), F(60), F(150)]


def test_three_hearings_a_minute_apart_and_ten_minutes_to_write(tmp_path: Path) -> None:
    """CV-14: 3 × 90 + 2 × 60 + 600 = 990 s; hearing is not counted in the time to write.

    French baccalauréat 2012 to 2015, académies of Créteil, Rouen and Versailles.
    """
    text = task(readings=3, between="1 min", answer="10 min")
    plain = version(tmp_path, text, "loudness: loudspeaker")
    made = version(tmp_path, text, "extra-time: 200 s, stretch: [answer-time], where: each-gap")

    assert sum(waits(plain, *KINDS)) + 3 * 90 == 990
    assert waits(made, *KINDS) == expected_waits(made, *KINDS) == [F(60), F(60), F(800)]


def test_another_level_hears_it_once_more(tmp_path: Path) -> None:
    """CV-15: a minute before the first hearing; three hearings at one level, two at a higher.

    SQA, instructions for Gaelic listening, 2017 (copy); BBC Bitesize.
    """
    text = task(look="1 min", readings=2, between="1 min", answer="30 s")
    made = version(tmp_path, text, "readings: 3")

    assert waits(made, *KINDS) == expected_waits(made, *KINDS) == [F(60), F(60), F(60), F(30)]


def test_any_question_can_be_gone_back_to(tmp_path: Path) -> None:
    """AA-07: a track that was stopped goes on at the same place: every question has a mark.

    OCR, "Listening tests": the recording is the time of the test, and restarts where it stopped.
    """
    rows = "\n".join(f"{n}. What is {n} plus {n}?" for n in range(1, 6))
    text = HEAD + '# Sums {answer-time="8 s"}\n\n' + rows + END
    made = version(tmp_path, text, f"extra-time: 50 %, readings: 2, {ANSWERS}")
    marks = [s.title for s in made.steps if isinstance(s, Mark) and s.kind == "question"]

    assert marks == [f"Question {n}" for n in range(1, 6)]
