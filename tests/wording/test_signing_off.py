"""The sign-off table, lines from a pipe, captions' own figures, and answers that would be told."""

from __future__ import annotations

import io
import json
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright import cli
from pausewright.script.reader import read
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded
from support.scripts.script_cases import FILE, HEAD, TAIL

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., tuple[int, str, str]]

SCRIPT = """---
title: T
language: en-GB
answer-time: 5 s
---
Look at the sheet.

1. What is 3/4 of £4.50? {key="£3.38"}

2. Was it 5:2 in [1905]{as="year"}?

The end.
"""


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command with lines on its standard input; gives exit code, output and messages."""
    monkeypatch.chdir(tmp_path)

    def call(*arguments: str, lines: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["pausewright", *arguments])
        monkeypatch.setattr(sys, "stdin", io.StringIO(lines))
        with pytest.raises(SystemExit) as stopped:
            cli.main()
        out, err = capsys.readouterr()
        return int(stopped.value.code or 0), out, err

    return call


def test_the_table_shows_each_form_and_warnings_come_first(run: Run, tmp_path: Path) -> None:
    """Every changed sentence has its line and forms; plain ones are counted; nothing is written."""
    (tmp_path / "t.md").write_text(SCRIPT, encoding="utf-8")
    code, out, err = run("wording", "t.md")

    assert code == 0
    assert "‘5:2’ is read “five to two”" in err
    assert "line 8\n    written  What is 3/4 of £4.50?\n" in out
    assert "    spoken   What is three quarters of four pounds fifty?\n" in out
    assert "    spoken   Was it five to two in nineteen oh five?\n" in out
    assert "Look at the sheet" not in out
    assert "Look at the sheet" in run("wording", "t.md", "--all", "--quiet")[1]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["t.md"]


def test_the_table_as_data(run: Run, tmp_path: Path) -> None:
    """--json holds problems and sentences, with everything that the table shows."""
    (tmp_path / "t.md").write_text(SCRIPT, encoding="utf-8")
    code, out, _ = run("wording", "t.md", "--json")
    data = json.loads(out)

    assert code == 0
    assert [p["code"] for p in data["problems"]] == ["wording-ambiguous"]
    told = {row["written"]: row["spoken"] for row in data["sentences"]}
    assert told["What is 3/4 of £4.50?"] == "What is three quarters of four pounds fifty?"
    assert told["Look at the sheet."] == "Look at the sheet."


def test_the_table_of_a_script_with_errors_is_shown_with_exit_code_2(
    run: Run, tmp_path: Path
) -> None:
    """What has no words is told; the rest of the table is there all the same."""
    (tmp_path / "t.md").write_text(SCRIPT.replace("5:2", "1,50"), encoding="utf-8")
    code, out, err = run("wording", "t.md")

    assert code == 2
    assert "there are no words for ‘1,50’ yet" in err
    assert "three quarters of four pounds fifty" in out


def test_the_table_asks_for_a_speaker_where_none_has_looked(run: Run, tmp_path: Path) -> None:
    """Spanish is read, and its rows carry a note; Italian has no figures and says so."""
    text = SCRIPT.replace("Look at the sheet.", "Say [tengo 3]{lang=es} and [ciao]{lang=it}.")
    (tmp_path / "t.md").write_text(text, encoding="utf-8")
    _, out, _ = run("wording", "t.md", "--quiet")

    assert "    spoken   Say tengo tres and ciao.\n" in out
    assert "The wording in es was not reviewed by a speaker: have a speaker sign it off.\n" in out
    assert "The wording in it has no words for figures: have a speaker sign it off.\n" in out


def test_sentences_of_an_included_file_name_it(run: Run, tmp_path: Path) -> None:
    """A line number alone would point into the wrong file."""
    (tmp_path / "more.md").write_text("It is 5 km.\n", encoding="utf-8")
    text = SCRIPT.replace("Look at the sheet.", "[More](more.md){.include}")
    (tmp_path / "t.md").write_text(text, encoding="utf-8")
    _, out, _ = run("wording", "t.md", "--quiet")

    assert "more.md, line 1\n    written  It is 5 km.\n    spoken   It is five kilometres.\n" in out
    assert "\nline 8\n" in out


def test_lines_from_a_pipe(run: Run) -> None:
    """One spoken line for each line, an empty one for an empty one; spans work as in a script."""
    lines = 'It is 9 °C.\n\n[5–0]{as="score"} [cat]{.spell} [3]{lang=es}\n1. Add 2 + 2.\n'
    code, out, err = run("wording", "--language", "en-GB", "-", lines=lines)

    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "It is nine degrees Celsius.", "", "five nil C, A, T tres", "one. Add two plus two.",
    ]  # fmt: skip


def test_lines_in_american_english_with_a_way_of_reading(run: Run) -> None:
    """The language and --set choose; data has one object a line."""
    code, out, _ = run(
        "wording", "--language", "en-US", "--set", "zero=oh", "--set", "times=quarter-past",
        "--json", "-", lines="101 at 3.15 pm, 0.5\n",
    )  # fmt: skip

    assert code == 0
    assert json.loads(out)["spoken"] == "one hundred one at quarter past three, oh point five"


def test_lines_with_problems(run: Run) -> None:
    """Each problem has line and column; errors give exit code 2, and no line is lost."""
    code, out, err = run(
        "wording", "--language", "en", "-",
        lines='a\nIt is 1,50.\n[x]{as="yaer"} [y]{.tone} [z]{lang="?"} [q\n...\n',
    )  # fmt: skip

    assert code == 2
    assert len(out.splitlines()) == 4
    assert "-:2:7: error: there are no words for ‘1,50’ yet" in err
    assert "-:3:1: error: ‘yaer’ is not known here" in err
    assert "error: ‘tone’ cannot stand here" in err
    assert "error: ‘?’ is not a language tag" in err
    assert "-:4:1: error: nothing here can be said" in err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("-",), "lines need a language"),
        (("--language", "english", "-"), "language"),
        (("--language", "en", "--set", "zeero=oh", "-"), "‘zeero’ is not a way of reading"),
        (("--language", "en", "--set", "nil", "-"), "is not known for nil"),
        (("--language", "en", "t.md"), "--language and --set are for lines from a pipe"),
    ],
)
def test_a_wrong_call_says_what_to_type(
    run: Run, tmp_path: Path, arguments: tuple[str, ...], message: str
) -> None:
    """Exit code 2, a sentence and a hint; no traceback."""
    (tmp_path / "t.md").write_text(SCRIPT, encoding="utf-8")
    code, _, err = run("wording", *arguments, lines="x\n")

    assert code == 2
    assert message in err


CAPTIONS = {
    "It has 3 doors and 7 windows.": "It has three doors and seven windows.",
    "It has 3 doors and 12 windows.": "It has 3 doors and 12 windows.",
    "12 boats came.": "Twelve boats came.",
    "10 boats and 1 gull.": "Ten boats and one gull.",
    "Take 5 kg at 3.15 pm for £4.": "Take 5 kg at 3.15 pm for £4.",
    "What is 7 + 8?": "What is 7 + 8?",
    "Half of 2½ is 5/4, not 3 %.": "Half of 2½ is 5/4, not 3 %.",
    'Then [9]{say="nein" shown="9!"} and 4.': "Then 9! and 4.",
}
"""DCMP Captioning Key, "Numbers" (captioningkey/606): one to ten spelled, numerals above ten, a
number that begins a sentence spelled, all numerals if one of the sentence is above ten."""


@pytest.mark.parametrize("text", CAPTIONS)
def test_captions_can_spell_small_numbers(text: str) -> None:
    """What is spoken stays the same; what is shown follows the convention that is chosen."""
    head = HEAD.replace("answer-time", "wording:\n  caption-figures: words-to-ten\nanswer-time")
    lines = [Worded(read(FILE, one + text + TAIL).script) for one in (HEAD, head)]
    (plain,), (spelled,) = (
        worded.line(next(b for _, _, b in worded.script.blocks()))  # type: ignore[arg-type]
        for worded in lines
    )

    assert isinstance(plain, Utterance)
    assert isinstance(spelled, Utterance)
    assert spelled.shown == CAPTIONS[text]
    assert spelled.spoken == plain.spoken


TOLD = {
    "Write 405 in words.": True,
    "Write the number on your sheet in words.": False,
    "Write XIV in figures.": True,
    "Write it in figures: four hundred and five.": False,
    "What does kg stand for?": True,
    "What does [kg]{.spell} stand for?": True,
    "What does the flag stand for?": False,
    "What is 3.15 pm on a 24-hour clock?": False,
}


@pytest.mark.parametrize("text", TOLD)
def test_a_question_that_is_answered_by_reading_it_gets_a_warning(text: str) -> None:
    """Where words or figures are asked for, and the voice or a caption gives them."""
    worded = Worded(read(FILE, f"{HEAD}1. {text}{TAIL}").script)
    warned = [p for p in worded.problems.all if p.code == "answer-told"]

    assert bool(warned) == TOLD[text]
    assert all(p.place.line == 6 and p.hint for p in warned)


def test_captions_that_show_the_figures_asked_for_get_a_warning() -> None:
    """Only where captions show the question."""
    settings = 'captions: everything\ncaptions-reason: "practice"\nanswer-time'
    for head, n in ((HEAD, 0), (HEAD.replace("answer-time", settings), 1)):
        worded = Worded(read(FILE, f"{head}1. Write 305 in figures.{TAIL}").script)
        assert sum(p.code == "answer-told" for p in worded.problems.all) == n


def test_a_time_read_by_the_quarter_answers_a_question_about_clocks() -> None:
    """With times: quarter-past the voice gives the other form."""
    head = HEAD.replace("answer-time", "wording:\n  times: quarter-past\nanswer-time")
    worded = Worded(read(FILE, f"{head}1. What is 3.15 pm on a 24-hour clock?{TAIL}").script)

    assert [p.code for p in worded.problems.all] == ["answer-told"]
