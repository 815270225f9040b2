"""A hint that can be typed can be pressed: what is offered, and that it mends the script."""

from __future__ import annotations

from pathlib import Path

import pytest
from pausewright.desk.cards.mends import mended, mends_of, piece_at
from pausewright.desk.cards.model import CardError
from pausewright.problems import Problem, ScriptError
from pausewright.script.reader import read
from support.scripts.script_cases import cases, whole

BAD = ("rules.md", "settings.md", "table.md", "traps.md")
HEAD = "---\ntitle: T\nlanguage: en-GB\nanswer-time: 9 s\n"


@pytest.mark.parametrize(
    ("message", "hint", "piece", "offered"),
    [
        ("‘kay’ is not an attribute", "did you mean key?", 'kay="7"', ('key="7"',)),
        ("‘langauge’ is not a setting", "did you mean language?", "langauge", ("language",)),
        ("‘stopp’ is not a block", "did you mean ::: stop?", "::: stopp", ("::: stop",)),
        ("‘cut’ is not known for ‘edges’", "write one of: trimmed, as recorded", "edges=cut",
         ("edges=trimmed", 'edges="as recorded"')),
        ("‘cut’ is not known", "write one of: trimmed, as recorded", '"cut"',
         ('"trimmed"', '"as recorded"')),
        ("x", "write \\} to print it", "}", ("\\}",)),
        ("x", "write \\} to print it", "x}", ()),
        ("x", "write seconds, for example: 30 s", 'for="30"', ('for="30 s"',)),
        ("x", "write seconds, for example: 30 s", "12", ()),
        ("x", "write seconds, for example: 30 s", "soon", ()),
        ("x", 'write [3:4]{as="ratio"} or [3:4]{as="score"}', "3:4",
         ('[3:4]{as="ratio"}', '[3:4]{as="score"}')),
        ("x", 'write [7]{say="…"} with the words to be said', "7", ()),
        ("x", "keep one of them", "key", ()),
        ("‘kay’ is not", "did you mean key?", "", ()),
        ("‘kay’ is not", "did you mean key?", "kay kay", ()),
        ("‘x’ is not", "write one of: a, b, c, d, e, f, g", "x", ()),
        ("the key ‘C’ is none of the answers to choose", "write one of: A, B", "key=C", ()),
    ],
)  # fmt: skip
def test_what_a_hint_offers(message: str, hint: str, piece: str, offered: tuple[str, ...]) -> None:
    """Written down by hand: in full and in this place, or nothing."""
    assert mends_of(message, hint, piece) == offered


def problems_of(text: str) -> tuple[Problem, ...]:
    """Return what is wrong with a script."""
    try:
        return read(Path("x.md"), text).problems
    except ScriptError as error:
        return error.problems


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('1. What is 7? {answer-tme="4 s"}', '1. What is 7? {answer-time="4 s"}'),
        ('1. What is 7? {answer-time="4"}', '1. What is 7? {answer-time="4 s"}'),
        ("1. Say [7:4]{as=rato}.", "1. Say [7:4]{as=ratio}."),
        ("::: stopp\nAsk.\n:::\n\n1. One?", "::: stop\nAsk.\n:::\n\n1. One?"),
    ],
)
def test_what_is_pressed_mends_the_script(body: str, expected: str) -> None:
    """Of the reader's own problems, by its own reading of the new text."""
    text = f"{HEAD}---\n\n{body}\n\nThe end.\n"
    offers = [
        (one, new)
        for one in problems_of(text)
        for new in mends_of(one.message, one.hint, _piece(text, one))
    ]
    assert offers, problems_of(text)
    one, new = offers[0]
    after = mended(text, one.place.line, one.place.column, one.place.length, new)

    assert after == f"{HEAD}---\n\n{expected}\n\nThe end.\n"
    assert (one.code, one.message) not in [(p.code, p.message) for p in problems_of(after)]


def test_what_is_offered_for_all_known_mistakes_mends_them() -> None:
    """In most scripts of tests/cases/bad; the desk refuses by reading where it would not."""
    n_offered = n_right = 0
    scripts = [whole(one.script) for file in BAD for one in cases(f"bad/{file}")]
    for text in scripts:
        for one in problems_of(text):
            for new in mends_of(one.message, one.hint, _piece(text, one)):
                n_offered += 1
                place = one.place
                after = problems_of(mended(text, place.line, place.column, place.length, new))
                n_right += one.message not in [other.message for other in after]
    assert n_offered >= 10
    assert n_right >= 0.9 * n_offered, f"{n_right} of {n_offered}"


def test_what_is_gone_cannot_be_mended() -> None:
    """Nothing stands there."""
    for line, column, length in ((9, 1, 1), (1, 9, 1), (0, 1, 1), (1, 1, 0)):
        with pytest.raises(CardError):
            mended("a b", line, column, length, "x")


def _piece(text: str, one: Problem) -> str:
    return piece_at(text.split("\n"), one.place.line, one.place.column, one.place.length)
