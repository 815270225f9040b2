"""The sound check of a version: a sentence of its language in its voice, no sentence of the test.

It is heard before the test, so that level, voice and pace can be judged while nothing of the
test is given away. The sentence stands in the file of each language.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.timeline import Say, Wait
from pausewright.script.model import Speech
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Step
    from pausewright.voice.profile import VoiceProfile

AROUND_S: Final = Fraction(1, 2)
"""Silence before and after the sentence."""


def sound_check_utterances(
    version: Version, profiles: Mapping[str, VoiceProfile]
) -> tuple[Utterance, ...]:
    """Return what is to be voiced for the sound check of a version.

    Nothing, if its language has no such sentence, or a person's recordings are its voice: they hold
    the words of the script and no others.
    """
    settings = version.script.settings
    profile = profiles.get(settings.voice)
    if profile is None or profile.engine == "recorded":
        return ()
    speech = Speech(
        settings.voice,
        settings.language,
        Fraction(1),
        1,
        arranged_pace=version.arrangement.arranged_pace,
    )
    line = version.worded.sound_check(speech)
    return tuple(one for one in line if isinstance(one, Utterance))


def sound_check_steps(utterances: tuple[Utterance, ...]) -> list[Step]:
    """Return the steps of its file."""
    said = [Say(one, "instruction", captioned=False) for one in utterances]
    return [Wait("lead-in", AROUND_S), *said, Wait("run-out", AROUND_S)]
