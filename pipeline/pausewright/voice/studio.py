"""The studio: utterances in, finished takes out; each is voiced once and kept.

Pronunciation is worked out in the calling thread, in order; sound is made and finished by
workers, one utterance each. What a take sounds like depends on nothing but its own words, voice,
setting and take number, so neither order nor number of workers changes a byte.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.problems import PausewrightError, Problems, VoiceError
from pausewright.sound.takes_at_hand import TakesAtHand
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.voice.finish import finish, finish_at_length
from pausewright.voice.job_maker import JobMaker, problem_of
from pausewright.voice.recording_report import RecordingReport, Reduced
from pausewright.voice.store import TakeStore
from pausewright.voice.take_format import keep_finished, keep_raw, kept_finished, kept_raw
from pausewright.voice.takes_in_use import (
    MOST_TAKES,
    TakesInUse,
    identity_of,
)
from pausewright.voice.word_groups import written_words
from pausewright.voice.word_starts import heard_starts
from pausewright.voice.workers import Workers

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from fractions import Fraction
    from pathlib import Path

    from pausewright.sound.take import Take
    from pausewright.voice.booth import Job
    from pausewright.voice.engine import RawTake
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.finish import Finished
    from pausewright.voice.profile import VoiceProfile
    from pausewright.voice.takes_in_use import Identity, IsUsable
    from pausewright.wording.line_elements import Utterance

AT_HAND_BYTES = 4 * 2**20
"""Finished takes held in memory at most."""
_PAUSE_BETWEEN_S = 0.4


@frozen
class _Known:
    n_sound_samples: int
    gain_reduced_db: float
    word_spans: tuple[tuple[int, int], ...]


class Studio:
    """Voices utterances and hands out finished takes."""

    def __init__(
        self,
        *,
        profiles: Mapping[str, VoiceProfile],
        script_folder: Path,
        pace_wpm: Fraction,
        rate_hz: int = 44_100,
        level_lufs: float = -23.0,
        workers: int = 2,
        progress: Callable[[int, int], None] | None = None,
        engines: Mapping[str, EngineKind] | None = None,
        is_usable: IsUsable | None = None,
    ) -> None:
        """Prepare the studio; nothing is loaded or voiced yet.

        Parameters
        ----------
        profiles : the voices that utterances may name
        script_folder : where the take store lies
        pace_wpm : words a minute to which each voice is calibrated
        rate_hz : the track's rate
        level_lufs : integrated loudness aimed at for speech
        workers : utterances voiced at the same time; at least 1
        progress : called with utterances done and in all, in the calling thread
        engines : engines by name, for tests; the built-in ones unless given
        is_usable : told a finished take, its rate, the level of its speech in dBFS and its voice;
            where it says no, the voice's next take is used, if one of the next few will do
        """
        self._store = TakeStore(script_folder)
        self._rate_hz = rate_hz
        self._workers = max(1, workers)
        self._progress = progress
        self._takes = TakesInUse(is_usable, self._store, rate_hz)
        self.job_maker = JobMaker(
            profiles=profiles,
            engines=built_in_engines() if engines is None else engines,
            store=self._store,
            workers=self._workers,
            pace_wpm=pace_wpm,
            rate_hz=rate_hz,
            level_lufs=level_lufs,
            takes=self._takes,
        )
        self._known: dict[Identity, _Known] = {}
        self._word_times: dict[Identity, tuple[tuple[str, int, int], ...]] = {}
        self._at_hand = TakesAtHand(AT_HAND_BYTES)

    def record(self, utterances: Iterable[Utterance]) -> RecordingReport:
        """Voice what is missing and finish it; equal utterances are voiced once.

        Raises
        ------
        ScriptError
            If some utterances cannot be voiced: lists all of them with their places.
        OutputError
            If takes cannot be kept.
        """
        distinct: dict[Identity, Utterance] = {}
        for utterance in utterances:
            distinct.setdefault(identity_of(utterance), utterance)
        problems = Problems()
        jobs = self.job_maker.jobs(distinct, problems)
        n_known = len(self._known)
        voiced = self._voice_standards(jobs, problems)
        n_takes = len(self._known) - n_known + len(distinct)
        if any(utterance.speech.arranged_pace != 1 for utterance in distinct.values()):
            # the takes that their standards have
            jobs = self.job_maker.jobs(distinct, problems)
        voiced |= self._run_until_usable(jobs, distinct, problems)
        problems.raise_errors()
        known = {utterance: self._known[identity] for identity, utterance in distinct.items()}
        return RecordingReport(
            n_voiced=len(voiced),
            n_kept=n_takes - len(voiced),
            words_per_minute=_words_per_minute(known, self._rate_hz),
            reduced=tuple(
                Reduced(utterance, one.gain_reduced_db)
                for utterance, one in known.items()
                if one.gain_reduced_db > 0
            ),
            voices=tuple(dict.fromkeys(job.booth.use(job.calibration) for job in jobs.values())),
            retaken=self._takes.retaken(distinct.values()),
        )

    def _voice_standards(self, jobs: Mapping[Identity, Job], problems: Problems) -> set[Identity]:
        """Voice what the lengths of an arrangement's takes are shares of; return which."""
        standards = {
            identity_of(job.standard): job.standard
            for job in jobs.values()
            if job.standard is not None
            and identity_of(job.standard) not in self._known
            and kept_finished(self._store, job.finished_key) is None
        }
        if not standards:
            return set()
        jobs_of_standards = self.job_maker.jobs(standards, problems)
        voiced = self._run_until_usable(jobs_of_standards, standards, problems)
        problems.raise_errors()
        return voiced

    def _run_until_usable(
        self,
        jobs: Mapping[Identity, Job],
        distinct: Mapping[Identity, Utterance],
        problems: Problems,
    ) -> set[Identity]:
        """Bring all jobs to a finished take that will do, if any; return which were voiced.

        Takes at an arrangement's pace are those of the standard track. Where none of the first
        few takes will do, the declared one is used.
        """
        voiced = self._run(jobs, distinct, problems)
        pending = self._takes.unusable(jobs, distinct)
        for further in range(1, MOST_TAKES + 1):
            if not pending:
                break
            for identity, utterance in pending.items():
                self._takes.take_next(utterance, further)
                self._at_hand.drop(identity)
            again = self.job_maker.jobs(pending, problems)
            voiced |= self._run(again, pending, problems)
            pending = self._takes.unusable(again, pending) if further < MOST_TAKES else {}
        return voiced

    def rest(self) -> None:
        """Let the engines go, which take most of a build's memory, while nothing is voiced."""
        for booth in self.job_maker.booths.values():
            booth.rest()

    def n_sound_samples(self, utterance: Utterance) -> int:
        """Return its length between the edges of its speech, voiced if need be as by `record`."""
        return self._known_of(utterance).n_sound_samples

    def kept_n_sound_samples(self, utterance: Utterance) -> int | None:
        """Return the length of an utterance if it and its voice's pace are known; never voice."""
        try:
            job = self.job_maker.job(utterance, may_measure=False)
        except PausewrightError:
            return None
        finished = kept_finished(self._store, job.finished_key)
        return None if finished is None else finished.take.n_sound_samples

    def take(self, utterance: Utterance) -> Take:
        """Return the finished take: shape (n_samples, 1), int16, read-only.

        It is voiced first if need be; raises as `record` does.
        """
        identity = identity_of(utterance)
        take = self._at_hand.get(identity)
        if take is not None:
            return take
        job = self.job_maker.job(utterance)
        finished = kept_finished(self._store, job.finished_key)
        if finished is None:
            raw = kept_raw(self._store, job.raw_key)
            if raw is None:
                finished = self._voice(job, job.booth.prepare(job.request))
            else:
                finished = self._finish(job, raw)
        self._at_hand.hold(identity, finished.take)
        return finished.take

    def word_spans(self, utterance: Utterance) -> tuple[tuple[int, int], ...]:
        """Return half-open sample ranges of the words in `take(utterance)`, in order.

        Empty if the engine does not tell, or if the words as pronounced are not as many as the
        words as written (some are pronounced as one).
        """
        spans = self._known_of(utterance).word_spans
        return spans if len(spans) == _n_words(utterance) else ()

    def word_times(self, utterance: Utterance) -> tuple[tuple[str, int, int], ...]:
        """Return the words of an utterance as spoken, and when each is heard.

        Samples count from where the take's sound begins (its first edge). A word begins with its
        sound, though the voice may count a pause before it to it. Empty as `word_spans`.
        """
        identity = identity_of(utterance)
        if identity not in self._word_times:
            spans = self.word_spans(utterance)
            take = self.take(utterance)
            self._word_times[identity] = _heard_words(utterance, take, spans, self._rate_hz)
        return self._word_times[identity]

    def _known_of(self, utterance: Utterance) -> _Known:
        identity = identity_of(utterance)
        if identity not in self._known:
            self.record([utterance])
        return self._known[identity]

    def _run(
        self,
        jobs: Mapping[Identity, Job],
        distinct: Mapping[Identity, Utterance],
        problems: Problems,
    ) -> set[Identity]:
        """Bring all jobs to a finished take in the store; return which were voiced."""
        voiced: set[Identity] = set()
        n_done = 0

        def settle(identity: Identity, outcome: Callable[[], Finished]) -> None:
            nonlocal n_done
            try:
                self._learn(identity, outcome())
            except VoiceError as fault:
                problems.extend([problem_of(distinct[identity], fault)])
            n_done += 1
            if self._progress is not None:
                self._progress(n_done, len(jobs))

        with Workers(self._workers, settle) as workers:
            for identity, job in jobs.items():
                finished = kept_finished(self._store, job.finished_key)
                if finished is not None:
                    settle(identity, partial(_same, finished))
                    continue
                raw = kept_raw(self._store, job.raw_key)
                if raw is not None:
                    workers.add(identity, partial(self._finish, job, raw))
                    continue
                try:
                    prepared = job.booth.prepare(job.request)
                except VoiceError as fault:
                    settle(identity, partial(_refuse, fault))
                    continue
                workers.add(identity, partial(self._voice, job, prepared))
                voiced.add(identity)
        return voiced

    def _voice(self, job: Job, prepared: object) -> Finished:
        raw = job.booth.synthesise(prepared)
        keep_raw(self._store, job.raw_key, raw)
        return self._finish(job, raw)

    def _finish(self, job: Job, raw: RawTake) -> Finished:
        if job.standard is None:
            finished = finish(raw, self._rate_hz, job.level)
        else:
            wanted = self._known_of(job.standard).n_sound_samples / float(job.pace)
            finished = finish_at_length(raw, self._rate_hz, job.level, wanted)
        keep_finished(self._store, job.finished_key, self._rate_hz, finished)
        return finished

    def _learn(self, identity: Identity, finished: Finished) -> None:
        self._known[identity] = _known(finished)
        self._at_hand.hold(identity, finished.take)


def _known(finished: Finished) -> _Known:
    take = finished.take
    return _Known(take.n_sound_samples, finished.gain_reduced_db, finished.word_spans)


def _words_per_minute(known: Mapping[Utterance, _Known], rate_hz: int) -> float | None:
    n_words = sum(_n_words(utterance) for utterance in known)
    n_samples = sum(one.n_sound_samples for one in known.values())
    spoken_s = n_samples / rate_hz + _PAUSE_BETWEEN_S * max(0, len(known) - 1)
    return 60 * n_words / spoken_s if spoken_s else None


def _heard_words(
    utterance: Utterance, take: Take, spans: Sequence[tuple[int, int]], rate_hz: int
) -> tuple[tuple[str, int, int], ...]:
    words = written_words(utterance.spoken)
    after_marks = [True, *(not word[-1].text[-1:].isalnum() for word in words)][: len(spans)]
    starts = heard_starts(take, spans, after_marks, rate_hz)
    n_samples = take.n_sound_samples
    return tuple(
        (
            "".join(part.text for part in word),
            min(max(start - take.edge_start, 0), n_samples),
            min(max(end - take.edge_start, 0), n_samples),
        )
        for word, start, (_, end) in zip(words, starts, spans, strict=False)
    )


def _same(finished: Finished) -> Finished:
    return finished


def _refuse(fault: VoiceError) -> Finished:
    raise fault


def _n_words(utterance: Utterance) -> int:
    return len(written_words(utterance.spoken))
