"""Hashes of what a unit of a script is to the ear, in writing, on paper."""

from __future__ import annotations

import hashlib
import json
import re
from typing import TYPE_CHECKING, Final

from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.edition import plain_data
from pausewright.wording.line_elements import Excerpt, ToneCue

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from pausewright.deliver.project import Project
    from pausewright.plan.timeline import Step
    from pausewright.script.declared import Settings
    from pausewright.voice.profile import VoiceProfile
    from pausewright.wording.line_elements import SoundElement

DIGITS: Final = 32
_TRAIT_DIGITS: Final = 8
_SHOWN_OF_SOUND: Final = frozenset({"description", "words", "cues", "speaker", "path", "width"})
_WORD: Final = re.compile(r"\w+")


def mark_of(data: object) -> str:
    """Return the hash of JSON data."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()[:DIGITS]


def traits_of(text: str) -> tuple[str, ...]:
    """Return short hashes of the distinct words of a text, sorted."""
    words = {word.casefold() for word in _WORD.findall(text)}
    return tuple(sorted(hashlib.sha256(w.encode()).hexdigest()[:_TRAIT_DIGITS] for w in words))


class Sounding:
    """What makes the samples of a step, as data; the voices and the level of the script with it."""

    def __init__(self, project: Project, settings: Settings) -> None:
        """Keep what holds for every sound."""
        self._profiles: Mapping[str, VoiceProfile] = project.profiles
        self._of_all = [str(settings.pace_wpm), settings.loudness, settings.channels]
        self._voices: dict[str, str] = {}

    def of_steps(self, steps: Iterable[Step]) -> list[object]:
        """Return what is heard, sound by sound and silence by silence."""
        found: list[object] = []
        for step in steps:
            if isinstance(step, Say):
                found.append([*self._of_all, self._element(step.element)])
            elif isinstance(step, Wait):
                found.append([step.kind, str(step.wait_s)])
        return found

    def _element(self, element: SoundElement) -> object:
        if isinstance(element, ToneCue):
            return ["tone", plain_data(element.spec)]
        if isinstance(element, Excerpt):
            sound = element.sound
            kept = without(plain_data(sound), _SHOWN_OF_SOUND, {})
            return ["sound", bool(sound.words), kept, str(sound.arranged_pace)]
        speech = element.speech
        return [
            [[part.text, part.is_ipa, part.language] for part in element.spoken],
            [speech.language, str(speech.pace), speech.take, str(speech.arranged_pace)],
            self._voice(speech.voice),
        ]

    def _voice(self, name: str) -> str:
        if name not in self._voices:
            profile = self._profiles.get(name)
            self._voices[name] = mark_of([name, plain_data(profile)])
        return self._voices[name]


def in_words(steps: Iterable[Step], *, is_question: bool = False) -> list[object]:
    """Return what can be read of what is said: as written, as shown, and to whom; each once.

    The names of chapters count where they name questions, but for those of questions themselves.
    """
    found: list[object] = []
    for step in steps:
        if isinstance(step, Mark) and step.kind == "question" and not is_question:
            found.append(step.title)
        if not isinstance(step, Say):
            continue
        one = step.element
        if isinstance(one, Excerpt):
            sound = one.sound
            row: list[object] = [sound.description, sound.words, plain_data(list(sound.cues))]
        elif isinstance(one, ToneCue):
            row = [one.name]
        else:
            shown = [plain_data(list(one.shown_parts)), plain_data(list(one.others))]
            row = [one.written, one.shown, shown]
        row += [step.captioned, step.speaker]
        found += [] if row in found else [row]
    return found


def without(data: object, names: frozenset[str], pictures: Mapping[str, bytes]) -> object:
    """Return a template's data without some names; pictures by their bytes."""
    if isinstance(data, dict):
        kept = {k: without(v, names, pictures) for k, v in data.items() if k not in names}
        if data.get("kind") == "picture":
            kept["name"] = hashlib.sha256(pictures.get(str(data["name"]), b"")).hexdigest()
        return kept
    if isinstance(data, list):
        return [without(one, names, pictures) for one in data]
    return data
