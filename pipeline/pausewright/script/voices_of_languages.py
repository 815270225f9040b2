"""Which voices a script gets that names none: those of its language, the best measured first.

This is a table of names; what they sound like is the business of `voice`. The figures by which they
were chosen stand in docs/voices.md.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.script.declared import SpeakerSpec

BY_LANGUAGE: Final[Mapping[str, tuple[str, ...]]] = {
    "en-GB": ("emma", "george"),
    "en-US": ("iris", "michael"),
    "es-ES": ("dora", "alex"),
    "fr-FR": ("siwis",),
}
"""The voices of each language, the usual one first. A region that has none of its own gets those of
the first language here with the same name."""


def usual_voices(language: str) -> tuple[str, ...]:
    """Return the voices of a language (BCP 47), the usual one first; empty if there are none."""
    name = language.split("-", maxsplit=1)[0].lower()
    own = [voices for tag, voices in BY_LANGUAGE.items() if tag.lower() == language.lower()]
    near = [voices for tag, voices in BY_LANGUAGE.items() if tag.split("-", maxsplit=1)[0] == name]
    return next(iter((*own, *near)), ())


def usual_voice(language: str, script_language: str) -> str:
    """Return the voice of words whose voice nobody named.

    Words of a language without voices get the script's voice; "" if that has none either.
    """
    found = usual_voices(language) or usual_voices(script_language)
    return found[0] if found else ""


def usual_order(language: str, voice: str) -> tuple[int, str, int, str]:
    """Return where a voice stands in a list: by languages, the usual one of each first."""
    languages = list(BY_LANGUAGE)
    usual = BY_LANGUAGE.get(language, ())
    return (
        languages.index(language) if language in languages else len(languages),
        language,
        usual.index(voice) if voice in usual else len(usual),
        voice,
    )


def speakers_voices(speakers: Mapping[str, SpeakerSpec], script_language: str) -> dict[str, str]:
    """Return the voice of each speaker that has none, by name.

    They get the voices of their language in turn, in the order in which they stand, without those
    that another speaker names. With more speakers than voices it begins again.
    """
    named = {speaker.voice for speaker in speakers.values() if speaker.voice}
    n_given: dict[tuple[str, ...], int] = {}
    found: dict[str, str] = {}
    for name, speaker in speakers.items():
        voices = usual_voices(speaker.language) or usual_voices(script_language)
        if speaker.voice or not voices:
            continue
        free = tuple(voice for voice in voices if voice not in named) or voices
        at = n_given.get(free, 0)
        n_given[free] = at + 1
        found[name] = free[at % len(free)]
    return found
