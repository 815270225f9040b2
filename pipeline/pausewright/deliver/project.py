"""A script made ready: read, worded, its voices and sound files found, all problems in one list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pausewright.arrange.declarations import read_arrangements
from pausewright.intake.file_kinds import SOUND
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import HasProblems, Problem, Problems, SoundError, VoiceError
from pausewright.script.edition import edition
from pausewright.script.model import Span
from pausewright.script.reader import read
from pausewright.voice.voice_list import all_profiles, find_profile, language_warning
from pausewright.wording.line_elements import Excerpt, Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Place
    from pausewright.script.model import Script
    from pausewright.voice.profile import VoiceProfile


@dataclass(frozen=True, slots=True)
class Project(HasProblems):
    """A script that can be built, or the problems that keep it from being built."""

    script: Script
    worded: Worded
    profiles: Mapping[str, VoiceProfile]
    arrangements: tuple[Arrangement, ...]
    """Declared versions, the standard track first."""
    edition: str
    problems: tuple[Problem, ...]
    """Errors and warnings, in file order."""


def open_project(path: Path, own_profiles: Mapping[str, VoiceProfile] | None = None) -> Project:
    """Read and word a script, and find its voices and sounds.

    `own_profiles` are used in place of the bundled voices and those beside the script.

    Raises
    ------
    ScriptError
        If the file itself, or a voice profile beside it, cannot be read.
    """
    reading = read(path)
    problems = Problems()
    problems.extend(reading.problems)
    arrangements, arranged = read_arrangements(reading, path)
    problems.extend(arranged.all)
    worded = Worded(reading.script)
    problems.extend(worded.problems.all)
    profiles = all_profiles(path.parent) if own_profiles is None else own_profiles
    check_voices(worded, profiles, problems)
    _check_sounds(worded, problems)
    return Project(
        reading.script, worded, profiles, arrangements, edition(reading.script), problems.all
    )


def check_voices(
    worded: Worded,
    profiles: Mapping[str, VoiceProfile],
    problems: Problems,
    known: tuple[Problem, ...] = (),
) -> None:
    """Add what is wrong with the voices of a script; what is among `known` is not said again."""
    settings = worded.script.settings
    reported: set[tuple[str, str]] = set()
    said = {problem.message for problem in known}
    strict = _spells(worded.script)
    for element in worded.all_elements():
        if not isinstance(element, Utterance):
            continue
        voice, language = element.speech.voice, element.speech.language
        if (voice, language) in reported:
            continue
        reported.add((voice, language))
        place = _voice_place(worded.script, voice, element.place)
        try:
            profile = find_profile(profiles, voice)
        except VoiceError as error:
            problems.error(place, error.message, error.hint, code="voice-unknown")
            continue
        warning = language_warning(profile, language)
        if warning is None or warning in said or settings.accept_voice_language:
            continue
        hint = 'add accept-voice-language: "reason" to the settings, or choose another voice'
        if strict:
            problems.error(
                place, f"{warning}: not for a spelling test", hint, code="voice-language"
            )
        else:
            problems.warn(place, warning, hint, code="voice-language")


def _voice_place(script: Script, voice: str, fallback: Place) -> Place:
    """Return where a voice is named: the setting, the speakers, or where it is heard."""
    if script.settings.voice == voice:
        return script.settings.places.get("voice", script.settings.places.get("language", fallback))
    if any(speaker.voice == voice for speaker in script.settings.speakers.values()):
        return script.settings.places.get("speakers", fallback)
    return fallback


def _spells(script: Script) -> bool:
    """Say whether spelling is tested: a pattern, or letters spelled out in a question."""
    return any(
        question.delivery.pattern.value is not None or _has_spell(question.content)
        for question in script.questions()
        if not question.printed
    )


def _has_spell(node: object) -> bool:
    if isinstance(node, Span) and node.spell:
        return True
    inner: list[object] = list(node) if isinstance(node, tuple) else []
    for name in ("content", "inlines", "children", "options", "prose"):
        value = getattr(node, name, None)
        if value is not None and not isinstance(node, str):
            inner.append(value)
    return any(_has_spell(one) for one in inner)


def _check_sounds(worded: Worded, problems: Problems) -> None:
    for element in worded.all_elements():
        if isinstance(element, Excerpt):
            try:
                opened_sound(element.sound.file, SOUND, element.sound.folder).close()
            except SoundError as error:
                problems.error(element.place, error.message, error.hint, code="sound-file")
