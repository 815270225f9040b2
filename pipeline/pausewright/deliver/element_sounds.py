"""Finished sound of every piece of a version: from the studio, the recordings or the tone maker."""

from __future__ import annotations

import hashlib
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.track_sound import RATE_HZ
from pausewright.plan.timeline import timeline
from pausewright.problems import Problem, ScriptError, SoundError
from pausewright.script.settings.settings_table import loudness_lufs
from pausewright.sound.excerpts import Excerpts
from pausewright.sound.lay import lay
from pausewright.sound.tones import tone_take
from pausewright.wording.line_elements import Excerpt, ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Step, Timeline
    from pausewright.script.declared import Settings
    from pausewright.script.model import Sound
    from pausewright.sound.recording.source import Depth, Written
    from pausewright.sound.take import Take
    from pausewright.voice.studio import Studio

_TONE_BELOW_SPEECH_LU: Final = 2.0
_EDGE_BELOW_SPEECH_DB: Final = 40.0
"""Where a recording begins and ends, as for spoken words."""


class ElementSounds:
    """Gives the sound of any piece, and how long it is."""

    def __init__(
        self,
        studio: Studio,
        settings: Settings,
        *,
        rate_hz: int = RATE_HZ,
        channels: int | None = None,
        depth: Depth = "PCM_16",
        speech_lufs: float | None = None,
    ) -> None:
        """Take the studio at the version's level; nothing is voiced or read yet.

        Rate, channels and level are those of the settings unless given; `depth` is of `blocks`.
        """
        self.studio = studio
        self.rate_hz = rate_hz
        self.channels = settings.channels if channels is None else channels
        self.depth = depth
        if speech_lufs is None:
            speech_lufs = float(loudness_lufs(settings.loudness))
        self.loudness_lufs = float(loudness_lufs(settings.loudness))
        """What the track is built for; of a recording at its own level what that has."""
        self._tone_lufs = speech_lufs - _TONE_BELOW_SPEECH_LU
        self.excerpts = Excerpts(
            rate_hz=rate_hz,
            channels=self.channels,
            speech_lufs=speech_lufs,
            edge_dbfs=speech_lufs - _EDGE_BELOW_SPEECH_DB,
        )
        self._tones: dict[object, Take] = {}
        self._marks: dict[Utterance | ToneCue | Excerpt, str] = {}

    def take(self, piece: Utterance | ToneCue | Excerpt) -> Take:
        """Return the finished sound of a piece."""
        if isinstance(piece, Utterance):
            return self.studio.take(piece)
        if isinstance(piece, ToneCue):
            return self._tone(piece)
        return self.excerpts.take(piece.sound)

    def mark(self, piece: Utterance | ToneCue | Excerpt) -> str:
        """Return 16 digits that tell its sound from every other; "" for a tone."""
        if isinstance(piece, ToneCue):
            return ""
        if piece not in self._marks:
            take = self.take(piece)
            heard = take.samples[take.edge_start : take.edge_end]
            self._marks[piece] = hashlib.sha256(heard.tobytes()).hexdigest()[:16]
        return self._marks[piece]

    def n_sound_samples(self, piece: Utterance | ToneCue | Excerpt) -> int:
        """Return its length from its first audible sample to one past its last."""
        if isinstance(piece, Utterance):
            return self.studio.n_sound_samples(piece)
        return self.take(piece).n_sound_samples

    def sound_at_s(self, sound: Sound, file_s: Fraction) -> Fraction:
        """Return when a place of a sound's file is heard, from the sound's start on the track."""
        return self.excerpts.at_s(sound, file_s)

    def line_of(self, version: Version) -> Timeline:
        """Return where everything lies on the track of a version, once its words are voiced."""
        return self.line_of_steps(version.steps)

    def line_of_steps(self, steps: Sequence[Step]) -> Timeline:
        """Return where steps lie to which no extra time comes."""
        return timeline(steps, self.n_sound_samples, self.rate_hz)

    def blocks(self, line: Timeline) -> Iterator[Written]:
        """Give the samples of a track, a second at a time, in `depth`."""
        return lay(line, self.take, channels=self.channels)

    def refuse_bad_excerpts(self, pieces: Iterable[Excerpt]) -> None:
        """Refuse recorded sounds that cannot be used.

        Raises
        ------
        ScriptError
            Lists all of them with their places.
        """
        problems = []
        for piece in pieces:
            try:
                self._refuse_late_captions(piece.sound)
            except SoundError as error:
                problems.append(Problem(piece.place, error.message, error.hint, code="sound"))
        if problems:
            raise ScriptError(problems)

    def _refuse_late_captions(self, sound: Sound) -> None:
        sound_s = Fraction(self.excerpts.n_sound_samples(sound), self.rate_hz)
        for cue in sound.cues:
            if self.excerpts.at_s(sound, cue.start_s) >= sound_s:
                raise SoundError(
                    f"a caption of ‘{sound.path}’ begins at {float(cue.start_s):.3f} s, when the "
                    "recording is over",
                    "give the caption file that was made for this recording",
                )

    def _tone(self, cue: ToneCue) -> Take:
        if cue.spec not in self._tones:
            self._tones[cue.spec] = tone_take(
                cue.spec, rate_hz=self.rate_hz, channels=self.channels, level_lufs=self._tone_lufs
            )
        return self._tones[cue.spec]
