"""What arrangements change beside time: readings, parts, look time, pauses, captions, words."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.arrange.declarations import read_arrangements
from pausewright.papers.plain import answer_sheet
from pausewright.plan.timeline import Say
from pausewright.script.model import Span
from pausewright.script.reader import read
from pausewright.script.walk import all_inlines, proses
from support.scripts.short_scripts import short
from support.scripts.versions import END, HEAD, expected_waits, version, waits, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.version import Version

F = Fraction
BODY = (
    HEAD.replace("voice: joe\n", 'voice: joe\nannounce: "Number {number} of {total}."\n')
    + (
        '# Songs {readings="2" between-readings="3 s" answer-time="6 s"}\n\n'
        'There are [three]{states="questions"} questions here, each is read '
        '[twice]{states="readings"}. After the [second]{states="last-reading"} reading you have '
        '[six seconds]{states="answer-time"}.\n\n'
        'Look at your sheet. You have [ten seconds]{states="look-time"}. {look-time="10 s"}\n\n'
        '1. What is the song? {key="A"}\n2. Who sings, and where? {key="B"}\n3. Why? {key="C"}\n\n'
        '# Sums {answer-time="8 s"}\n\n4. Take nine from forty. Then halve it. {sheet="40" key="D"}'
    )
    + END
)


def said(made: Version) -> list[str]:
    """Return what is said, in order."""
    return [s.element.words for s in made.steps if isinstance(s, Say)]  # type: ignore[union-attr]


def stated(made: Version) -> list[str]:
    """Return the words of every `states` span, as they stand on paper."""
    return [
        "".join(getattr(child, "text", "") for child in node.children)
        for _, _, block in made.script.blocks()
        for prose in proses(block)
        for node in all_inlines(prose.inlines)
        if isinstance(node, Span) and node.states
    ]


def test_a_third_reading_is_read_and_said(tmp_path: Path) -> None:
    """Two readings become three, and every instruction says so, in speech and on paper."""
    made = version(tmp_path, BODY, "readings: 3")

    assert waits(made, "between-readings") == expected_waits(made, "between-readings") == [F(3)] * 8
    assert stated(made) == ["three", "three times", "third", "six seconds", "ten seconds"]
    assert said(made)[:2] == [
        "There are three questions here, each is read three times.",
        "After the third reading you have six seconds.",
    ]
    assert waits(made, "answer-time") == [F(6), F(6), F(6), F(8)]


def test_extra_time_is_said_where_it_is(tmp_path: Path) -> None:
    """Stated times follow the silences, in speech and on paper."""
    made = version(
        tmp_path, BODY, "extra-time: 25 %, stretch: [answer-time, look-time], "
        "share-of: listed-silences, where: each-gap",
    )  # fmt: skip

    assert stated(made) == [
        "three", "twice", "second", "seven and a half seconds", "twelve and a half seconds",
    ]  # fmt: skip


def test_a_statement_that_cannot_be_true_is_refused(tmp_path: Path) -> None:
    """One sentence cannot state two times that differ by more than a tenth."""
    text = HEAD + (
        '# Sums {answer-time="6 s"}\n\nYou have [six seconds]{states="answer-time"}.\n\n'
        "1. One?\n\n## More\n\n2. Two?" + END
    )
    text = text.replace("1. One?", '1. One? {answer-time="6 s" time-cue="half"}')
    made = version(
        tmp_path, text.replace("2. Two?", '::: again {questions="1" answer-time="6 s"}\nNow.\n:::'),
        "extra-time: 60 s, where: fixed-and-remainder, fixed-pause: 30 s",
    )  # fmt: skip
    assert stated(made) == ["thirty-six seconds"]

    pattern = HEAD.replace(
        "voice: joe\n", 'voice: joe\npatterns:\n  p:\n    - say: "{1}"\nreadings: 2\n'
    )
    body = (
        '# Sums {answer-time="6 s"}\n\n1. One?\n2. Two?\n\n'
        '# End\n\nAll are read [twice]{states="readings"}.' + END
    )
    assert stated(version(tmp_path, pattern + body, "readings: 3")) == ["three times"]


def test_parts_left_out_leave_track_papers_and_key(tmp_path: Path) -> None:
    """A part that is left out is neither heard nor printed; numbers stay as they were."""
    made = version(tmp_path, BODY, "leave-out: [Songs]")
    sheet = answer_sheet(made.script, label="B", edition="E")

    assert said(made) == [
        "Number four of four.", "Take nine from forty.", "Then halve it.", "The test is over.",
    ]  # fmt: skip
    assert "4." in sheet
    assert "1." not in sheet
    assert [q.key.text for q in made.script.questions() if q.key] == ["D"]


def test_look_time_becomes_longer(tmp_path: Path) -> None:
    """Every look time of the script becomes the declared one, and is stated."""
    made = version(tmp_path, BODY, "look-time: 60 s")

    assert waits(made, "look-time") == expected_waits(made, "look-time") == [F(60)]
    assert stated(made)[-1] == "one minute" or stated(made)[-1] == "sixty seconds"


def test_pauses_stand_at_marks_only(tmp_path: Path) -> None:
    """SP-10, SP-11: pauses at the marks of sentences and clauses inside readings, nowhere else.

    Uchanski et al., JSHR 39, 1996; O'Leary et al., Trends in Hearing 27, 2023.
    """
    made = version(tmp_path, BODY, "pauses: {sentence: 1.2 s, clause: 0.6 s}")
    rows = [short(step) for step in made.steps]
    at = rows.index("Who sings,")

    assert rows[at : at + 3] == ["Who sings,", "pause 3/5", "and where?"]
    at = rows.index("Take nine from forty.")
    assert rows[at : at + 3] == ["Take nine from forty.", "pause 6/5", "Then halve it."]
    instruction = "There are three questions here, each is read twice."
    assert instruction in rows
    assert rows[rows.index(instruction) + 1] == "default-pause 2/5"
    assert expected_waits(made, "pause") == waits(made, "pause")


def test_letters_and_numbers_are_never_parted(tmp_path: Path) -> None:
    """A word spelled out and a number with commas stay in one piece."""
    text = HEAD + (
        '# Words {answer-time="6 s"}\n\n1. Write this word down now: [yacht]{.spell}. {key="y"}\n'
        '2. What is 1,200 and one more, in words? {key="z"}' + END
    )
    made = version(tmp_path, text, "pauses: {clause: 1 s}")
    words = said(made)

    assert any("Y, A, C, H, T" in one for one in words)
    assert "What is one thousand two hundred and one more," in words


def test_a_pattern_is_said_again_by_its_own_words(tmp_path: Path) -> None:
    """A further reading of a pattern is what the pattern calls `again`; without it, a problem."""
    text = HEAD.replace("voice: joe\n", (
        'voice: joe\npatterns:\n  words:\n    steps:\n      - say: "{1}"\n      - pause: 2 s\n'
        '      - say: "{2}"\n    again:\n      - say: "Again: {1}."\n'
    ))  # fmt: skip
    body = '# W {pattern="words" answer-time="6 s"}\n\n1. ship\n\n    The ship sails.\n' + END
    made = version(tmp_path, text + body, "readings: 2")
    none = version(
        tmp_path, text.replace('    again:\n      - say: "Again: {1}."\n', "") + body,
        "readings: 2", errors=True,
    )  # fmt: skip

    assert said(made) == ["ship", "The ship sails.", "Again: ship.", "The test is over."]
    assert "does not say what a further reading is" in none.problems[0].message


def test_each_question_of_a_pattern_keeps_its_silence(tmp_path: Path) -> None:
    """Two questions of one pattern, different silences: none has the other's."""
    text = HEAD.replace("voice: joe\n", (
        'voice: joe\npatterns:\n  words:\n    steps:\n      - say: "{1}"\n'
        '    again:\n      - say: "{1}."\n'
    ))  # fmt: skip
    body = (
        '# W {pattern="words" answer-time="6 s"}\n\n1. ship {between-readings="2 s"}\n'
        '2. sail {between-readings="4 s"}\n' + END
    )
    made = version(tmp_path, text + body, "readings: 2")

    assert waits(made, "pause") == expected_waits(made, "pause") == [F(2), F(4)]


def test_captions_and_voice(tmp_path: Path) -> None:
    """Captions of everything, by another voice; the script's own pages stay as they are."""
    made = version(tmp_path, BODY, "captions: everything, voice: iris")

    assert all(s.captioned for s in made.steps if isinstance(s, Say))
    voices = {s.element.speech.voice for s in made.steps if isinstance(s, Say)}  # type: ignore[union-attr]
    assert voices == {"iris"}


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ("readings: 1", "is read 2 times in the script"),
        ("look-time: 5 s", "a look time in the script is longer"),
        ("leave-out: [Song]", "no part or group has the title ‘Song’"),
        ("leave-out: [Songs, Sums]", "nothing is left of the test"),
        ("rest-breaks: {after-questions: 9}", "no spoken question 9"),
    ],
)
def test_what_cannot_be_done_is_refused(tmp_path: Path, fields: str, words: str) -> None:
    """An arrangement takes nothing away and names what is there."""
    made = version(tmp_path, BODY, fields, errors=True)
    errors = [p for p in made.problems if p.severity == "error"]

    assert any(words in p.message for p in errors)
    assert all(p.hint for p in errors)


@pytest.mark.parametrize("every", ["1 min", "2 min", "5 min"])
def test_breaks_come_before_so_many_minutes_are_over(tmp_path: Path, every: str) -> None:
    """AA-14: breaks stand at ends of questions, so that no stretch is longer than declared."""
    rows = "\n".join(f"{n}. What is {n} plus {n}?" for n in range(1, 21))
    text = HEAD + '# Sums {answer-time="15 s"}\n\n' + rows + END
    made = version(tmp_path, text, f"rest-breaks: {{every: {every}}}")
    stretch_s, longest_s = F(0), F(0)
    for step in made.steps:
        if isinstance(step, Say):
            words = getattr(step.element, "words", "x")
            stretch_s += F(60 * len(words.split()), 140)
        elif getattr(step, "kind", "") == "hold":
            longest_s, stretch_s = max(longest_s, stretch_s), F(0)
        else:
            stretch_s += getattr(step, "wait_s", F(0))

    n_breaks = len(waits(made, "hold"))
    limit_s = F(int(every.split(maxsplit=1)[0]) * 60)
    assert 0 < longest_s <= limit_s if limit_s < 300 else n_breaks >= 1
    assert expected_waits(made, "hold") == waits(made, "hold")


def test_above_half_is_a_warning_and_never_cut(tmp_path: Path) -> None:
    """AA-16: more than 50 % is rare and exceptional (JCQ, by BATOD 2023): told, not changed."""
    fields = "extra-time: 100 %, stretch: [answer-time], share-of: listed-silences, where: each-gap"
    made = version(tmp_path, BODY, fields)
    script = written(tmp_path, BODY, "x: {label: B, basis: f, " + fields + "}")
    _, problems = read_arrangements(read(script), script)

    assert [p.code for p in problems.all] == ["extra-time-above-50"]
    assert problems.all[0].severity == "warning"
    assert waits(made, "answer-time") == [F(12), F(12), F(12), F(16)]


def test_a_test_that_permits_none(tmp_path: Path) -> None:
    """AA-09: where the paper forbids extra time, it is refused with the reason.

    QCA, eARA s.12.12, on the national curriculum mental mathematics test of 2008.
    """
    text = BODY.replace(
        "voice: joe\n", 'voice: joe\nextra-time: not-permitted\nextra-time-reason: "eARA 12.12"\n'
    )
    script = written(tmp_path, text, "x: {label: B, basis: f, extra-time: 5 min, where: test-end}")
    _, problems = read_arrangements(read(script), script)

    assert "does not permit extra time: eARA 12.12" in problems.all[0].message


def test_two_amounts_are_not_added(tmp_path: Path) -> None:
    """CV-20, CV-23: two needs are one declared total; two amounts are refused."""
    for amount in ("[25 %, 10 min]", "25 % and 10 min"):
        script = written(
            tmp_path, BODY, f"x: {{label: B, basis: f, extra-time: {amount}, where: test-end}}"
        )
        _, problems = read_arrangements(read(script), script)
        assert any(p.severity == "error" for p in problems.all), amount
