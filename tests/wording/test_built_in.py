"""What is said without being written: in the language of its voice, or a problem, never English.

Spanish words: from memory, to be reviewed by a speaker like the whole file.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from pausewright.script.reader import read
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem

ENGLISH = re.compile(
    r"\b(the|recording|continues|number|practice|question|half|leave|first|second|reading|break)\b",
    re.IGNORECASE,
)

HEAD = "---\ntitle: Prueba\nlanguage: {language}\nvoice: joe\nanswer-time: 5 s\n{settings}---\n\n"
STOP = "::: stop\nAlto.\n:::\n\n1. Uno.\n"
BY_HAND = '1. Uno. {answer-time="by hand"}\n'
PASSAGE = '::: passage {order="whole, pieces"}\nUno.\n\nDos.\n:::\n'
CUED = '1. Uno. {answer-time="40 s" time-cue="half"}\n'
WITHDRAWN = "1. Uno. {.withdrawn}\n"
PRACTICE = "# Ejemplo {.practice}\n\n1. Uno.\n"
ANSWERS = '1. Uno. {key="2"}\n\n# Final {.answers}\n\nAhora.\n'
ORDINAL = '# Parte {readings="2" again="{reading-th}. {1}"}\n\n1. Uno.\n'

CASES = {
    "stop": (STOP, "", 8, 'continues-wording: "…"'),
    "by hand": (BY_HAND, "", 8, 'continues-wording: "…"'),
    "pieces": (PASSAGE, "", 8, 'continues-wording: "…"'),
    "time cue": (CUED, "", 8, 'time-cue-wording: "…"'),
    "withdrawn": (WITHDRAWN, "", 8, 'withdrawn-wording: "… {number} …"'),
    "practice": (PRACTICE, 'announce: "{number}."\n', 6, '{announce="… {number}."}'),
    "answers": (ANSWERS, "use: practice\n", 9, "leave .answers out"),
    "ordinal": (ORDINAL, "", 8, "{reading}"),
}
"""A script, its settings, the line of the problem, and what the hint says to type."""


def said(
    folder: Path, language: str, body: str, settings: str = ""
) -> tuple[list[str], list[Problem]]:
    """Return what is said, and the errors about words that a language does not have."""
    file = folder / "prueba.md"
    head = HEAD.replace("{language}", language).replace("{settings}", settings)
    file.write_text(f"{head}{body}\nFin.\n", encoding="utf-8")
    reading = read(file)
    worded = Worded(reading.script)
    words = [piece.words for piece in worded.all_elements() if isinstance(piece, Utterance)]
    assert [p.message for p in reading.problems if p.severity == "error"] == []
    return words, [p for p in worded.problems.all if p.code == "language-words"]


@pytest.mark.parametrize("case", CASES)
def test_a_language_without_words_is_refused_with_its_line(tmp_path: Path, case: str) -> None:
    """Where English would be said in another voice, there is one problem, with what to type."""
    body, settings, line, hint = CASES[case]
    words, problems = said(tmp_path, "it-IT", body, settings)

    assert [(p.severity, p.place.line) for p in problems] == [("error", line)]
    assert hint in problems[0].hint
    assert "‘it-IT’" in problems[0].message
    assert not [one for one in words if ENGLISH.search(one)]


@pytest.mark.parametrize("language", ["cy-GB", "de-DE", "es-ES", "fr-FR"])
@pytest.mark.parametrize("case", [case for case in CASES if case != "ordinal"])
def test_other_languages_have_words_of_their_own(tmp_path: Path, case: str, language: str) -> None:
    """What a script in another language needs is said in it."""
    body, settings, _, _ = CASES[case]
    words, problems = said(tmp_path, language, body, settings)
    shared = {"fr-FR": "question"}.get(language, "")  # a word of both languages

    assert problems == []
    assert not [
        one for one in words if ENGLISH.search(re.sub(shared, "", one, flags=re.IGNORECASE))
    ]


def test_spanish_words(tmp_path: Path) -> None:
    """The sentences themselves, numbers in words."""
    assert "La grabación continúa." in said(tmp_path, "es-ES", STOP)[0]
    assert "Ha pasado la mitad del tiempo." in said(tmp_path, "es-ES", CUED)[0]
    assert "Deje en blanco la pregunta uno." in said(tmp_path, "es-ES", WITHDRAWN)[0]
    settings = CASES["practice"][1]
    assert "Pregunta de práctica uno." in said(tmp_path, "es-ES", PRACTICE, settings)[0]
    assert "Número uno." in " ".join(said(tmp_path, "es-ES", ANSWERS, CASES["answers"][1])[0])


def test_an_ordinal_that_agrees_with_another_word_is_refused_in_spanish(tmp_path: Path) -> None:
    """Second is `segunda` or `segundo`; only the author knows which."""
    _, problems = said(tmp_path, "es-ES", ORDINAL)

    assert [p.place.line for p in problems] == [8]


@pytest.mark.parametrize(
    ("body", "setting"),
    [
        (STOP, 'continues-wording: "On continue."\n'),
        (CUED, 'time-cue-wording: "La moitié est passée."\n'),
        (WITHDRAWN, 'withdrawn-wording: "Laissez la question {number}."\n'),
    ],
)
def test_a_setting_words_it(tmp_path: Path, body: str, setting: str) -> None:
    """What the hint says to type is then said, and nothing is refused."""
    words, problems = said(tmp_path, "it-IT", body, setting)

    assert problems == []
    assert [one for one in words if setting.partition('"')[2][:6] in one]


def test_a_script_that_never_stops_needs_no_words_for_it(tmp_path: Path) -> None:
    """Only what is said is asked for."""
    assert said(tmp_path, "it-IT", "1. Un.\n") == (["Un.", "Fin."], [])


def test_english_is_said_as_before(tmp_path: Path) -> None:
    """The sentences of the settings' table are those of the English file."""
    assert "The recording continues." in said(tmp_path, "en-GB", STOP)[0]
    assert "Half of the time is gone." in said(tmp_path, "en-US", CUED)[0]
    assert "Leave question one blank." in said(tmp_path, "en-GB", WITHDRAWN)[0]
    assert "second. Uno." in " ".join(said(tmp_path, "en-GB", ORDINAL)[0])
