"""Jobs: utterances with all that is needed to voice them, from the booth of their voice."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from pausewright.problems import Problem, VoiceError
from pausewright.voice.booth import Booth
from pausewright.voice.takes_in_use import at_standard_pace
from pausewright.voice.voice_list import find_profile

if TYPE_CHECKING:
    from collections.abc import Mapping
    from fractions import Fraction

    from pausewright.problems import Problems
    from pausewright.voice.booth import Job
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile
    from pausewright.voice.store import TakeStore
    from pausewright.voice.takes_in_use import Identity, TakesInUse
    from pausewright.wording.line_elements import Utterance


@dataclass(frozen=True, slots=True, kw_only=True)
class JobMaker:
    """What all jobs of a studio have in common, and the booths that were opened."""

    profiles: Mapping[str, VoiceProfile]
    engines: Mapping[str, EngineKind]
    store: TakeStore
    workers: int
    pace_wpm: Fraction
    rate_hz: int
    level_lufs: float
    takes: TakesInUse
    booths: dict[str, Booth] = field(default_factory=dict)

    def jobs(
        self, distinct: Mapping[Identity, Utterance], problems: Problems
    ) -> dict[Identity, Job]:
        """Return the jobs of utterances; what a voice is at fault for becomes a problem."""
        jobs: dict[Identity, Job] = {}
        for identity, utterance in distinct.items():
            try:
                jobs[identity] = self.job(utterance)
            except VoiceError as fault:
                # One voice at fault is one problem, at the first place that needs it.
                if all(p.message != fault.message for p in problems.all):
                    problems.extend([problem_of(utterance, fault)])
        return jobs

    def job(self, utterance: Utterance, *, may_measure: bool = True) -> Job:
        """Return the job of an utterance, with the take that is used; raises as `Booth.job`."""
        voice = utterance.speech.voice
        booth = self.booths.get(voice)
        if booth is None:
            profile = find_profile(self.profiles, voice)
            booth = Booth(profile, self.engines, self.store, self.workers)
            self.booths[voice] = booth
        job = booth.job(
            self.takes.in_use(utterance),
            target_wpm=self.pace_wpm * utterance.speech.pace,
            rate_hz=self.rate_hz,
            level_lufs=self.level_lufs,
            may_measure=may_measure,
        )
        # the standard's length is known by its declared take, whichever is used
        return job if job.standard is None else replace(job, standard=at_standard_pace(utterance))


def problem_of(utterance: Utterance, fault: VoiceError) -> Problem:
    """Return what a voice cannot say as a problem at its place."""
    return Problem(utterance.place, fault.message, fault.hint, code="voice-cannot-say")
