"""The sounds of a version of a given recording: its own samples, and what is laid over them."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from pausewright.deliver.element_sounds import ElementSounds
from pausewright.plan.recorded_plan import RecordedPlan, RecordedPlanner, RecordingError
from pausewright.plan.steps import steps as steps_of
from pausewright.plan.timeline import Say
from pausewright.problems import Problem, ScriptError, SoundError
from pausewright.script.settings.settings_table import AS_RECORDED, loudness_lufs
from pausewright.sound.recording.recording import Recording, recording_of
from pausewright.sound.recording.room_tone import RoomTone
from pausewright.sound.recording.source import as_written
from pausewright.sound.recording.splice import spliced
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.extra_time import Added
    from pausewright.plan.recorded_gaps import Bound
    from pausewright.plan.timeline import Step, Timeline
    from pausewright.script.declared import Given, Settings
    from pausewright.script.model import Sound
    from pausewright.sound.recording.source import Written
    from pausewright.voice.studio import Studio
    from pausewright.wording.line_elements import SoundElement
    from pausewright.wording.worded import Worded

CEILING_DBTP: Final = -1.0
"""With a gain no peak may pass this."""
_KEPT: Final = 4
"""Recordings whose measurements are kept at a time."""


def given_of(project: Project) -> Recording | None:
    """Return the recording that a project is bound to, looked at once; None without one.

    Raises
    ------
    ScriptError
        If it cannot be read, or a stretch lies outside it or is silent.
    """
    given = project.script.settings.given
    if given is None:
        return None
    sounds = tuple(
        dict.fromkeys(
            step.element.sound
            for step in steps_of(project.worded)
            if isinstance(step, Say) and isinstance(step.element, Excerpt)
        )
    )
    try:
        state = given.file.stat()
        return _looked_at(given, sounds, state.st_mtime_ns, state.st_size)
    except (SoundError, OSError) as error:
        hint = error.hint if isinstance(error, SoundError) else "put the recording back"
        raise ScriptError([Problem(given.place, str(error), hint, code="sound")]) from error


@lru_cache(maxsize=_KEPT)
def _looked_at(given: Given, sounds: tuple[Sound, ...], changed_ns: int, n_bytes: int) -> Recording:
    del changed_ns, n_bytes  # only so that a changed file is looked at again
    return recording_of(given.file, given.folder, sounds)


def voice_level_lufs(recording: Recording, settings: Settings) -> float:
    """Return the level of a voice in one channel that is as loud as the recording's speech."""
    level_lufs = recording.loudness_lufs
    if settings.loudness != AS_RECORDED:
        level_lufs = float(loudness_lufs(settings.loudness))
    return level_lufs - (3.01 if recording.format.n_channels == 2 else 0)


class RecordedSounds(ElementSounds):
    """Gives the sound of a version of a recording, at its rate, in its channels and depth."""

    def __init__(
        self, studio: Studio, settings: Settings, recording: Recording, standard: Worded
    ) -> None:
        """Take the recording, and the words of the standard script, which names its gaps."""
        form = recording.format
        speech_lufs = voice_level_lufs(recording, settings)
        super().__init__(
            studio,
            settings,
            rate_hz=form.rate_hz,
            channels=form.n_channels,
            depth=form.depth,
            speech_lufs=speech_lufs,
        )
        self.recording = recording
        self.gain_db = 0.0
        self.loudness_lufs = recording.loudness_lufs
        if settings.loudness != AS_RECORDED:
            wanted_db = float(loudness_lufs(settings.loudness)) - recording.loudness_lufs
            self.gain_db = min(wanted_db, CEILING_DBTP - recording.true_peak_dbtp)
            self.loudness_lufs += self.gain_db
        self._planner = RecordedPlanner(
            steps_of(standard),
            lambda excerpt: recording.bound(excerpt.sound),
            recording.activity,
            n_samples=recording.n_samples,
            rate_hz=form.rate_hz,
        )
        self._plans: dict[Timeline, RecordedPlan] = {}

    def bound(self, sound: Sound) -> Bound:
        """Return where a stretch lies in the recording."""
        return self.recording.bound(sound)

    def refuse_bad_excerpts(self, pieces: Iterable[Excerpt]) -> None:
        """Do nothing: the recording was looked at as a whole."""

    def sound_at_s(self, sound: Sound, file_s: Fraction) -> Fraction:
        """Return when a place of the recording is heard, from the start of its stretch."""
        begins_s = Fraction(self.bound(sound).start, self.rate_hz)
        return (file_s - begins_s) / sound.arranged_pace

    def line_of(self, version: Version) -> Timeline:
        """Return where everything lies on the track of a version.

        Raises
        ------
        ScriptError
            Where the recording has no clean edge for what is declared.
        """
        added = version.grant.added if version.grant else ()
        return self._planned(version.steps, added).timeline

    def line_of_steps(self, steps: Sequence[Step]) -> Timeline:
        """Return where steps lie to which no extra time comes."""
        return self._planned(steps, ()).timeline

    def _planned(self, steps: Sequence[Step], added: Sequence[Added]) -> RecordedPlan:
        try:
            plan = self._planner.plan(steps, added, self._n_over)
        except RecordingError as error:
            raise ScriptError(
                [Problem(error.place, error.message, error.hint, code="recording-edge")]
            ) from error
        self._plans[plan.timeline] = plan
        return plan

    def _n_over(self, element: SoundElement) -> int:
        return super().n_sound_samples(element)

    def n_sound_samples(self, piece: SoundElement) -> int:
        """Return the length of a sound that counts."""
        if isinstance(piece, Excerpt):
            bound = self.bound(piece.sound)
            return round((bound.end - bound.start) / piece.sound.arranged_pace)
        return super().n_sound_samples(piece)

    def blocks(self, line: Timeline) -> Iterator[Written]:
        """Give the samples of a version, in the recording's own depth."""
        plan = self._plans[line]
        with self.recording.opened() as file:
            room = RoomTone(file, self.recording.calm)
            if not room.has_material and not plan.is_whole:
                raise SoundError(
                    f"the recording ‘{file.path.name}’ is nowhere quiet, so nothing can fill a gap",
                    "take a recording with pauses of a second or more",
                )
            gain = 10 ** (self.gain_db / 20)
            for wave in spliced(file, plan, room, self.take, gain):
                yield as_written(wave, file.format.depth)
