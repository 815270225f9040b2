"""A look time before each question: where it stands, what counts it, who is told."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.deliver.build import build_versions
from pausewright.deliver.build_options import Options
from pausewright.deliver.comparison import compare
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.script.edition import edition
from support.paper_text import text_of
from support.scripts.short_scripts import short
from support.scripts.versions import END, HEAD, expected_waits, options, version, waits, written

if TYPE_CHECKING:
    from pathlib import Path

F = Fraction
ANNOUNCED = HEAD.replace("voice: joe\n", 'voice: joe\nannounce: "Number {number}."\n')
BODY = (
    '# Songs {readings="2" between-readings="3 s" answer-time="6 s"}\n\n'
    'Look at your sheet. You have [ten seconds]{states="look-time"}. {look-time="10 s"}\n\n'
    '1. What is the song? {key="A"}\n2. Who sings? {key="B"}\n'
)
EACH = "look-time: {before-questions: 15 s}"


def test_it_stands_after_the_announcement_once(tmp_path: Path) -> None:
    """Before the first reading alone, in place of the pause; the script's own stays and is true."""
    made = version(tmp_path, ANNOUNCED + BODY + END, EACH)
    rows = [short(step) for step in made.steps]
    at = rows.index("Number two.")

    assert rows[at : at + 5] == [
        "Number two.", "look-time 15", "Who sings?", "between-readings 3", "Who sings?",
    ]  # fmt: skip
    assert waits(made, "look-time") == expected_waits(made, "look-time") == [F(10), F(15), F(15)]
    assert any("You have ten seconds." in row for row in rows)


def test_words_stand_where_nothing_is_announced(tmp_path: Path) -> None:
    """Without an announcement the declared words are said; with one they are not needed."""
    words = 'look-time: {before-questions: 15 s, words: "Look at {number}."}'
    rows = [short(s) for s in version(tmp_path, HEAD + BODY + END, words).steps]
    at = rows.index("Look at one.")

    assert rows[at : at + 3] == ["Look at one.", "look-time 15", "What is the song?"]
    assert "answer-time 6" in rows[at + 3 :]
    told = [short(s) for s in version(tmp_path, ANNOUNCED + BODY + END, words).steps]
    assert "Look at one." not in told


def test_without_a_word_before_it_is_refused(tmp_path: Path) -> None:
    """Beside the answer time before it, it would be one silence: told with what to write."""
    made = version(tmp_path, HEAD + BODY + END, EACH, errors=True)
    (error,) = [p for p in made.problems if p.severity == "error"]

    assert "nothing is said before question 1" in error.message
    assert 'words: "Question {number}."' in error.hint
    assert error.place.file.name == "tide.arrangements.yaml"


def test_patterns_are_named_and_others_left(tmp_path: Path) -> None:
    """A pattern says its question itself; withdrawn, printed and repeated questions get none."""
    head = ANNOUNCED.replace("voice: joe\n", 'voice: joe\npatterns: {p: [{say: "{1}"}]}\n')
    body = (
        '# Words {answer-time="6 s"}\n\n1. ship {pattern="p"}\n2. Who? {.withdrawn}\n'
        "3. What is on your map? {.printed}\n4. Where? {practice}\n\n"
        '    - a. Near it? {key="x"}\n    - b. Far? {key="y"}\n\n'
        '::: again {questions="1" answer-time="4 s"}\nOnce more.\n:::\n'
    ).replace(" {practice}", "")
    made = version(tmp_path, head + body + END, EACH)
    (warning,) = [p for p in made.warnings if p.code == "arrangement-look-time"]

    assert warning.message.endswith("what a pattern says: question 1")
    assert waits(made, "look-time") == expected_waits(made, "look-time") == [F(15)]
    rows = [short(step) for step in made.steps]
    assert rows[rows.index("look-time 15") + 1] == "Where?"


def test_said_again_nobody_looks_first(tmp_path: Path) -> None:
    """What is said again is said as it was read, without a second time to look."""
    again = '\n::: again {questions="1" answer-time="4 s"}\nOnce more.\n:::\n'
    made = version(tmp_path, ANNOUNCED + BODY + again + END, EACH)

    assert waits(made, "look-time") == expected_waits(made, "look-time") == [F(10), F(15), F(15)]


def test_extra_time_counts_it(tmp_path: Path) -> None:
    """A quarter of 10 + 2 × 15 s of look time is 10 s, each longer by a quarter."""
    made = version(
        tmp_path, ANNOUNCED + BODY + END,
        f"{EACH}, extra-time: 25 %, stretch: [look-time], share-of: listed-silences, "
        "where: each-gap",
    )  # fmt: skip

    assert made.grant is not None
    assert made.grant.sum_text == "10 s (3 gaps) = 25 % of 40 s"
    apart = [F(25, 2), F(75, 4), F(75, 4)]
    assert waits(made, "look-time") == expected_waits(made, "look-time") == apart


def test_a_passage_in_the_question_keeps_its_own(tmp_path: Path) -> None:
    """A question's words part its look time from that of a passage in it."""
    body = (
        '# Sea {answer-time="6 s"}\n\n1. Who?\n\n'
        '    ::: passage {look-time="4 s"}\n    The tide.\n    :::\n'
    )
    made = version(tmp_path, ANNOUNCED + body + END, EACH)

    assert waits(made, "look-time") == expected_waits(made, "look-time") == [F(15), F(4)]


def test_it_is_compared_built_checked_and_on_the_running_sheet(tmp_path: Path) -> None:
    """The sums of the comparison hold it, the check of the built track too; no edition changes."""
    script = written(tmp_path, ANNOUNCED + BODY + END, f"x: {{label: B, basis: f, {EACH}}}")
    project = open_project(script)
    standard, looks = made_versions(project)
    columns = compare(project, (standard, looks), Options(tmp_path / "out"))

    assert [one.silences_s["look-time"] for one in columns] == [F(10), F(40)]
    assert edition(looks.script) == edition(standard.script)
    built = build_versions(script, options(tmp_path))
    assert all(one.is_good for one in built)
    for one, times in zip(built, (1, 3), strict=True):
        (sheet,) = (p for p in one.files if p.name.startswith("running-sheet"))
        assert text_of(sheet).count("Look time, ") == times
        assert not any("look" in p.name for p in one.files)
