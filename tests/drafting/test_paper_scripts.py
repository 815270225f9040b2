"""Scripts from papers: questions, answers and keys are found, and no word is dropped."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from pausewright.documents.model import Line, Paper
from pausewright.documents.reader import read_paper
from pausewright.drafting.interview import Group, Interview, script_of_interview
from pausewright.drafting.paper_items import PaperHeading, PaperQuestion, PaperText
from pausewright.drafting.paper_questions import questions_of
from pausewright.drafting.paper_script import Manner, script_of_paper
from pausewright.problems import OutputError
from pausewright.script.model import Options, PageTurn, Prose, Stop, SubQuestion
from pausewright.script.reader import Reading, read
from support.desks.card_edits import model_words
from support.desks.made_papers import WAYS, drawn_paper

SEED = random.SystemRandom().getrandbits(64)
MANNER = Manner("Harbour sums")


def reading_of(text: str) -> Reading:
    """Read a script that has no error."""
    found = read(Path("made.md"), text)
    assert [one for one in found.problems if one.severity == "error"] == [], text
    return found


def words(text: str) -> list[str]:
    """Return all words and figures of a text."""
    return re.findall(r"\w+", text.replace("_", " "))


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("n", range(4))
def test_no_word_is_dropped(way: str, n: int, tmp_path: Path) -> None:
    """Twenty papers: every word is in the script or in what was left, and all keys are right."""
    told = f"seed {SEED}, {way} {n}"
    paper = drawn_paper(random.Random(f"{SEED} {n}"))  # noqa: S311  no secret
    ending, writer = WAYS[way]
    file = tmp_path / f"paper{ending}"
    file.write_bytes(writer(paper))

    found = questions_of(read_paper(file))
    text = script_of_paper(found, (), MANNER)
    script = reading_of(text).script

    there = set(words(text)) | {w for one in found.left for w in words(one.text)}
    needed = [w for row in paper.rows for w in (*words(row.number), *words(row.text))]
    needed += words(paper.foot) if way == "docx" else []
    assert [one for one in needed if one not in there] == [], told
    questions = list(script.questions())
    assert len(questions) == len(paper.asked), told
    for question, asked in zip(questions, paper.asked, strict=True):
        own = " ".join(
            model_words(one.inlines) for one in question.content if isinstance(one, Prose)
        )
        assert " ".join(own.split()) == asked.words, told
        answers: list[str] = []
        for one in question.content:
            if isinstance(one, Options):
                answers += [model_words(option.prose.inlines) for option in one.options]
            elif isinstance(one, SubQuestion) and isinstance(one.content[0], Prose):
                answers.append(model_words(one.content[0].inlines))
        assert answers == asked.answers, told
        key = "" if question.key is None else question.key.text.replace("\\", "")
        assert key == asked.key, told


def lines(*rows: str) -> Paper:
    """Return a paper of plain lines."""
    return Paper(tuple(Line(row) for row in rows))


def test_what_is_doubtful_is_marked() -> None:
    """Written down by hand: what is not sure stands in the script, with a mark above it."""
    found = questions_of(
        lines(
            "7. What is 2 plus 3? (Answer: 5)",
            "Put your pencils down.",
            "8. Which is a metal?",
            "A wood B tin C wool",
            "Part two",
            "9. Spell it.",
        )
    )
    first, text, second, part, third = found.items
    assert isinstance(first, PaperQuestion)
    assert isinstance(text, PaperText)
    assert isinstance(second, PaperQuestion)
    assert isinstance(part, PaperHeading)
    assert isinstance(third, PaperQuestion)
    assert (first.key, first.words) == ("5", ["What is 2 plus 3?"])
    assert [one.text for one in second.answers] == ["wood", "tin", "wool"]
    assert all(one.doubts for one in (first, text, second, part))
    script = script_of_paper(found, (), MANNER)
    assert script.count("<!-- look at this: ") == 8
    assert "the paper numbers it 7" in script
    assert [one.number for one in reading_of(script).script.questions()] == [1, 2, 3]


def test_tables_with_keys() -> None:
    """A table of numbers, questions and answers; its head is no question."""
    cells = [("No", "Question", "Answer"), ("1", "What is 6 times 7?", "42"), ("2", "And 3?", "B")]
    paper = Paper(
        tuple(Line(text, "cell", row=row) for row, line in enumerate(cells) for text in line)
    )
    found = questions_of(paper)

    assert [(one.words, one.key) for one in found.questions] == [
        (["What is 6 times 7?"], "42"),
        (["And 3?"], "B"),
    ]


def test_keys_on_one_line() -> None:
    """Answers that stand in a row; those that fit no question are left and listed."""
    found = questions_of(lines("1. One?", "2. Two?", "Answers", "1. 12 2. 3 pm 3. tin", "by hand"))

    assert [one.key for one in found.questions] == ["12", "3 pm"]
    assert {one.text for one in found.left} >= {"3. tin", "by hand", "Answers"}


@pytest.mark.parametrize(
    ("key", "expected"),
    [("B", "B"), ("(b)", ""), ("A and C", "A, C"), ("tin", "B"), ("B. tin", "B"), ("copper", ""),
     ("D", "")],
)  # fmt: skip
def test_keys_of_answers_to_choose(key: str, expected: str) -> None:
    """A key is the letter; what fits none of them is marked, and stands in the mark."""
    found = questions_of(lines("1. Which?", "A. wood", "B. tin", "C. wool", f"Answer: {key}"))
    (question,) = found.questions

    assert question.key == expected
    assert expected or key in question.doubts[-1]
    reading_of(script_of_paper(found, (), MANNER))


@pytest.mark.parametrize(
    "row",
    [
        "<script>alert(1)</script> --> {x}",
        "::: stop",
        "1. ::: {.withdrawn}",
        "2. $x^2 and {key=",
        "# Title {answer-time=1s}",
        "*** --- ===",
        "3. \\",
        "[x](y){.include}",
    ],
)
def test_hostile_lines_are_words(row: str) -> None:
    """Whatever stands in a paper is text in its script."""
    found = questions_of(lines("1. What is 7?", row, "2. And 8?"))
    script = reading_of(script_of_paper(found, (row,), MANNER)).script

    assert all(one.practice is False for one in script.parts)
    assert not any(isinstance(block, Stop) for _, _, block in script.blocks())


# ---- the interview --------------------------------------------------------------------------


def test_an_interview() -> None:
    """What was answered is what the script holds, and what it says of itself is true."""
    asked = Interview(
        Manner("Harbour sums", readings=3, between="4 s", answer_time="12 s"),
        (Group("Short", 4, "8 s"), Group("Long: {x}", 3)),
        n_practice=2,
        stop_between=True,
        turn_between=True,
    )
    found = reading_of(script_of_interview(asked))
    questions = list(found.script.questions())
    blocks = [block for _, _, block in found.script.blocks()]

    assert [one for one in found.problems if one.code.startswith("states")] == []
    assert [one.label for one in questions if one.practice] == ["Practice 1", "Practice 2"]
    times = [
        one.delivery.answer_time.value
        for one in questions
        if not one.practice and one.delivery.answer_time
    ]
    assert times == [8] * 4 + [12] * 3
    assert {one.delivery.readings.value for one in questions} == {3}
    assert sum(isinstance(one, Stop) for one in blocks) == 2
    assert sum(isinstance(one, PageTurn) for one in blocks) == 1


@pytest.mark.parametrize("n", [1, 2, 21, 300])
def test_interviews_of_any_length(n: int) -> None:
    """One question and three hundred."""
    found = reading_of(script_of_interview(Interview(MANNER, (Group("", n),))))

    assert len(list(found.script.questions())) == n


@pytest.mark.parametrize(
    "asked",
    [
        Interview(MANNER),
        Interview(MANNER, (Group("", 301),)),
        Interview(Manner("x", answer_time="soon"), (Group("", 3),)),
        Interview(MANNER, (Group("", 3, "5 parsecs"),)),
    ],
)
def test_interviews_that_make_no_test(asked: Interview) -> None:
    """Said with a hint."""
    with pytest.raises(OutputError):
        script_of_interview(asked)
