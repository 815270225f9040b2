"""What is typed wrongly is told with the form that is meant; what is not seen is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from pausewright.script.reader import read
from pausewright.wording.plain_lines import LineWorder
from pausewright.wording.table import rows, table_text
from pausewright.wording.worded import Worded
from support.scripts.script_cases import FILE, HEAD, TAIL


def problems(line: str, language: str = "en-GB") -> list[tuple[str, str, str, str]]:
    """Return severity, code, message and hint of every problem of a line."""
    worder = LineWorder(Path("-"), language, {})
    worder.spoken(line)
    return [(p.severity, p.code, p.message, p.hint) for p in worder.problems.all]


@pytest.mark.parametrize(
    ("line", "written", "meant"),
    [
        ("It weighs 5 kgs.", "kgs", "write kg"),
        ("It weighs 5 Kg.", "Kg", "write kg"),
        ("Wait 20 sec. and stop.", "sec.", "write s"),
        ("It is 3 kms long.", "kms", "write km"),
        ("It holds 2 ltr.", "ltr", "write l"),
        ("It runs at 50 KHz.", "KHz", "write kHz"),
    ],
)
def test_a_unit_with_a_typing_error(line: str, written: str, meant: str) -> None:
    """It is read as it is meant, with a warning that names the form to write."""
    found = problems(line)

    assert [(p[0], p[1], p[3]) for p in found] == [("warning", "wording-slip", meant)]
    assert f"‘{written}’" in found[0][2]


@pytest.mark.parametrize("sign", ["\u200b", "\u200e", "\u202e", "\u2066", "\u00ad", "\ufeff"])
def test_a_sign_that_is_not_seen_inside_a_number(sign: str) -> None:
    """Invisible and bidirectional signs are refused: nobody sees what they do to a number."""
    assert ("error", "wording-hidden") in [p[:2] for p in problems(f"It costs 12{sign}34 pounds.")]


@pytest.mark.parametrize("line", ["Ask the mgr for it.", "Use 5 brk of it.", "See the hrld."])
def test_letters_that_are_no_word(line: str) -> None:
    """No string of letters reaches the voice that a reader could not say."""
    assert [p[:2] for p in problems(line)] == [("error", "wording-none")]


def test_a_full_stop_inside_a_sentence() -> None:
    """An abbreviation that nobody knows is a warning."""
    found = problems("The zorb. of it is red.")

    assert [p[:2] for p in found] == [("warning", "wording-abbreviation")]


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        (r"Find $\\frac{1$ now.".replace("\\\\", "\\"), "every {"),
        (r"Find $3 \x 4$ now.", r"\times"),
        ("Find $40\\degrees$ now.", r"\circ"),
    ],
)
def test_a_formula_that_cannot_be_parsed(line: str, hint: str) -> None:
    """It is an error at its own place, with the likely form."""
    found = problems(line)

    assert [p[:2] for p in found] == [("error", "wording-formula")]
    assert hint in found[0][3]


def test_latex_without_dollar_signs() -> None:
    """It is read as the formula that it is, with the form to write."""
    worder = LineWorder(Path("-"), "en-GB", {})

    assert worder.spoken(r"Work out 2.1\overline{6} now.") == (
        "Work out two point one six recurring now."
    )
    assert [(p.severity, p.code, p.hint) for p in worder.problems.all] == [
        ("warning", "wording-formula", r"write $2.1\overline{6}$")
    ]


@pytest.mark.parametrize("line", ["Add 10–b now.", "Look at b:3 now.", "Take x–5 away."])
def test_a_dash_or_colon_that_nobody_says(line: str) -> None:
    """Beside a figure it means something; where nothing reads it the author is told."""
    assert ("warning", "wording-ambiguous") in [p[:2] for p in problems(line)]


@pytest.mark.parametrize(
    ("typed", "usual"),
    [("Draw ∆ABC.", "Draw ΔABC."), ("Show that AB ⟂ CD.", "Show that AB ⊥ CD."),
     ("A 5 Ω coil.", "A 5 Ω coil."), ("It is 0.9˙ exactly.", "It is 0.9\u0307 exactly.")],
)  # fmt: skip
def test_signs_that_look_like_others(typed: str, usual: str) -> None:
    """Both are read alike."""
    worder = LineWorder(Path("-"), "en-GB", {})

    assert worder.spoken(typed) == worder.spoken(usual)
    assert worder.problems.all == ()


def test_a_language_without_a_rule() -> None:
    """Its figures are errors, never English words."""
    assert ("error", "wording-none") in [p[:2] for p in problems("Ho 12 kg.", "it-IT")]


def test_a_formula_in_a_script_has_its_place_and_is_read_before_braces() -> None:
    """Dollars with digits behind them stay money; backslashes and braces of LaTeX are untouched."""
    body = (
        r"Tickets cost $5 and $10; solve $\frac{x_{1}}{2} = 3$ for \$4."
        "\n\nNow $\\foo$ is wrong.\n"
    )
    reading = read(FILE, HEAD + body + TAIL)
    worded = Worded(reading.script)
    words = [r.utterance.words for r in rows(worded) if r.utterance.place.line == 6]

    assert [p for p in reading.problems if p.severity == "error"] == []
    assert words[0] == (
        "Tickets cost five dollars and ten dollars; solve x sub one over two equals three for "
        "four dollars."
    )
    assert [(p.place.line, p.place.column) for p in worded.problems.errors] == [(8, 5)]


def test_the_table_says_which_cue_decided() -> None:
    """Who signs the wording off sees the words that told a year from a number."""
    reading = read(FILE, HEAD + "The inn was built in 1905 by 1905 men.\n" + TAIL)
    text = table_text(rows(Worded(reading.script)), everything=False)

    assert "because  ‘1905’ read as year: “in”" in text


def test_a_respelling_that_would_be_spelled_out() -> None:
    """Capitals inside a word are a warning with the cure, in the settings and at the place."""
    head = HEAD.replace("answer-time: 5 s\n", "answer-time: 5 s\nwords:\n  Xanthe: ZAN-thee\n")
    body = 'Xanthe met [Zsigmond]{say="ZHIG-mond"} and [Anna]{say="Anna Marie"}.\n'
    worded = Worded(read(FILE, head + body + TAIL).script)
    found = [(p.code, p.hint) for p in worded.problems.all]

    assert found == [
        ("respelling-capitals", "write it in small letters: zan-thee"),
        ("respelling-capitals", "write it in small letters: zhig-mond"),
    ]
