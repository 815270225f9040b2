"""The demo scripts and the script that `new` writes are as good as they say."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.project import open_project
from pausewright.plan.steps import steps
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Dictation,
    Note,
    Options,
    Passage,
    Prose,
    Stop,
    SubQuestion,
)
from pausewright.script.reader import read_script
from support.places import DEMO, ROOT
from support.scripts.demo_scripts import SCRIPTS

if TYPE_CHECKING:
    from pathlib import Path

NEW = ROOT / "pipeline" / "pausewright" / "script" / "new_script.md"

MINUTES = {"9.50": 590, "13:45": 825, "15:10": 910, "8": 480, "9.05": 545, "12.50": 770}
"""Clock times of the questions in minutes after midnight."""


def _clock(minutes: int) -> str:
    return f"{minutes // 60}.{minutes % 60:02d}"


ANSWERS: dict[int, Fraction | int | str] = {
    1: 25 * 18,
    2: Fraction(960 - 960 // 4, 12),
    3: 5 * Fraction("8.4") + 23,
    4: 4 - 9,
    5: 8 * 6,
    6: 100 - 37,
    7: 53 - 9,
    8: Fraction(27, 3),
    9: Fraction(5, 2) * 60,
    10: next(n for n in map(Fraction, ("0.08", "0.78", "0.87")) if 7 < 10 * n < 8),
    11: _clock(MINUTES["9.50"] + 35),
    12: MINUTES["15:10"] - MINUTES["13:45"],
    13: (MINUTES["8"] + 3 * 40) // 60,
    14: _clock(MINUTES["12.50"] - (MINUTES["12.50"] - MINUTES["9.05"]) // 3),
    15: Fraction(90 + 210, 10),
    16: 4 * Fraction("1.75"),
    17: 10 - Fraction("6.35"),
    18: 500 // 60,
    19: 12 * (1 - Fraction(25, 100)),
    20: Fraction("31.50") / 7,
    21: Fraction(3, 4) * 52,
}
"""The sums of demo_scripts/arithmetic.md, done here again from the words of the questions."""


@pytest.mark.parametrize("script", [*SCRIPTS, NEW], ids=lambda path: path.name)
def test_it_has_no_problem(script: Path) -> None:
    """Each reads, is worded, finds its voices and sounds, and plans, without even a warning."""
    project = open_project(script)

    assert not [p.message for p in project.problems]
    assert steps(project.worded)


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_every_question_has_a_key(script: Path) -> None:
    """No question of a demo is left without its answer, on itself or on all its parts."""
    for question in read_script(script).questions():
        subs = [c for c in question.content if isinstance(c, SubQuestion)]
        keyed = question.key is not None or (subs and all(sub.key is not None for sub in subs))
        assert keyed, question.label


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_each_demo_is_a_credible_whole(script: Path) -> None:
    """It opens with words, states what is compared, stops for questions, has notes, and closes."""
    found = read_script(script)
    texts = "".join(found.sources.values())
    heard = [block for _, _, block in found.blocks() if not isinstance(block, Note)]

    assert isinstance(heard[0], Prose)
    assert any(isinstance(block, Stop) for block in heard)
    assert "states=" in texts
    assert "::: staff-note" in texts
    assert isinstance(heard[-1], Prose)


def test_every_sum_is_right() -> None:
    """The first alternative of each key is the value computed from the question."""
    questions = [q for q in read_script(DEMO / "arithmetic.md").questions() if not q.practice]

    assert sorted(ANSWERS) == [q.number for q in questions]
    for question in questions:
        assert question.key is not None
        keyed = question.key.text.split("|")[0].replace("−", "-")
        figure = re.search(r"-?\d+(?:\.\d+)?", keyed)
        assert figure, question.label
        answer = ANSWERS[question.number]
        if isinstance(answer, str):
            assert answer == figure[0], question.label
        else:
            assert Fraction(answer) == Fraction(figure[0]), question.label


def _pounds(value: Fraction) -> str:
    return f"£{int(value * 100) // 100}.{int(value * 100) % 100:02d}"


MONEY_AND_TIME = (
    _pounds(3 * Fraction("4.60")),
    _pounds(20 - Fraction("12.35")),
    str(15 // Fraction("3.20")),
    f"{6 * 85 - 450}p",
    f"{(16 * 60 + 15 - (9 * 60 + 40)) // 60} h {(16 * 60 + 15 - (9 * 60 + 40)) % 60} min",
    _clock(9 * 60 + 20 - 90),
    str(2 * 60 // 4),
    _clock(11 * 60 + 52 + 15),
)
"""The sums of demo_scripts/money-and-time.md, in order, done again from the words."""


def test_money_and_time_are_right() -> None:
    """The first alternative of each key is the value computed from the question."""
    keys = [q.key for q in read_script(DEMO / "money-and-time.md").questions()]

    assert [k.text.split("|")[0].strip() for k in keys if k] == list(MONEY_AND_TIME)


def test_the_rest_of_the_water_stayed_in_the_soil() -> None:
    """Question 2 of the science demo: half a litre less what ran out of the leaf mould."""
    question = list(read_script(DEMO / "science.md").questions())[1]
    (options,) = [c for c in question.content if isinstance(c, Options)]

    assert question.key is not None
    keyed = next(o for o in options.options if o.letter == question.key.text.strip())
    assert plain(keyed.prose.inlines) == f"{500 - 180} ml"


def test_a_dictation_is_keyed_by_its_own_words() -> None:
    """The key is the text that is read, phrase after phrase."""
    (question,) = read_script(DEMO / "dictation.md").questions()
    (dictation,) = [c for c in question.content if isinstance(c, Dictation)]

    assert question.key is not None
    said = " ".join(plain(phrase.prose.inlines) for phrase in dictation.phrases)
    assert question.key.text.split() == said.split()


def test_sentences_in_pieces_are_keyed_by_their_own_words() -> None:
    """Each key is the passage that is about its question."""
    found = read_script(DEMO / "pieces.md")
    keys = [q.key.text for q in found.questions() if q.key]
    passages = [b for _, _, b in found.blocks() if isinstance(b, Passage)]

    assert len(keys) == 2
    assert keys == [" ".join(plain(p.inlines) for p in one.content) for one in passages]


def test_every_sum_has_a_sheet() -> None:
    """A candidate sees something beside every number of the arithmetic demo."""
    assert not [q.label for q in read_script(DEMO / "arithmetic.md").questions() if q.sheet is None]


def test_the_first_script_is_short() -> None:
    """What `new` writes fits on a screen, and shows what it should."""
    text = NEW.read_text(encoding="utf-8")

    assert len(text.splitlines()) <= 45
    for shown in (
        "states=",
        "::: stop",
        "::: page-turn",
        "key=",
        "sheet=",
        "\n# ",
        "\n## ",
        "<!--",
    ):
        assert shown in text
