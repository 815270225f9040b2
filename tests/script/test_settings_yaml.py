"""Settings are YAML 1.2 (its core schema and its own examples), read strictly.

Source: YAML 1.2.2, chapter 10.3 (core schema) and 3.2.1.3 ("mapping keys are unique"); the wrong
readings named here are those of YAML 1.1 (yaml.org/type/bool, /int, /float: sexagesimal numbers,
yes/no/on/off, octal by a leading zero).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from pausewright.script.reader import Reading, read
from support.scripts.script_cases import FILE

BODY = "---\nHello.\n"


def settings(text: str) -> Reading:
    """Read settings written between the lines of hyphens."""
    return read(FILE, f"---\n{text}{BODY}")


TITLES = [
    ("title: no", "no"),
    ("title: off", "off"),
    ("title: yes", "yes"),
    ("title: null", "null"),
    ("title: ~", "~"),
    ("title: 010", "010"),
    ("title: 0o10", "0o10"),
    ("title: 0x10", "0x10"),
    ("title: 10:15", "10:15"),
    ("title: 1_000", "1_000"),
    ("title: .inf", ".inf"),
    ("title: 2026-11-25", "2026-11-25"),
    ("title: =", "="),
    ('title: "A: b"', "A: b"),
    ("title: 'It''s'", "It's"),
    ('title: "caf\\u00e9"', "café"),
    ("title: A #no", "A"),
    ("title: A#1", "A#1"),
    ("title: >\n  A\n  b", "A b"),
    ("title: |\n  A\n  b", "A b"),
    ("title: A\n  b", "A b"),
    ("title : A", "A"),
    ('"title": A', "A"),
]
"""A value is the text that stands there, whatever another YAML would take it for (trap 30)."""


@pytest.mark.parametrize(("written", "meant"), TITLES)
def test_values_are_the_text_that_stands_there(written: str, meant: str) -> None:
    """No word becomes true, false or null, and no figure another number."""
    reading = settings(f"{written}\nlanguage: en\n")

    assert [p.message for p in reading.problems] == []
    assert reading.script.settings.title == meant


def test_a_language_may_be_norwegian() -> None:
    """`language: no` is Norwegian, not false (trap 30)."""
    assert settings("title: T\nlanguage: no\n").script.settings.language == "no"


def test_flow_mappings_comments_and_order() -> None:
    """Flow style, comments and any order of settings are read alike."""
    reading = settings("# ours\n{title: T, language: en, readings: 2, answer-time: 1.5 min}\n")
    delivery = reading.script.settings

    assert reading.problems == ()
    assert delivery.title == "T"


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("title: T\nlanguage: en\ntitle: T\n", ["setting-twice"]),
        ("title: T\nlanguage: en\ntones: {a: {length: 1 s, length: 2 s, frequency: 500 Hz}}\n",
         ["setting-twice"]),
        ("title: T\nlanguage: en\nspeakers: {A: {voice: joe}, A: {voice: joe}}\n",
         ["setting-twice"]),
        ("title: T\nlanguage: en\n<<: {use: test}\n", ["setting-unknown"]),
        ("title: T\nlanguage: en\n? [a]\n: b\n", ["setting-value"]),
        ("title: @x\nlanguage: en\n", ["settings-unreadable"]),
        ("title: `x\nlanguage: en\n", ["settings-unreadable"]),
        ("title: %x\nlanguage: en\n", ["settings-unreadable"]),
        ("title: [a\nlanguage: en\n", ["settings-unreadable"]),
        ("title: {a\nlanguage: en\n", ["settings-unreadable"]),
        ("title: T\nlanguage: en\nuse: &a test\n", ["settings-reference"]),
        ("title: T\nlanguage: en\nuse: !!str test\n", ["settings-reference"]),
        ("title: T\nlanguage: en\nuse: *a\n", ["settings-unreadable"]),
        ("- title\n", ["settings-unreadable"]),
        ("title\n", ["settings-unreadable"]),
        ("title: T\nlanguage: en\n...\nmore: x\n", ["settings-unreadable"]),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, codes: list[str]) -> None:
    """Duplicates, references, tags and unreadable lines are one problem each, with a hint."""
    problems = settings(text).problems

    assert [p.code for p in problems] == codes
    assert all(p.hint for p in problems)


def test_empty_settings() -> None:
    """Settings without a line lack title and language."""
    assert [p.code for p in settings("").problems] == ["setting-missing", "setting-missing"]


def test_values_in_force_come_from_the_settings() -> None:
    """Attributes that are settings are in force for the whole test, with their place."""
    text = (
        "---\ntitle: T\nlanguage: en\nreadings: 2\nanswer-time: 1.5 min\n"
        "between-readings: 2 s\n---\n1. One?\n\nThe end.\n"
    )
    (question,) = read(FILE, text).script.questions()
    answer = question.delivery.answer_time

    assert answer is not None
    assert (answer.value, answer.origin) == (Fraction(90), "settings")
    assert answer.place is not None
    assert (answer.place.line, answer.place.column) == (5, 14)


def test_a_name_that_is_given_twice_says_nothing_outside(capfd: pytest.CaptureFixture[str]) -> None:
    """The library would warn on the terminal, with lines of the script: only problems are told."""
    text = "---\n" + "a: &a [*a, *a]\n" * 3 + "---\n\n1. One?\n"
    found = read(FILE, text).problems

    assert {one.code for one in found} >= {"settings-reference"}
    assert capfd.readouterr() == ("", "")
