"""Which take of an utterance is used: the declared one, or the next that will do."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.voice.recording_report import Retaken
from pausewright.voice.take_format import kept_finished

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from pausewright.script.model import Speech
    from pausewright.sound.take import Take
    from pausewright.voice.booth import Job
    from pausewright.voice.store import TakeStore
    from pausewright.wording.line_elements import SpokenPart, Utterance

Identity: TypeAlias = "tuple[tuple[SpokenPart, ...], Speech]"
"""What makes two utterances one take."""
IsUsable: TypeAlias = "Callable[[Take, int, float, str], bool]"
"""Told a finished take, its rate, the active level of its speech in dBFS and its voice: whether it
will do."""

MOST_TAKES = 4
"""Takes of an utterance that are tried until one will do."""


def identity_of(utterance: Utterance) -> Identity:
    """Return what makes two utterances one take."""
    return utterance.spoken, utterance.speech


def at_standard_pace(utterance: Utterance) -> Utterance:
    """Return an utterance as the standard track has it."""
    return replace(utterance, speech=replace(utterance.speech, arranged_pace=Fraction(1)))


class TakesInUse:
    """Takes that are used in place of declared ones that will not do.

    Another take is only looked for where the engine has some that differ. An arrangement's take is
    that of the standard track.
    """

    def __init__(self, is_usable: IsUsable | None, store: TakeStore, rate_hz: int) -> None:
        """Know of no take yet; without `is_usable` every take will do."""
        self._is_usable = is_usable
        self._store = store
        self._rate_hz = rate_hz
        self._judged: dict[str, bool] = {}
        self._takes: dict[Identity, int] = {}

    def in_use(self, utterance: Utterance) -> Utterance:
        """Return an utterance with the number of the take that is used."""
        take = self._takes.get(identity_of(at_standard_pace(utterance)))
        if take is None:
            return utterance
        return replace(utterance, speech=replace(utterance.speech, take=take))

    def take_next(self, utterance: Utterance, further: int) -> None:
        """Use the take `further` after the declared one; from `MOST_TAKES` on the declared one."""
        if further < MOST_TAKES:
            self._takes[identity_of(utterance)] = utterance.speech.take + further
        else:
            self._takes.pop(identity_of(utterance), None)

    def unusable(
        self, jobs: Mapping[Identity, Job], distinct: Mapping[Identity, Utterance]
    ) -> dict[Identity, Utterance]:
        """Return the utterances whose finished take will not do and that may have another."""
        return {
            identity: distinct[identity]
            for identity, job in jobs.items()
            if job.standard is None and not self._will_do(job)
        }

    def retaken(self, utterances: Iterable[Utterance]) -> tuple[Retaken, ...]:
        """Return which of these have another take than the declared one."""
        pairs = ((one, self.in_use(one).speech.take) for one in utterances)
        return tuple(Retaken(one, take) for one, take in pairs if take != one.speech.take)

    def _will_do(self, job: Job) -> bool:
        if self._is_usable is None or not job.booth.has_takes:
            return True
        if job.finished_key not in self._judged:
            finished = kept_finished(self._store, job.finished_key)
            self._judged[job.finished_key] = finished is None or self._is_usable(
                finished.take, self._rate_hz, job.level.active_db, job.booth.profile.name
            )
        return self._judged[job.finished_key]
