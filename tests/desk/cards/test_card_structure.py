"""Cards that are added, deleted and moved, and questions that keep the right numbers."""

from __future__ import annotations

import random
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.desk.cards.inside import added_inside
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.cards.said_otherwise import said_as
from pausewright.desk.cards.structure import NEW_KINDS, added, deleted, moved
from pausewright.script.model import Again, Passage
from pausewright.script.reader import read
from support.desks.card_edits import comments
from support.scripts.whole_scripts import all_laid_out

if TYPE_CHECKING:
    from pausewright.script.reader import Reading

WIDE = Path(__file__).parents[2] / "cases" / "wide.md"
SEED = random.SystemRandom().getrandbits(64)
HEAD = "---\ntitle: T\nlanguage: en-GB\nanswer-time: 9 s\n---\n\n"
THREE = '1. One? {key="1"}\n2. Two? {key="2"}\n3. Three? {key="3"}\n'
NUMBERED = frozenset({"question-number", "again-questions", "questions-unknown"})


def codes(reading: Reading) -> list[str]:
    """Return the errors of a reading."""
    return sorted(one.code for one in reading.problems if one.severity == "error")


def named(reading: Reading) -> list[list[str]]:
    """Return for each passage and `again` the words of the questions that it names."""
    script = reading.script
    found = []
    for part, _, block in script.blocks():
        numbers = script.numbered(part)
        names: tuple[int, ...] = ()
        if isinstance(block, Again):
            names = block.questions
        elif isinstance(block, Passage):
            names = block.for_questions
        if names:
            keys = [numbers[n].key for n in names if n in numbers]
            found.append([repr(key and key.text) for key in keys])
    return found


@pytest.mark.parametrize(
    "n_steps", [60, pytest.param(600, marks=[pytest.mark.long, pytest.mark.timeout(1800)])]
)
def test_random_steps(n_steps: int, tmp_path: Path) -> None:
    """On every script there is: numbers stay in order, comments stay, no other line changes."""
    dice = random.Random(SEED + n_steps)  # noqa: S311  no secret
    files = [*all_laid_out(tmp_path / "whole"), WIDE]
    texts = {file: file.read_text("utf-8") for file in files}
    n_refused = 0
    for n in range(n_steps):
        file = files[n % len(files)]
        text = texts[file]
        card = dice.choice(read_cards(text).cards)
        how = dice.choice(["delete", "up", "down", "add"])
        told = f"seed {SEED}, step {n}: {file.name} {how} line {card.line}"
        before = read(file, text)
        try:
            if how == "delete":
                new = deleted(text, card.line).text
            elif how == "add":
                new = added(text, card.line, dice.choice(NEW_KINDS), "New words {here}").text
            else:
                new = moved(text, card.line, -1 if how == "up" else 1).text
        except CardError:
            n_refused += 1
            continue
        after = read(file, new)
        assert not NUMBERED & (set(codes(after)) - set(codes(before))), told
        kept = comments(text)
        for one in comments(card.text) if how == "delete" else []:
            kept.remove(one)
        assert comments(new) == kept, told
        if how in {"up", "down"}:
            assert sorted(chain(*named(after))) == sorted(chain(*named(before))), told
        lost = set(text.split("\n")) - set(new.split("\n")) - set(card.text.split("\n"))
        assert not [row for row in lost if not row[:1].isdigit() and "questions=" not in row], told
    assert n_refused <= n_steps * 0.15, f"seed {SEED}: {n_refused} refused"


def test_deleting_a_question() -> None:
    """Those after it move up, and who names them goes with them."""
    text = f'{HEAD}{THREE}\n::: again {{questions="2-3"}}\nOnce more.\n:::\n'
    found = deleted(text, 8)

    assert found.text == (
        f'{HEAD}1. One? {{key="1"}}\n2. Three? {{key="3"}}\n\n'
        '::: again {questions="2"}\nOnce more.\n:::\n'
    )
    assert found.line == 8


def test_moving_a_question() -> None:
    """It changes places with its neighbour; the numbers stay in order."""
    text = f'{HEAD}{THREE}\n::: again {{questions="1, 3"}}\nOnce more.\n:::\n'
    up = moved(text, 9, -1)

    assert up.line == 8
    assert up.text == (
        f'{HEAD}1. One? {{key="1"}}\n2. Three? {{key="3"}}\n3. Two? {{key="2"}}\n\n'
        '::: again {questions="1-2"}\nOnce more.\n:::\n'
    )
    assert moved(up.text, 8, 1).text == text.replace("1, 3", "1, 3")


def test_moving_past_the_end_is_refused() -> None:
    """There is nothing to change places with."""
    with pytest.raises(CardError):
        moved(f"{HEAD}{THREE}", 7, -1)
    with pytest.raises(CardError):
        moved(f"{HEAD}{THREE}", 9, 1)


@pytest.mark.parametrize(
    ("after", "kind", "expected"),
    [
        (7, "question", '1. One? {key="1"}\n2. New?\n3. Two? {key="2"}\n4. Three? {key="3"}\n'),
        (9, "question", f"{THREE}4. New?\n"),
        (9, "instruction", f"{THREE}\nNew?\n"),
        (9, "stop", f"{THREE}\n::: stop\nNew?\n:::\n"),
        (8, "group", '1. One? {key="1"}\n2. Two? {key="2"}\n\n## New?\n\n3. Three? {key="3"}\n'),
        (0, "part", f"\n# New?\n\n{THREE}"),
    ],
)
def test_adding(after: int, kind: str, expected: str) -> None:
    """Written down by hand: a card after another, with blank lines where they are needed."""
    found = added(f"{HEAD}{THREE}", after, kind, "New?")  # type: ignore[arg-type]

    head = HEAD.removesuffix("\n") if after == 0 else HEAD
    assert found.text == head + expected
    assert read_cards(found.text).at(found.line).kind == kind


@pytest.mark.parametrize(
    ("body", "kind", "expected"),
    [
        ("1. One?", "answer", "1. One?\n\n    - A. New\\[x\\]"),
        ("1. One?\n\n    - A. a\n    - B. b\n\n    ::: key\n    A\n    :::", "answer",
         "1. One?\n\n    - A. a\n    - B. b\n    - C. New\\[x\\]\n\n    ::: key\n    A\n    :::"),
        ("1. One?\n\n    - a. a\n\n        ::: key\n        A\n        :::", "sub-question",
         "1. One?\n\n    - a. a\n\n        ::: key\n        A\n        :::\n\n    - b. New\\[x\\]"),
        ('1. One? {key="1"}\n    ::: sheet\n    x\n    :::', "paragraph",
         '1. One? {key="1"}\n\n    New\\[x\\]\n\n    ::: sheet\n    x\n    :::'),
        ("1. One?\n2. Two?", "paragraph", "1. One?\n\n    New\\[x\\]\n\n2. Two?"),
    ],
)  # fmt: skip
def test_adding_inside_a_question(body: str, kind: str, expected: str) -> None:
    """Written down by hand: after what there is of the kind, before sheets and keys."""
    text = f"{HEAD}{body}\n\nThe end.\n"

    new = added_inside(text, 7, kind, "New[x]")  # type: ignore[arg-type]

    assert new == f"{HEAD}{expected}\n\nThe end.\n"
    assert not [one for one in read(Path("x.md"), new).problems if one.code == "list-form"]


def test_two_kinds_of_letters_are_refused() -> None:
    """A question has answers to choose or parts; a part of the test has neither."""
    text = f"{HEAD}1. One?\n\n    - A. a\n    - B. b\n\n# Part\n"
    for line, kind, words in ((7, "sub-question", "x"), (12, "answer", "x"), (7, "answer", " ")):
        with pytest.raises(CardError):
            added_inside(text, line, kind, words)  # type: ignore[arg-type]


def test_numbers_that_were_wrong_are_left() -> None:
    """A script that is not in order is not put in order behind its author's back."""
    text = f"{HEAD}1. One?\n3. Three?\n4. Four?\n"

    assert deleted(text, 9).text == f"{HEAD}1. One?\n3. Three?\n"


def test_by_part() -> None:
    """Numbers that begin anew in each part are counted there."""
    head = HEAD.replace("title", "numbering: by-part\ntitle")
    text = f"{head}# A\n\n1. One?\n2. Two?\n\n# B\n\n1. Three?\n2. Four?\n"

    assert deleted(text, 10).text == f"{head}# A\n\n1. Two?\n\n# B\n\n1. Three?\n2. Four?\n"


def test_a_reading_is_chosen() -> None:
    """What is said is written in brackets around what stands there, and nothing else changes."""
    text = f"{HEAD}1. The score was 3-2. Say {{it}}.\n"
    new = said_as(text.replace("{it}", "it"), 7, 18, 3, 'three "two"')

    assert new == f'{HEAD}1. The score was [3-2]{{say="three \\"two\\""}}. Say it.\n'
    for line, column, length in ((7, 1, 2), (2, 1, 5), (99, 1, 1), (7, 18, 300), (7, 0, 2)):
        with pytest.raises(CardError):
            said_as(text, line, column, length, "x")
