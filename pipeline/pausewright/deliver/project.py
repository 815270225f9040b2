"""A script made ready: read, worded, its voices and sound files found, all problems in one list."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.arrange.declarations import named, read_arrangements
from pausewright.deliver.accent import accent_is_tested
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import SOUND
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import (
    HasProblems,
    Problem,
    Problems,
    ScriptError,
    SoundError,
    VoiceError,
)
from pausewright.script.edition import edition
from pausewright.script.reader import read
from pausewright.script.slate import with_slate
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


@frozen
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


def open_project(
    path: Path,
    own_profiles: Mapping[str, VoiceProfile] | None = None,
    *,
    text: str | None = None,
) -> Project:
    """Read and word a script, and find its voices and sounds.

    `own_profiles` are used in place of the bundled voices and those beside the script; `text` is
    read in place of the file's own, for one that is not saved yet.

    Raises
    ------
    ScriptError
        If the file itself, or a voice profile beside it, cannot be read.
    """
    reading = read(path, text)
    problems = Problems()
    problems.extend(reading.problems)
    arrangements, arranged = read_arrangements(reading, path)
    problems.extend(arranged.all)
    mark = edition(reading.script)
    script = with_slate(reading.script, mark, named(arrangements).label)
    worded = Worded(script)
    problems.extend(worded.problems.all)
    profiles = all_profiles(path.parent) if own_profiles is None else own_profiles
    check_voices(worded, profiles, problems)
    _check_sounds(worded, problems)
    if not problems.errors:
        arrangements = tuple(_turned(reading.script, one, problems) for one in arrangements)
    return Project(script, worded, profiles, arrangements, mark, problems.all)


def _turned(script: Script, arrangement: Arrangement, problems: Problems) -> Arrangement:
    """Return an arrangement with the page turns of its own sheet."""
    if arrangement.print_look is None:
        return arrangement
    from pausewright.deliver.sheet_turns import with_page_turns  # noqa: PLC0415  loads Typst's part

    try:
        return with_page_turns(script, arrangement, edition(script))
    except ScriptError as error:
        problems.extend(error.problems)
        return arrangement


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
    strict = accent_is_tested(worded.script)
    _check_speakers(worded.script, problems, said)
    for element in worded.all_elements():
        if not isinstance(element, Utterance):
            continue
        voice, language = element.speech.voice, element.speech.language
        if (voice, language) in reported:
            continue
        reported.add((voice, language))
        place = _voice_place(worded.script, voice, element.place)
        if not voice:
            problems.error(
                place,
                f"no voice here speaks {language}",
                "have the words recorded, add a voice (`pausewright voices` says how), or write "
                "`voice:` with one of another language",
                code="voice-unknown",
            )
            continue
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
                place,
                f"{warning}: not where the accent is what is tested",
                hint,
                code="voice-language",
            )
        else:
            problems.warn(place, warning, hint, code="voice-language")


def _check_speakers(script: Script, problems: Problems, said: set[str]) -> None:
    """Warn of speakers that sound alike because their language has no more voices."""
    heard: dict[str, str] = {}
    for name, speaker in script.settings.speakers.items():
        other = heard.setdefault(speaker.voice, name)
        message = f"the speakers ‘{other}’ and ‘{name}’ have one voice, {speaker.voice}"
        if other != name and speaker.voice and message not in said:
            problems.warn(
                script.settings.places["speakers"],
                message,
                "give one of them another: {voice: …} (pausewright voices lists them)",
                code="voice-shared",
            )


def _voice_place(script: Script, voice: str, fallback: Place) -> Place:
    """Return where a voice is named: the setting, the speakers, or where it is heard."""
    if script.settings.voice == voice:
        return script.settings.places.get("voice", script.settings.places.get("language", fallback))
    if any(speaker.voice == voice for speaker in script.settings.speakers.values()):
        return script.settings.places.get("speakers", fallback)
    return fallback


def _check_sounds(worded: Worded, problems: Problems) -> None:
    for element in worded.all_elements():
        if isinstance(element, Excerpt):
            try:
                opened_sound(element.sound.file, SOUND, element.sound.folder).close()
            except SoundError as error:
                problems.error(element.place, error.message, error.hint, code="sound-file")
