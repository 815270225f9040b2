"""A booth: one voice at work, with its keys, its calibrations and, once needed, its engine."""

from __future__ import annotations

import hashlib
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction
from functools import cache
from importlib import metadata
from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.problems import VoiceError, nearest
from pausewright.sound.stretch import stretch_recipe
from pausewright.voice.calibrate import Calibration, from_table, passage, solve
from pausewright.voice.engine import Request
from pausewright.voice.finish import FINISH
from pausewright.voice.recording_report import VoiceUse
from pausewright.voice.speech_level import Level
from pausewright.voice.store import digest
from pausewright.voice.voice_folders import refuse_another_file
from pausewright.wording.line_elements import SpokenPart

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.voice.engine import Engine, RawTake
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile
    from pausewright.voice.store import TakeStore
    from pausewright.wording.line_elements import Utterance

RECIPE = 4
"""Number of this way of making raw sound; part of the key under which it is kept."""


RECORDED_OFFSET_LU = -0.5
"""BS.1770 loudness of levelled speech less its P.56 level, for recordings without a measured one:
between the two bundled voices'."""


@cache
def _finishers() -> list[str]:
    """Return the versions of the libraries that decide the samples of a finished take."""
    return [metadata.version("soxr"), metadata.version("numpy")]


@frozen
class Job:
    """An utterance with all that is needed to voice it and to find it again."""

    booth: Booth
    request: Request
    calibration: Calibration
    level: Level
    raw_key: str
    finished_key: str
    pace: Fraction = Fraction(1)
    """An arrangement's share of the standard pace."""
    standard: Utterance | None = None
    """What the length of an arrangement's take is a share of; None for a take as it is."""


class Booth:
    """One voice; its engine is loaded when something has to be voiced, not before."""

    def __init__(
        self,
        profile: VoiceProfile,
        engines: Mapping[str, EngineKind],
        store: TakeStore,
        workers: int,
    ) -> None:
        """Find the voice's engine and what its sound depends on.

        Raises
        ------
        VoiceError
            If the engine, a package or a file is missing.
        """
        kind = engines.get(profile.engine)
        if kind is None:
            close = nearest(profile.engine, engines)
            raise VoiceError(
                f"the voice ‘{profile.name}’ asks for the engine ‘{profile.engine}’",
                f"did you mean ‘{close}’?" if close else f"known are {', '.join(sorted(engines))}",
            )
        self.profile = profile
        self._kind = kind
        self._store = store
        self._workers = workers
        self._engine: Engine | None = None
        self._calibrations: dict[Fraction, Calibration] = {}
        refuse_another_file(profile, store.file_digest)
        self._origin: dict[str, object] = {
            "recipe": RECIPE,
            "engine": kind.name if kind.recipe == 1 else f"{kind.name} {kind.recipe}",
            "machine": sys.byteorder,
            "versions": [_version(profile, name) for name in kind.packages],
            "files": [store.file_digest(file) for file in kind.files(profile)],
            "speaker": profile.speaker,
            "voice_language": profile.language,
        }

    def job(
        self,
        utterance: Utterance,
        *,
        target_wpm: Fraction,
        rate_hz: int,
        level_lufs: float,
        may_measure: bool = True,
    ) -> Job:
        """Return what is to be done for an utterance; calibrates the voice if need be.

        `target_wpm` is the pace on the standard track; an arrangement's pace is in the utterance.

        Raises
        ------
        VoiceError
            If the voice cannot be brought to the pace, or would have to be calibrated first
            and `may_measure` is not set.
        """
        speech = utterance.speech
        standard = None
        if speech.arranged_pace == 1:
            found = self.calibration(target_wpm, may_measure=may_measure)
        else:
            standard = replace(utterance, speech=replace(speech, arranged_pace=Fraction(1)))
            found = self._nearest(target_wpm, speech.arranged_pace, may_measure=may_measure)
        request = Request(utterance.spoken, speech.language, found.setting, speech.take)
        level = Level(
            round(level_lufs - found.loudness_offset_lu, 3),
            aim_lufs=level_lufs,
        )
        raw_key = digest({**self._origin, "request": _recipe(request)})
        finished_key = digest(
            {
                "raw": raw_key,
                "finish": FINISH,
                "rate_hz": rate_hz,
                "active_db": level.active_db,
                "ceiling_dbtp": level.ceiling_dbtp,
                "aim_lufs": level.aim_lufs,
                "versions": _finishers(),
            }
        )
        if standard is not None:
            like = self.job(
                standard,
                target_wpm=target_wpm,
                rate_hz=rate_hz,
                level_lufs=level_lufs,
                may_measure=may_measure,
            )
            finished_key = digest(
                {
                    "take": finished_key,
                    "standard": like.finished_key,
                    "pace": str(speech.arranged_pace),
                    "stretch": stretch_recipe(),
                }
            )
        return Job(
            self, request, found, level, raw_key, finished_key, speech.arranged_pace, standard
        )

    def _nearest(
        self, target_wpm: Fraction, arranged_pace: Fraction, *, may_measure: bool
    ) -> Calibration:
        """Return the setting nearest to an arrangement's pace; stretching does what is left."""
        rates = [rate for _, rate in self.profile.pace_table]
        wanted_wpm = target_wpm * arranged_pace
        if rates and not self._kind.keeps_pace:
            wanted_wpm = min(max(wanted_wpm, Fraction(min(rates))), Fraction(max(rates)))
        try:
            return self.calibration(wanted_wpm, may_measure=may_measure)
        except VoiceError:
            return self.calibration(target_wpm, may_measure=may_measure)

    @property
    def has_takes(self) -> bool:
        """Whether another take of the same words is another sound."""
        return self._kind.has_takes

    def prepare(self, request: Request) -> object:
        """Work out pronunciation, in the calling thread; raises VoiceError."""
        return self._loaded().prepare(request)

    def synthesise(self, prepared: object) -> RawTake:
        """Make the sound; safe in several threads; raises VoiceError."""
        return self._loaded().synthesise(prepared)

    def rest(self) -> None:
        """Let the engine go; it is loaded again when something has to be voiced."""
        self._engine = None

    def calibration(self, target_wpm: Fraction, *, may_measure: bool = True) -> Calibration:
        """Return the setting for a pace: from the profile's table, the store, or by measuring.

        Raises
        ------
        VoiceError
            If the voice cannot be brought to it, or was not measured and must not be now.
        """
        if self._kind.keeps_pace:
            return Calibration(1.0, 0.0, self.profile.loudness_offset_lu or RECORDED_OFFSET_LU)
        found = self._calibrations.get(target_wpm)
        if found is None:
            found = from_table(self.profile, float(target_wpm)) or self._kept_pace(target_wpm)
            if found is None and not may_measure:
                raise VoiceError(
                    f"the voice ‘{self.profile.name}’ is not calibrated yet",
                    "build the script; that calibrates it",
                )
            found = found or self._measured(target_wpm)
            self._calibrations[target_wpm] = found
        return found

    def use(self, at: Calibration) -> VoiceUse:
        """Return what the build record says of this voice at a pace."""
        profile = self.profile
        return VoiceUse(
            profile.name,
            profile.engine,
            profile.language,
            profile.licence,
            profile.origin,
            at.setting,
            at.words_per_minute,
            at.loudness_offset_lu,
        )

    def read_passage(self, setting: float) -> list[RawTake]:
        """Voice the calibration passage at a setting, one take a sentence."""
        engine = self._loaded()
        language = self.profile.language
        prepared = [
            engine.prepare(Request((SpokenPart(sentence),), language, setting, 1))
            for sentence in passage()
        ]
        with ThreadPoolExecutor(self._workers, thread_name_prefix="calibrate") as pool:
            return list(pool.map(engine.synthesise, prepared))

    def _pace_key(self, target_wpm: Fraction) -> str:
        text = hashlib.sha256("\n".join(passage()).encode()).hexdigest()
        return digest({**self._origin, "passage": text, "wpm": str(target_wpm)})

    def _kept_pace(self, target_wpm: Fraction) -> Calibration | None:
        kept = self._store.read_facts("paces", self._pace_key(target_wpm))
        if kept is None:
            return None
        return Calibration(kept["setting"], kept["words_per_minute"], kept["loudness_offset_lu"])

    def _measured(self, target_wpm: Fraction) -> Calibration:
        found = solve(self.profile.name, self._kind, float(target_wpm), self.read_passage)
        self._store.write_facts(
            "paces",
            self._pace_key(target_wpm),
            {
                "setting": found.setting,
                "words_per_minute": found.words_per_minute,
                "loudness_offset_lu": found.loudness_offset_lu,
            },
        )
        return found

    def _loaded(self) -> Engine:
        engine = self._engine
        if engine is None:
            engine = self._engine = self._kind.load(self.profile)
        return engine


def _recipe(request: Request) -> dict[str, object]:
    return {
        "spoken": [[part.text, part.is_ipa, part.language] for part in request.spoken],
        "language": request.language,
        "setting": f"{request.setting:.4f}",
        "take": request.take,
    }


def _version(profile: VoiceProfile, name: str) -> str:
    try:
        return f"{name} {metadata.version(name)}"
    except metadata.PackageNotFoundError as fault:
        raise VoiceError(
            f"the voice ‘{profile.name}’ needs the package {name}, which is not installed",
            f"pip install {name}",
        ) from fault
