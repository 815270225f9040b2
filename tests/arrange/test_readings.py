"""A declared number of readings: of questions, of what is in them, and of what has an order."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build_options import Options
from pausewright.deliver.comparison import compare
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.plan.timeline import Say
from pausewright.script.reader import read
from support.scripts.versions import END, HEAD, expected_waits, version, waits, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.version import Version

F = Fraction
BETWEEN = ("between-readings", "phrase-time", "between-phrase-readings", "answer-time")
DICTATION = (
    '1. Write this. {answer-time="none"}\n\n    ::: dictation {ORDER phrase-time="9 s" '
    'phrase-readings="2" answer-time="20 s"}\n    - Rain fell\n    - on the pier.\n    :::\n'
)
LEFT = "‘readings’ changes nothing in what is heard more often already: "
PHRASES = 'order="whole, phrases, whole" between-readings="6 s, 8 s"'


def said(made: Version) -> list[str]:
    """Return what is said, in order."""
    return [getattr(s.element, "words", "a tone") for s in made.steps if isinstance(s, Say)]


def warned(made: Version) -> list[str]:
    """Return the messages about readings that stay."""
    return [p.message for p in made.warnings if p.code == "arrangement-readings"]


def test_what_is_heard_more_often_stays_and_is_named(tmp_path: Path) -> None:
    """A dictation that is heard four times is not read less often where three are declared."""
    text = HEAD + DICTATION.replace("ORDER", PHRASES) + END
    made = version(tmp_path, text, "readings: 3")

    assert said(made).count("Write this.") == 1
    assert said(made).count("Rain fell") == 2
    assert waits(made, *BETWEEN) == expected_waits(made, *BETWEEN)
    assert waits(made, "between-readings") == [F(6), F(8)]
    assert warned(made) == [f"{LEFT}the dictation in question 1 (line 9), heard four times"]
    (problem,) = [p for p in made.warnings if p.code == "arrangement-readings"]
    assert "takes no reading away" in problem.hint
    assert problem.place.file.name == "tide.arrangements.yaml"
    assert [(p.file.name, p.line) for p in problem.also] == [("tide.md", 9)]


def test_nothing_is_named_that_is_heard_so_often(tmp_path: Path) -> None:
    """CV-12: whole, phrases twice, whole are four readings, announced so on a national recording.

    A timed transcript of a Chinese national dictation recording (chaoxing course 201231481).
    """
    made = version(tmp_path, HEAD + DICTATION.replace("ORDER", PHRASES) + END, "readings: 4")

    assert warned(made) == []


def test_a_further_reading_of_an_order_is_whole(tmp_path: Path) -> None:
    """Five readings of "whole, phrases twice, whole": a whole one after the last silence."""
    made = version(tmp_path, HEAD + DICTATION.replace("ORDER", PHRASES) + END, "readings: 5")

    assert said(made).count("Rain fell on the pier.") == 3
    assert waits(made, "between-readings") == [F(6), F(8), F(8)]
    assert waits(made, *BETWEEN) == expected_waits(made, *BETWEEN)
    assert warned(made) == []


@pytest.mark.parametrize(
    ("order", "between"),
    [("whole", 'between-readings="5 s"'), ("whole, whole, whole", 'between-readings="5 s, 7 s"')],
)
def test_whole_readings_of_a_dictation_are_more(tmp_path: Path, order: str, between: str) -> None:
    """Where every reading is whole, a further one is whole, the last silence between once more."""
    text = HEAD + DICTATION.replace("ORDER", f'order="{order}" {between}') + END
    made = version(tmp_path, text, "readings: 4")
    apart = [F(5)] * 3 if order == "whole" else [F(5), F(7), F(7)]

    assert said(made).count("Rain fell on the pier.") == 4
    assert waits(made, "between-readings") == expected_waits(made, "between-readings") == apart
    assert warned(made) == []


def test_whole_readings_come_after_pieces(tmp_path: Path) -> None:
    """A plan grows by whole readings at its end, with pieces in it or without."""
    text = HEAD + (
        '::: passage {order="whole, pieces, whole" between-readings="5 s" answer-time="9 s"}\n'
        "The tide turns.\n:::\n\nNow another one.\n\n"
        '::: passage {order="whole, whole" between-readings="4 s" answer-time="9 s"}\n'
        "The bell rings.\n:::" + END
    )
    made = version(tmp_path, text, "readings: 4")

    assert said(made).count("The tide turns.") == 4
    assert said(made).count("The bell rings.") == 4
    assert waits(made, *BETWEEN) == expected_waits(made, *BETWEEN)
    assert warned(made) == []


def test_a_passage_in_a_question_is_not_read_nine_times(tmp_path: Path) -> None:
    """Three readings are three hearings of a passage in a question, whoever of the two has them."""
    question = (
        '1. Which bird? {answer-time="6 s" readings="OUTER" between-readings="3 s"}\n\n'
        '    ::: passage {readings="INNER" between-readings="4 s"}\n    A gull cries.\n    :::\n\n'
        "    - A. gull\n    - B. tern\n"
    )
    for outer, inner, n_words in (("1", "2", 1), ("2", "1", 3), ("1", "1", 3)):
        text = HEAD + question.replace("OUTER", outer).replace("INNER", inner) + END
        made = version(tmp_path, text, "readings: 3")

        assert said(made).count("A gull cries.") == 3, (outer, inner)
        assert said(made).count("Which bird?") == n_words, (outer, inner)
        assert waits(made, *BETWEEN) == expected_waits(made, *BETWEEN)


def test_fewer_whole_readings_are_refused(tmp_path: Path) -> None:
    """An arrangement takes no reading away, of what has an order neither."""
    text = HEAD + DICTATION.replace("ORDER", 'order="whole, whole"') + END
    made = version(tmp_path, text, "readings: 1", errors=True)

    assert [p.message for p in made.problems] == [
        "the dictation in question 1 (line 9) is read 2 times in the script"
    ]


def test_compare_counts_and_warns(tmp_path: Path) -> None:
    """The comparison shows how often a dictation is heard, and carries the warning."""
    text = HEAD + DICTATION.replace("ORDER", PHRASES) + '2. Who? {answer-time="6 s"}' + END
    project = open_project(written(tmp_path, text, "x: {label: B, basis: f, readings: 3}"))
    versions = made_versions(project)

    columns = compare(project, versions, Options(tmp_path / "out"))
    assert [one.readings for one in columns] == ["1, 4", "3, 4"]
    assert [len(warned(one)) for one in versions] == [0, 1]


def test_phrase_times_are_stated_and_restated(tmp_path: Path) -> None:
    """Extra time in phrase times is said where they are stated; what grows cannot be stated."""
    order = 'order="whole, phrases"'
    head = HEAD + 'After each phrase there are [nine seconds]{states="phrase-time"}. It is read '
    head += '[three times]{states="readings"}.\n\n'
    made = version(
        tmp_path, head + DICTATION.replace("ORDER", order) + END,
        "extra-time: 50 %, stretch: [phrase-time], share-of: listed-silences, where: each-gap",
    )  # fmt: skip

    assert said(made)[0] == "After each phrase there are thirteen and a half seconds."
    assert waits(made, "phrase-time") == expected_waits(made, "phrase-time") == [F(27, 2)]

    growing = DICTATION.replace("ORDER", order).replace('"9 s"', '"9 s to 12 s"')
    growing = growing.replace("    - on the pier.", "    - on the pier\n    - and the boats.")
    script = tmp_path / "grows.md"
    script.write_text(head + growing + END, "utf-8")
    messages = [p.message for p in read(script).problems if p.severity == "error"]
    assert messages == ["‘nine seconds’ is stated, but phrase 2 of the dictation has 12 s"]
