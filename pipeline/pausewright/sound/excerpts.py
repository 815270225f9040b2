"""Excerpts: a sound file of the author, whole or in part, as finished sound."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np
import soxr

from pausewright.frozen import frozen
from pausewright.problems import SoundError
from pausewright.sound.meter import loudness_lufs, true_peak_dbtp
from pausewright.sound.sound_reader import read_sound
from pausewright.sound.stretch import stretched
from pausewright.sound.take import Take, rise
from pausewright.sound.takes_at_hand import TakesAtHand

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.script.model import Sound
    from pausewright.sound.take import Pcm

CEILING_DBTP: Final = -1.0
"""No recorded sound may pass this."""

MATCHED_CEILING_DBTP: Final = -2.0
"""A sound whose level is matched is turned up to this at most, as speech is."""

LOUDER_THAN_SPEECH_LU: Final = 6.0
"""No recorded sound may be louder than the speech by more than this."""

CUT_RAMP_S: Final = 0.005
"""Length of the ramp at an end that `from` or `to` cuts, so that no click is heard."""

LEAD_PAD_S: Final = 0.010
TAIL_PAD_S: Final = 0.040
"""What is kept, faded, outside the edges of a trimmed sound."""

KEPT_BYTES: Final = 64 * 1024 * 1024
"""Finished excerpts kept in memory at most."""

_FULL_SCALE: Final = 32767


@frozen
class SoundLevel:
    """How loud a recorded sound is on the track."""

    loudness_lufs: float
    true_peak_dbtp: float
    """-inf for silence."""


class Excerpts:
    """The excerpts of one track, finished when asked for and kept while memory allows."""

    def __init__(
        self, *, rate_hz: int, channels: int, speech_lufs: float, edge_dbfs: float
    ) -> None:
        """Prepare for a track.

        Parameters
        ----------
        rate_hz, channels : of the track
        speech_lufs : loudness target of the speech on the track
        edge_dbfs : a trimmed sound begins and ends where its samples reach this level: 40 dB
            below the active speech level
        """
        self.rate_hz = rate_hz
        self.channels = channels
        self.speech_lufs = speech_lufs
        self.edge_dbfs = edge_dbfs
        self._at_hand = TakesAtHand(KEPT_BYTES)
        self._levels: dict[tuple[object, ...], SoundLevel] = {}
        self._begins: dict[tuple[object, ...], int] = {}

    def take(self, sound: Sound) -> Take:
        """Return the finished sound: int16, the track's rate and channels.

        Raises
        ------
        SoundError
            If the file cannot be read, or the sound is too loud (see `level`).
        """
        key = _key(sound)
        take = self._at_hand.get(key)
        if take is None:
            take, level, n_before = excerpt_take(
                sound,
                rate_hz=self.rate_hz,
                channels=self.channels,
                speech_lufs=self.speech_lufs,
                edge_dbfs=self.edge_dbfs,
            )
            check_level(level, speech_lufs=self.speech_lufs, name=sound.path)
            self._levels[key] = level
            self._begins[key] = n_before
            self._at_hand.hold(key, take)
        return take

    def level(self, sound: Sound) -> SoundLevel:
        """Return how loud the sound is on the track; raise as `take` does."""
        if _key(sound) not in self._levels:
            self.take(sound)
        return self._levels[_key(sound)]

    def at_s(self, sound: Sound, file_s: Fraction) -> Fraction:
        """Return when a place of the sound's file is heard, from the sound's start on the track.

        Negative before it; raise as `take` does.
        """
        if _key(sound) not in self._begins:
            self.take(sound)
        played_s = (file_s - (sound.from_s or 0)) / sound.arranged_pace
        return played_s - Fraction(self._begins[_key(sound)], self.rate_hz)

    def n_sound_samples(self, sound: Sound) -> int:
        """Return the length that counts on the track; raise as `take` does."""
        return self.take(sound).n_sound_samples


def _key(sound: Sound) -> tuple[object, ...]:
    return (
        str(sound.file),
        sound.from_s,
        sound.to_s,
        sound.edges,
        sound.level,
        sound.fade_out_s,
        sound.arranged_pace,
    )


def excerpt_take(
    sound: Sound, *, rate_hz: int, channels: int, speech_lufs: float, edge_dbfs: float
) -> tuple[Take, SoundLevel, int]:
    """Return a sound file, or the part between `from` and `to`, as finished sound.

    It is resampled once, at the highest quality. Mono is copied to both channels; more
    channels than the track has become their mean. With edges "as recorded" all of it counts as
    sound; "trimmed", only from the first to the last sample at `edge_dbfs` or above, with up
    to 10 ms before and 40 ms after kept and faded. An end cut by `from` or `to` has a ramp of
    5 ms. Level "matched" gives it the loudness `speech_lufs`, less where its true peak would
    pass -2 dBTP. Parameters are those of `Excerpts`. The number is that of the samples of the part
    that lie before the sound's start: 0 unless it is trimmed.

    Raises
    ------
    SoundError
        If the file is missing, unreadable, empty or silent, or the part lies outside it.
    """
    raw, raw_rate_hz = read_sound(sound.file, sound.from_s, sound.to_s, inside=sound.folder)
    if sound.arranged_pace != 1:
        raw = _at_pace(raw, raw_rate_hz, sound.arranged_pace)
    wave = _resampled(_with_channels(raw, channels), raw_rate_hz, rate_hz)
    cut = (sound.from_s is not None, sound.to_s is not None)
    level = SoundLevel(loudness_lufs(wave, rate_hz), true_peak_dbtp(wave, rate_hz))
    if sound.level == "matched" and math.isfinite(level.loudness_lufs):
        gain_db = min(
            speech_lufs - level.loudness_lufs, MATCHED_CEILING_DBTP - level.true_peak_dbtp
        )
        wave = wave * np.float32(10 ** (gain_db / 20))
        level = SoundLevel(level.loudness_lufs + gain_db, level.true_peak_dbtp + gain_db)
    n_before = 0
    if sound.edges == "trimmed":
        wave, edge_start, edge_end, n_before = _trimmed(wave, rate_hz, edge_dbfs, sound)
    else:
        wave, edge_start, edge_end = wave.copy(), 0, len(wave)
        n_ramp = math.ceil(CUT_RAMP_S * rate_hz)
        _fade(wave, n_in=n_ramp if cut[0] else 0, n_out=n_ramp if cut[1] else 0)
    if sound.fade_out_s is not None:
        _fade(wave[:edge_end], n_in=0, n_out=_n_fade(sound.fade_out_s, rate_hz))
    samples = _pcm(wave)
    return Take(samples, edge_start, edge_end), level, n_before


def _at_pace(raw: NDArray[np.float32], rate_hz: int, pace: Fraction) -> NDArray[np.float32]:
    """Return a recording as an arrangement's pace has it: 4/5 lasts 5/4 as long."""
    channels = [
        stretched(np.ascontiguousarray(raw[:, c]), rate_hz, float(1 / pace))
        for c in range(raw.shape[1])
    ]
    longer = np.stack(channels, axis=1)
    peak, allowed = float(np.abs(longer).max(initial=0.0)), float(np.abs(raw).max(initial=0.0))
    # phases move in a stretch: no peak may be higher than the author's
    return longer * np.float32(allowed / peak) if peak > allowed else longer


def check_level(level: SoundLevel, *, speech_lufs: float, name: str) -> None:
    """Raise a `SoundError` if a recorded sound could startle or hurt, or would be distorted.

    Allowed: at most 6 LU above the speech, true peak at most -1 dBTP (our own rules).
    """
    above_lu = level.loudness_lufs - speech_lufs
    if above_lu > LOUDER_THAN_SPEECH_LU:
        raise SoundError(
            f"the sound ‘{name}’ is {above_lu:.1f} LU louder than the speech; "
            f"at most {LOUDER_THAN_SPEECH_LU:g} LU are allowed",
            'turn it down in the recording, or write level="matched"',
        )
    if level.true_peak_dbtp > CEILING_DBTP:
        raise SoundError(
            f"the sound ‘{name}’ has a true peak of {level.true_peak_dbtp:.1f} dBTP; "
            f"at most {CEILING_DBTP:g} dBTP is allowed",
            'turn it down in the recording, or write level="matched"',
        )


def _with_channels(wave: NDArray[np.float32], channels: int) -> NDArray[np.float32]:
    if wave.shape[1] == channels:
        return wave
    mono = wave.mean(axis=1, keepdims=True, dtype=np.float32)
    return np.repeat(mono, channels, axis=1)


def _resampled(wave: NDArray[np.float32], from_hz: int, to_hz: int) -> NDArray[np.float32]:
    if from_hz == to_hz:
        return wave
    n_samples = -(-len(wave) * to_hz // from_hz)
    finer = soxr.resample(wave, from_hz, to_hz, quality="VHQ")
    result = np.zeros((n_samples, wave.shape[1]), np.float32)
    n_copied = min(n_samples, len(finer))
    result[:n_copied] = finer[:n_copied]
    return result


def _trimmed(
    wave: NDArray[np.float32], rate_hz: int, edge_dbfs: float, sound: Sound
) -> tuple[NDArray[np.float32], int, int, int]:
    """Return the sound with its pads, where its edges lie in it, and what comes before them."""
    loud = np.flatnonzero(np.abs(wave).max(axis=1) >= 10 ** (edge_dbfs / 20))
    if not len(loud):
        raise SoundError(
            f"the sound ‘{sound.path}’ is too soft to have a beginning and an end",
            'write edges="as recorded", or make the recording louder',
        )
    first, last = int(loud[0]), int(loud[-1]) + 1
    start = max(0, first - math.ceil(LEAD_PAD_S * rate_hz))
    end = min(len(wave), last + math.ceil(TAIL_PAD_S * rate_hz))
    kept = wave[start:end].copy()
    _fade(kept, n_in=first - start, n_out=end - last)
    return kept, first - start, last - start, first


def _n_fade(fade_s: Fraction, rate_hz: int) -> int:
    return -(-fade_s.numerator * rate_hz // fade_s.denominator)


def _fade(wave: NDArray[np.float32], *, n_in: int, n_out: int) -> None:
    """Fade in and out by raised cosines, in place."""
    n_in, n_out = min(n_in, len(wave)), min(n_out, len(wave))
    if n_in:
        wave[:n_in] *= rise(n_in).astype(np.float32)[:, np.newaxis]
    if n_out:
        wave[len(wave) - n_out :] *= rise(n_out).astype(np.float32)[::-1, np.newaxis]


def _pcm(wave: NDArray[np.float32]) -> Pcm:
    samples = np.clip(np.rint(wave * _FULL_SCALE), -_FULL_SCALE, _FULL_SCALE).astype(np.int16)
    samples.flags.writeable = False
    return samples
