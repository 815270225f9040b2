"""The slate of an excerpt: what is said before it, so that nobody takes it for the track.

It is the version's own slate with its stop, if the script has one, and a sentence that says which
questions are heard again. That sentence alone is voiced; it is on no track.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.element_sounds import ElementSounds
from pausewright.deliver.studios import studio_of
from pausewright.deliver.take_check import begins_whole
from pausewright.plan.step_writer import LEAD_IN_S
from pausewright.plan.timeline import Mark, Say, Wait, timeline
from pausewright.script.model import Speech
from pausewright.script.slate import is_slate
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.deliver.chosen_steps import Choice
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Step, Timeline
    from pausewright.sound.take import Take
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.wording.line_elements import SoundElement

AFTER_S: Final = Fraction(2)
"""Silence after the sentence where no stop follows it."""
BETWEEN_S: Final = Fraction(4, 5)
"""Silence between the slate and what is heard again, and before the sentence."""


class ExcerptSlate:
    """What is heard before an excerpt of a version."""

    def __init__(
        self,
        project: Project,
        version: Version,
        choice: Choice,
        sounds: ElementSounds,
        engines: Mapping[str, EngineKind] | None,
    ) -> None:
        """Voice its own sentence; `sounds` has the sounds of the version."""
        self._version = version
        self._sounds = sounds
        self._own = _own_sentence(project, version, choice)
        settings = version.script.settings
        studio = studio_of(project, settings, engines=engines, is_usable=begins_whole)
        self._own_sounds = ElementSounds(studio, settings)
        studio.record(self._own)

    def line(self) -> Timeline:
        """Return where everything in it lies, from the first sample of the excerpt."""
        return timeline(self._steps(), self._n_samples, self._sounds.rate_hz)

    def take(self, element: SoundElement) -> Take:
        """Return the sound of anything in the excerpt."""
        return self._of(element).take(element)

    def _of(self, element: SoundElement) -> ElementSounds:
        return self._own_sounds if element in self._own else self._sounds

    def _n_samples(self, element: SoundElement) -> int:
        return self._of(element).n_sound_samples(element)

    def _steps(self) -> list[Step]:
        script = self._version.script
        slate: list[Step] = []
        if script.parts and is_slate(script.parts[0]):
            slate = [
                step
                for step in self._version.steps
                if not isinstance(step, Mark) and step.block == 0
            ]
        at = next((k for k, step in enumerate(slate) if _is_hold(step)), len(slate))
        said: list[Step] = [Say(one, "cue", captioned=False) for one in self._own]
        pause: list[Step] = [Wait("default-pause", BETWEEN_S)]
        steps: list[Step] = [Wait("lead-in", LEAD_IN_S), *slate[:at]]
        steps += [*(pause if at and said else ()), *said, *slate[at:]]
        if slate:
            return [*steps, *pause]
        return [*steps, Wait("pause", AFTER_S)] if said else steps


def _is_hold(step: Step) -> bool:
    return isinstance(step, Wait) and step.kind == "hold"


def _own_sentence(project: Project, version: Version, choice: Choice) -> tuple[Utterance, ...]:
    """Return which questions are heard again, as it is said.

    Nothing in a language without such a sentence, where a person's recordings are the voice (they
    hold the words of the script and no others), and for a single line or announcement.
    """
    settings = version.script.settings
    profile = project.profiles.get(settings.voice)
    if profile is None or profile.engine == "recorded":
        return ()
    if choice.what not in {"question", "questions"}:
        return ()
    pace = version.arrangement.arranged_pace
    speech = Speech(settings.voice, settings.language, Fraction(1), 1, arranged_pace=pace)
    line = version.worded.of_excerpt(choice.first, choice.last, speech)
    version.worded.problems.raise_errors()
    return tuple(one for one in line if isinstance(one, Utterance))
