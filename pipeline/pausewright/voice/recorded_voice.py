"""A recorded voice: a person's own takes, one file for each thing that is said.

The profile's `model` is a list of words and sound files:

    "Buenos días.": audio/marta-buenos-dias.wav
    "¿Tiene naranjas?": audio/marta-naranjas.wav

Words are found whatever their capitals, blanks and closing marks. Recordings keep their pace;
they are trimmed and levelled as every take is.
"""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING

from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import MappingNode, ScalarNode

from pausewright.intake.file_kinds import RECORDINGS
from pausewright.intake.plain_file import file_text
from pausewright.problems import SoundError, VoiceError
from pausewright.script.settings.strict_yaml import silent_yaml
from pausewright.sound.sound_reader import read_sound
from pausewright.voice.engine import RawTake

if TYPE_CHECKING:
    from pausewright.voice.engine import Request
    from pausewright.voice.profile import VoiceProfile


def recordings(profile: VoiceProfile) -> dict[str, Path]:
    """Return the sound file for each thing that was recorded, by its words in plain form.

    Raises
    ------
    VoiceError
        If the list is missing or cannot be read, or names a file that is not there.
    """
    listed = profile.model_file()
    try:
        node = silent_yaml().compose(file_text(listed, RECORDINGS, profile.place))
    except (YAMLError, ValueError, RecursionError) as error:
        raise VoiceError(
            f"the list of recordings ‘{listed.name}’ cannot be read ({error})".split("\n")[0],
            'write lines like "Good morning.": audio/good-morning.wav',
        ) from error
    if not isinstance(node, MappingNode):
        raise VoiceError(
            f"the list of recordings ‘{listed.name}’ holds no recordings",
            'write lines like "Good morning.": audio/good-morning.wav',
        )
    found: dict[str, Path] = {}
    for key, value in node.value:
        if not isinstance(key, ScalarNode) or not isinstance(value, ScalarNode):
            raise VoiceError(
                f"line {key.start_mark.line + 1} of ‘{listed.name}’ is not words and a file",
                'write "Good morning.": audio/good-morning.wav',
            )
        file = listed.parent / str(value.value)
        if not file.is_file():
            raise VoiceError(
                f"‘{listed.name}’ names the recording {value.value}, which is not there",
                f"put it into {listed.parent}, or correct the line",
            )
        found[plain_words(str(key.value))] = file
    return found


def recording_files(profile: VoiceProfile) -> tuple[Path, ...]:
    """Return all files that determine the sound of a recorded voice."""
    return (profile.model_file(), *sorted(set(recordings(profile).values())))


def plain_words(text: str) -> str:
    """Return words without capitals, extra blanks and marks at the ends."""
    text = unicodedata.normalize("NFC", text).casefold().replace("’", "'")
    return re.sub(r"\s+", " ", text).strip(" .,;:?!¿¡\"'“”…")


class RecordedEngine:
    """Hands out a person's takes."""

    def __init__(self, profile: VoiceProfile) -> None:
        """Read the list of recordings; raises VoiceError."""
        self._name = profile.name
        self._list = profile.model_file().name
        self._files = recordings(profile)
        self._place = profile.place

    def prepare(self, request: Request) -> Path:
        """Return the file of the words; raises VoiceError if they were not recorded."""
        words = " ".join("".join(part.word or part.text for part in request.spoken).split())
        file = self._files.get(plain_words(words))
        if file is None:
            raise VoiceError(
                f"the voice ‘{self._name}’ has no recording of ‘{words}’",
                f'record it and add to {self._list}: "{words}": FILE.wav',
            )
        return file

    def synthesise(self, prepared: object) -> RawTake:
        """Return the recording, both channels as one; raises VoiceError if it cannot be read."""
        if not isinstance(prepared, Path):
            raise TypeError("prepare gives a file")
        try:
            samples, rate_hz = read_sound(prepared, inside=self._place)
        except SoundError as error:
            raise VoiceError(error.message, error.hint) from error
        return RawTake(samples.mean(axis=1), rate_hz)
