"""What a recording came to: for the build's messages and its record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pausewright.wording.line_elements import Utterance


@frozen
class Reduced:
    """An utterance that the peak ceiling kept below its level."""

    utterance: Utterance
    gain_reduced_db: float


@frozen
class Retaken:
    """An utterance whose declared take would not do, and the take that is used."""

    utterance: Utterance
    take: int


@frozen
class VoiceUse:
    """A voice at one pace, as it goes into the build record."""

    name: str
    engine: str
    language: str
    licence: str
    origin: str
    setting: float
    words_per_minute: float
    """Of the calibration passage at this setting; 0 for recordings, which keep their pace."""
    loudness_offset_lu: float


@frozen
class RecordingReport:
    """What a recording came to."""

    n_voiced: int
    """Utterances that had to be voiced."""
    n_kept: int
    """Utterances found in the store."""
    words_per_minute: float | None
    """Of all distinct utterances, with 0.4 s between them; None without any."""
    reduced: tuple[Reduced, ...]
    voices: tuple[VoiceUse, ...]
    retaken: tuple[Retaken, ...] = ()
