"""Blind reports tell nothing of the test: by their words, by their numbers and by their making.

What "nothing" means is written in docs/the-check.md, "Blind". Three things are held here: every
word is the report's own, no number stands bare, and other words in the script change nothing.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jsonschema
import numpy as np
import pytest
import soundfile
from pausewright import cli
from pausewright.checker.report.blind import (
    KINDS,
    UNITS,
    WORDS,
    as_blind_data,
    as_blind_text,
    blind_schema,
    code_mark,
    edition_mark,
    finding_line,
    label_mark,
    mark,
    number,
)
from pausewright.checker.report.page import as_page
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.items import Asked, Material, name_of
from pausewright.deliver.recheck import recheck
from pausewright.script.references import QuestionRef
from support.tracks.delivered_tests import built_test, stick

if TYPE_CHECKING:
    from pausewright.checker.result.delivered import Delivered
    from pausewright.checker.result.items import Item
    from pausewright.deliver.build import Built

ROOT = Path(__file__).resolve().parents[2]
CODES = set(re.findall(r"`([a-z]+(?:-[a-z]+)*)`", (ROOT / "docs/the-check.md").read_text("utf-8")))
"""Codes of findings as documented: they are in the program, before any script is read."""
OWN = (
    WORDS
    | {part for code in CODES for part in code.split("-")}
    | {word for name in UNITS | KINDS for word in name.lower().split()}
)

PLANTED = """---
title: Zebrafish and quokkas 7391
language: en-GB
voice: joe
readings: 2
between-readings: 1.5 s
announce: "Listen now {number}."
tones:
  warbler: {frequency: 660 Hz, length: 0.6 s}
speakers:
  Thorvald: {voice: iris}
---

# Capybara 4411

Narwhals come first. [warbler]{.tone} They count 5862 of them.

::: staff-note {to="reader"}
Pangolin 6603 is for you.
:::

# Wombats {answer-time="4 s"}

::: sheet
Axolotl 8127
:::

1. How many ocelots has the marmoset? {sheet="bongo 9274" key="okapi 3358"}
2. Which of the numbat is it?

    - A. tamarin
    - B. 2749

    ::: key
    B
    :::

::: passage {answer-time="5 s"}
**Thorvald:** The gerenuk walks 1467 miles.
:::

::: stop {for="9 s"}
Aardvarks may ask now.
:::

Dugongs end here.
"""
_ANIMALS = """
zebrafish quokkas capybara narwhals warbler pangolin wombats axolotl ocelots marmoset bongo okapi
numbat tamarin thorvald gerenuk aardvarks dugongs
"""
ANIMALS = _ANIMALS.split()
NUMERALS = ("7391", "4411", "5862", "6603", "8127", "9274", "3358", "2749", "1467")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a test with planted words and numerals wherever an author can write some."""
    return built_test(tmp_path_factory.mktemp("office"), PLANTED, formats=("wav",))


def script_of(built: Built) -> Path:
    """Return the script of a build."""
    return built.folder.parent.parent / "morning.md"


@pytest.fixture(scope="module")
def scripts(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Return whole scripts: the demo tests, and one with every construct."""
    wide = tmp_path_factory.mktemp("wide") / "wide.md"
    text = (ROOT / "tests/cases/wide.md").read_text("utf-8")
    accepted = text.replace("use: test", 'use: test\naccept-voice-language: "invented"', 1)
    wide.write_text(accepted, encoding="utf-8")
    (wide.parent / "audio").mkdir()
    soundfile.write(wide.parent / "audio" / "bell.wav", np.zeros(150_000), 44_100)
    return [wide, *sorted(ROOT.glob("demo_scripts/*.md"))]


@pytest.fixture(scope="module")
def results(
    built: Built, scripts: list[Path], tmp_path_factory: pytest.TempPathFactory
) -> list[Delivered]:
    """Return what the check found on good and on damaged deliveries, of many kinds."""
    folder = tmp_path_factory.mktemp("damaged")
    wav = next((built.folder / "version-A").glob("*[!k].wav"))
    damaged = stick(built, folder / "stick")
    next(damaged.glob("*.vtt")).write_text(
        "WEBVTT\n\n00:00.000 --> 00:09.000\nocelots 9274\n\nnonsense\n", encoding="utf-8"
    )
    (damaged / "zebrafish-quokkas.ogg").write_bytes(b"x")
    return [
        recheck(wav, script=script_of(built)),
        recheck(built.folder),
        recheck(damaged, script=script_of(built)),
        *(recheck(wav, script=script) for script in scripts),
    ]


def seen_text(page: str) -> str:
    """Return all that a reader or a screen reader gets of a page: texts and labels."""
    body = re.sub(r"<style>.*?</style>", " ", page, flags=re.DOTALL)
    labels = re.findall(r'(?:aria-label|alt|title|content)="([^"]*)"', body.partition("<body>")[2])
    return html.unescape(" ".join([re.sub(r"<[^>]*>", " ", body), *labels]))


def shown(found: Delivered) -> list[str]:
    """Return the blind text and what is seen of the blind page."""
    return [as_blind_text(found), seen_text(as_page(found, is_blind=True))]


def strings(data: Any) -> list[str]:
    """Return all texts among the values of JSON data."""
    if isinstance(data, dict):
        return [text for value in data.values() for text in strings(value)]
    if isinstance(data, list):
        return [text for value in data for text in strings(value)]
    return [data] if isinstance(data, str) else []


def long_words(text: str) -> set[str]:
    """Return the words of four or more letters, in small letters."""
    return {word.lower() for word in re.findall(r"[^\W\d_]{4,}", text)}


def marks_of(found: Delivered) -> set[str]:
    """Return editions and hashes, which are made of letters and figures too."""
    marks = [room.edition for room in found.rooms] + [c.sha256 for c in found.checks]
    return {word for one in marks for word in long_words(one)} | {
        word for check in found.checks for word in long_words(check.sha256[:12])
    }


def test_there_is_enough_to_look_at(results: list[Delivered]) -> None:
    """The deliveries are good and bad, and their full findings do hold words of the author."""
    assert {found.is_good for found in results} == {True, False}
    assert len({finding.code for found in results for finding in found.all_findings}) >= 10
    sentences = " ".join(f.sentence for found in results for f in found.all_findings)
    assert "zebrafish" in sentences


def test_every_word_is_the_reports_own(results: list[Delivered]) -> None:
    """No word of four or more letters comes from anywhere but the report's own list and codes."""
    for found in results:
        for text in shown(found):
            assert long_words(text) - OWN - marks_of(found) == set()
        for text in strings(as_blind_data(found)):
            if not re.fullmatch(r"[0-9a-f]{64}", text):
                assert long_words(text) - OWN - marks_of(found) == set()


def test_every_word_of_the_list_is_needed() -> None:
    """The list holds no word that no part of the report uses."""
    source = "".join(
        (ROOT / "pipeline/pausewright/checker" / name).read_text("utf-8").lower()
        for name in (
            "report/blind_page.py",
            "report_page.html",
            "report/blind.py",
            "result/codes.py",
        )
    )
    source = re.sub(r'_words: final = """.*?"""', "", source, flags=re.DOTALL)
    used = long_words(source) | long_words((ROOT / "docs/the-check.md").read_text("utf-8"))

    assert used >= WORDS


def test_no_number_stands_bare(results: list[Delivered]) -> None:
    """Each number is a time, has its unit joined to it, or counts out of a count."""
    for found in results:
        for text in shown(found):
            bare = [token for token in text.split() if re.fullmatch(r"[\d.,/]+", token)]
            assert bare == []


def test_planted_content_leaves_no_trace(results: list[Delivered]) -> None:
    """What is planted in title, names, words, sheet, key, notes and file names is nowhere."""
    for found in results:
        page = as_page(found, is_blind=True)
        for text in (as_blind_text(found), json.dumps(as_blind_data(found)), page):
            hashless = re.sub(r"#?[0-9a-f]{12,64}|sha256-[^']*", "", text)
            left = [one for one in (*ANIMALS, *NUMERALS) if one in hashless.lower()]
            assert left == []


def test_no_word_or_numeral_of_a_script_is_shown(
    results: list[Delivered], scripts: list[Path]
) -> None:
    """For whole scripts: no word of four letters, and no numeral, but for the report's own."""
    for found, script in zip(results[-len(scripts) :], scripts, strict=True):
        content = script.read_text("utf-8")
        words = long_words(content) - OWN
        numerals = set(re.findall(r"\d+(?:[.,/]\d+)*", content))

        assert len(words) > 50
        assert len(numerals) > 7
        for text in shown(found):
            assert long_words(text) & words - marks_of(found) == set()
            assert {token.strip(".,;:()") for token in text.split()} & numerals == set()


def test_other_words_change_nothing(built: Built, tmp_path: Path) -> None:
    """Another script of the same shape, every word and numeral changed, gives the same report."""
    other = PLANTED
    for n, animal in enumerate(ANIMALS):
        # letters of the same kind, so that words are expected to be as long as before
        turned = animal[::-1] if n % 2 else animal.translate(str.maketrans("bdrtn", "kfmpl"))
        other = re.sub(animal, turned.capitalize() if animal[0].isupper() else turned, other)
        other = re.sub(animal.capitalize(), turned.capitalize(), other)
    for numeral in ("6603", "8127", "9274", "3358"):  # not spoken
        other = other.replace(numeral, numeral[::-1])
    assert not any(animal in other.lower() for animal in ANIMALS)
    file = tmp_path / "morning.md"
    file.write_text(other, encoding="utf-8")
    wav = tmp_path / "alone.wav"  # its captions would show the words of one script
    shutil.copy(next((built.folder / "version-A").glob("*[!k].wav")), wav)

    reports = [recheck(wav, script=one) for one in (script_of(built), file)]
    same = [
        replace(found, rooms=tuple(replace(room, edition="") for room in found.rooms))
        for found in reports
    ]
    assert as_blind_text(same[0]) == as_blind_text(same[1])
    assert as_page(same[0], is_blind=True) == as_page(same[1], is_blind=True)
    assert as_blind_data(same[0]) == as_blind_data(same[1])


def test_json_keeps_to_its_schema(results: list[Delivered]) -> None:
    """Data of all deliveries validate; no other field can be in them."""
    for found in results:
        jsonschema.validate(as_blind_data(found), blind_schema())


@pytest.mark.parametrize(
    ("item", "called", "shown_mark"),
    [
        (Asked(QuestionRef(5)), "question 5", "Q5"),
        (Asked(QuestionRef(5, "z")), "question 5z", "Q5z"),
        (Asked(QuestionRef(5), "again"), "question 5 again", "Q5+"),
        (Asked(QuestionRef(2, practice=True)), "Practice 2", "W2"),
        (Asked(QuestionRef(12), "answer"), "answer 12", "A12"),
        (Material("passage", 1), "passage 1", "P1"),
        (Material("dictation", 1), "dictation 1", "D1"),
        (None, "", "-"),
    ],
)
def test_marks(item: Item | None, called: str, shown_mark: str) -> None:
    """Questions, passages and dictations have a name for sentences and a mark without words."""
    assert (name_of(item), mark(item)) == (called, shown_mark)


def test_what_other_files_claim_is_not_passed_on() -> None:
    """A tag or a packing list may say anything; only what has the form of a mark is shown."""
    assert label_mark("ocelots") == edition_mark("okapi!") == edition_mark("OCELOT") == "unknown"
    assert (label_mark("B"), edition_mark("T5A8TM")) == ("B", "T5A8TM")
    assert code_mark("ocelots 54") == "other"


def test_numbers_that_are_no_measurement_are_not_shown() -> None:
    """A finding that compares what is heard with an answer may hold the answer as a number."""
    item = Asked(QuestionRef(5))
    heard = Finding("other-words", "error", "heard 54", "", Fraction(3), item, None, 54, 45)

    assert finding_line(heard) == "00:03.000  Q5  error  other-words"
    assert number(54, "") == "-"
    assert number(Fraction(54), "s") == "54.000s"


@pytest.mark.parametrize("extra", [[], ["--json"]])
def test_a_script_with_errors_is_not_quoted(
    built: Built,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    extra: list[str],
) -> None:
    """With --blind even the problems of a script say nothing of it, nor is a file named."""
    script = tmp_path / "okapi.md"
    script.write_text(PLANTED.replace('answer-time="4 s"', 'answer-tim="4 s"'), encoding="utf-8")
    wav = next((built.folder / "version-A").glob("*[!k].wav"))
    for path in (wav, tmp_path / "okapi.wav"):
        command = ["pausewright", "check", str(path), "--script", str(script), "--blind", *extra]
        monkeypatch.setattr(sys, "argv", command)
        with pytest.raises(SystemExit) as stopped:
            cli.main()
        out, err = capsys.readouterr()

        assert stopped.value.code == 2
        assert "the script has errors" in out + err
        assert not [one for one in (*ANIMALS, *NUMERALS) if one in (out + err).lower()]
