"""The voice follows the script's language; where the accent is tested, another one is an error."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.accent import accent_is_tested
from pausewright.deliver.project import open_project
from pausewright.script.voices_of_languages import BY_LANGUAGE, usual_voice, usual_voices
from pausewright.voice.voice_list import bundled_profiles
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.project import Project

HEAD = '---\ntitle: T\nlanguage: {language}\n{more}---\n\n# Test {{answer-time="5 s"}}\n\n'
SUMS = "1. What is six plus two?\n\n2. What is six less two?\n\n3. What is six times two?\n"
TALK = "::: passage\n**Ann:** Good day.\n**Ben:** Good day.\n**Cat:** Good day.\n:::\n\n"
PATTERN = """\
pattern: word
patterns:
  word:
    - say: "Write {1}."
    - pause: 1 s
    - say: "{1}."
"""


def _project(folder: Path, body: str, language: str = "en-GB", more: str = "") -> Project:
    script = folder / "t.md"
    script.write_text(HEAD.format(language=language, more=more) + body, "utf-8")
    return open_project(script)


def _voices(project: Project) -> set[str]:
    return {e.speech.voice for e in project.worded.all_elements() if isinstance(e, Utterance)}


def _said(project: Project) -> list[tuple[str, str]]:
    return [(p.severity, p.message) for p in project.problems if p.code.startswith("voice")]


@pytest.mark.parametrize(
    ("language", "voice"),
    [
        ("en-GB", "emma"),
        ("en-US", "iris"),
        ("en-AU", "emma"),
        ("es-ES", "dora"),
        ("fr-FR", "siwis"),
    ],
)
def test_a_script_without_a_voice_has_one_of_its_language(
    tmp_path: Path, language: str, voice: str
) -> None:
    """The first of the language; a region without voices of its own has those of another."""
    project = _project(tmp_path, "Listen.\n", language)

    assert _voices(project) == {voice}
    assert project.script.settings.voice == voice
    assert (language == "en-AU") == bool(_said(project))


def test_every_voice_of_the_table_is_bundled_and_speaks_its_language() -> None:
    """A name that leads nowhere would be found here."""
    profiles = bundled_profiles()
    for language, voices in BY_LANGUAGE.items():
        assert {profiles[voice].language for voice in voices} == {language}


def test_a_language_without_a_voice_says_what_can_be_done() -> None:
    """There is none for German: words in an English script have that script's voice."""
    assert usual_voices("de-DE") == ()
    assert usual_voice("de-DE", "en-GB") == "emma"
    assert usual_voice("de-DE", "de-DE") == ""


def test_speakers_without_a_voice_get_different_ones(tmp_path: Path) -> None:
    """In the order in which they stand; a third one in two voices is told."""
    two = _project(
        tmp_path, TALK.replace("**Cat:** Good day.\n", ""), more="speakers:\n  Ann:\n  Ben: {}\n"
    )
    assert [one.voice for one in two.script.settings.speakers.values()] == ["emma", "george"]
    assert _said(two) == []

    named = _project(tmp_path, TALK, more="speakers:\n  Ann:\n  Ben: {voice: emma}\n  Cat:\n")
    assert [one.voice for one in named.script.settings.speakers.values()] == [
        "george", "emma", "george",
    ]  # fmt: skip
    assert _said(named) == [("warning", "the speakers ‘Ann’ and ‘Cat’ have one voice, george")]

    american = _project(
        tmp_path, TALK, "en-US", "speakers: {Ann: {}, Ben: {}, Cat: {language: en-GB}}\n"
    )
    assert [one.voice for one in american.script.settings.speakers.values()] == [
        "iris", "michael", "emma",
    ]  # fmt: skip


def test_another_accent_is_a_warning(tmp_path: Path) -> None:
    """In a test of arithmetic, also if it spells one word."""
    spelled = SUMS.replace("six plus", "[B-A-Y]{.spell} plus")
    for body in (SUMS, spelled):
        (found,) = _said(_project(tmp_path, body, more="voice: iris\n"))
        assert found == (
            "warning", "the voice ‘iris’ speaks en-US, but the script’s region is that of en-GB",
        )  # fmt: skip


@pytest.mark.parametrize(
    ("body", "more"),
    [
        ("1. lantern\n\n2. harbour\n", PATTERN),
        (
            SUMS.replace("six plus", "[B-A-Y]{.spell} plus").replace(
                "six less", "[C-O]{.spell} less"
            ),
            "",
        ),
        ("1. Which word begins with the same sound as sun?\n\n2. What rhymes with cat?\n", ""),
        ("1. Which one starts with a b?\n\n2. What is the last sound of *dog*?\n", ""),
    ],
)
def test_where_the_accent_is_tested_it_is_an_error(tmp_path: Path, body: str, more: str) -> None:
    """Spelling by a pattern that says the word, letters in most questions, sounds and rhymes."""
    project = _project(tmp_path, body, more=f"voice: iris\n{more}")

    assert accent_is_tested(project.script)
    ((severity, message),) = _said(project)
    assert severity == "error"
    assert "the accent is what is tested" in message
    accepted = _project(tmp_path, body, more=f'voice: iris\naccept-voice-language: "tried"\n{more}')
    assert _said(accepted) == []


def test_a_pattern_that_reads_sums_is_no_spelling_test(tmp_path: Path) -> None:
    """What it says of a question is a whole sentence, not a word to write."""
    project = _project(tmp_path, SUMS, more=f"voice: iris\n{PATTERN}")

    assert not accent_is_tested(project.script)
