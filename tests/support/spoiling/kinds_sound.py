"""Faults in the samples: silences, readings, cuts, levels, and what is heard as damage."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from pausewright.plan.timeline import Say, Wait
from pausewright.wording.line_elements import ToneCue
from scipy.signal import butter, sosfiltfilt

from support.spoiling.spoil import (
    Dice,
    Spoiled,
    UnfitError,
    cut,
    db,
    hum,
    middle,
    pick,
    plain,
    put,
    readings_of,
    resampled,
    room_noise,
    silence,
    speech_db,
)

if TYPE_CHECKING:
    from pausewright.plan.timeline import Placed, Questions

    from support.spoiling.tracks import GoodTrack

# ---- silences --------------------------------------------------------------------------------


def _of_kind(track: GoodTrack, *kinds: str) -> list[Placed]:
    return [
        p for p in track.waits() if isinstance(p.step, Wait) and (not kinds or p.step.kind in kinds)
    ]


def silence_short(track: GoodTrack, dice: Dice, size: float, *kinds: str) -> Spoiled:
    """Take `size` seconds out of a silence; at most what leaves a third of a second."""
    wait = pick(dice, _of_kind(track, *kinds))
    n = wait.end_sample - wait.start_sample
    n_cut = min(int(size * track.rate_hz), n - int(0.35 * track.rate_hz))
    at = middle(wait) - n_cut // 2
    return plain(track, cut(track.wave, at, at + n_cut), wait.start_sample / track.rate_hz)


def silence_long(track: GoodTrack, dice: Dice, size: float, *kinds: str) -> Spoiled:
    """Put `size` seconds into a silence."""
    wait = pick(dice, _of_kind(track, *kinds))
    wave = put(track.wave, middle(wait), silence(int(size * track.rate_hz)))
    return plain(track, wave, wait.start_sample / track.rate_hz)


def silence_moved(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Take from one silence what is given to another: the length of the track stays."""
    of = _of_kind(track, "answer-time")
    first, second = sorted(dice.choice(len(of), 2, replace=False).tolist())
    n = int(size * track.rate_hz)
    wave = put(track.wave, middle(of[second]), silence(n))
    return plain(
        track,
        cut(wave, middle(of[first]) - n // 2, middle(of[first]) - n // 2 + n),
        of[first].start_sample / track.rate_hz,
    )


def silence_gone(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Take a silence out altogether."""
    del size
    wait = pick(dice, _of_kind(track, "answer-time", "between-readings"))
    wave = cut(track.wave, wait.start_sample, wait.end_sample)
    return plain(track, wave, wait.start_sample / track.rate_hz)


def one_kind_stretched(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Make every answer time longer by a share: the track of another arrangement."""
    del dice
    wave = track.wave
    for wait in reversed(_of_kind(track, "answer-time")):
        n = int((wait.end_sample - wait.start_sample) * size)
        wave = put(wave, middle(wait), silence(n))
    return plain(track, wave)


def end_cut(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Cut `size` seconds off the silence at the end."""
    del dice
    return plain(track, track.wave[: len(track.wave) - int(size * track.rate_hz)])


# ---- what is said ----------------------------------------------------------------------------


def _with_wait(track: GoodTrack, first: Placed, last: Placed) -> tuple[int, int]:
    """Return the samples from a sound's start to the start of the next sound after another."""
    following = [
        p for p in track.placed if p.start_sample >= last.end_sample and isinstance(p.step, Say)
    ]
    end = following[0].start_sample if following else last.end_sample
    return first.start_sample, end


def reading_dropped(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave out a reading with the silence behind it."""
    del size
    reading = readings_of(track)
    one = reading[int(dice.integers(len(reading)))]
    start, end = _with_wait(track, one[0], one[-1])
    return plain(track, cut(track.wave, start, end))


def reading_doubled(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Say a reading once more."""
    del size
    reading = readings_of(track)
    one = reading[int(dice.integers(len(reading)))]
    start, end = _with_wait(track, one[0], one[-1])
    return plain(track, put(track.wave, end, track.wave[start:end]))


def question_dropped(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave out a question from its announcement to its answer time."""
    del size
    starts = track.says("announcement")
    one = int(dice.integers(len(starts) - 1))
    start, end = starts[one].start_sample, starts[one + 1].start_sample
    return plain(track, cut(track.wave, start, end))


def question_repeated(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Play a whole question a second time."""
    del size
    starts = track.says("announcement")
    one = int(dice.integers(len(starts) - 1))
    start, end = starts[one].start_sample, starts[one + 1].start_sample
    return plain(track, put(track.wave, end, track.wave[start:end]))


def questions_swapped(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Exchange the words of two questions whose lengths differ by the factor `size` at least.

    Questions of more equal lengths are told apart by the ear alone.
    """
    groups: dict[Questions | None, list[list[Placed]]] = {}
    for one in readings_of(track):
        step = one[0].step
        assert isinstance(step, Say)
        groups.setdefault(step.question, []).append(one)

    def length(question: Questions | None) -> int:
        first = groups[question][0]
        return first[-1].end_sample - first[0].start_sample

    pairs = [(a, b) for a in groups for b in groups if length(b) > size * length(a)]
    if not pairs:
        raise UnfitError
    chosen = pairs[int(dice.integers(len(pairs)))]
    swaps: list[tuple[int, int, np.ndarray]] = []
    for mine, other in (chosen, chosen[::-1]):
        for here, there in zip(groups[mine], groups[other], strict=True):
            new = track.wave[there[0].start_sample : there[-1].end_sample]
            swaps.append((here[0].start_sample, here[-1].end_sample, new))
    wave = track.wave
    for start, end, new in sorted(swaps, key=lambda swap: swap[0], reverse=True):
        wave = np.concatenate([wave[:start], new, wave[end:]])
    return plain(track, wave)


def reading_of_another(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put a reading of another question in the place of a second reading."""
    del size
    readings = readings_of(track)
    seconds = [r for r in readings if isinstance(r[0].step, Say) and r[0].step.reading == 2]
    mine = seconds[int(dice.integers(len(seconds)))]
    own = mine[0].step
    assert isinstance(own, Say)
    others = [
        r for r in readings if isinstance(r[0].step, Say) and r[0].step.question != own.question
    ]
    other = others[int(dice.integers(len(others)))]
    new = track.wave[other[0].start_sample : other[-1].end_sample]
    wave = np.concatenate(
        [track.wave[: mine[0].start_sample], new, track.wave[mine[-1].end_sample :]]
    )
    return plain(track, wave, mine[0].start_sample / track.rate_hz)


def sound_dropped(track: GoodTrack, dice: Dice, size: float, role: str) -> Spoiled:
    """Leave out words of a role, and the silence behind them."""
    del size
    one = pick(dice, [p for p in track.says(role) if p.start_sample > track.rate_hz])
    start, end = _with_wait(track, one, one)
    return plain(track, cut(track.wave, start, end))


def tone_dropped(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Leave out the tone after a stop."""
    del dice, size
    tone = next(
        p for p in track.placed if isinstance(p.step, Say) and isinstance(p.step.element, ToneCue)
    )
    start, end = _with_wait(track, tone, tone)
    return plain(track, cut(track.wave, start, end))


def word_cut_out(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Cut `size` seconds out of the middle of a second reading."""
    seconds = [
        r for r in readings_of(track) if isinstance(r[0].step, Say) and r[0].step.reading == 2
    ]
    one = seconds[int(dice.integers(len(seconds)))][0]
    n = int(size * track.rate_hz)
    at = middle(one) - n // 2
    return plain(track, cut(track.wave, at, at + n), one.start_sample / track.rate_hz)


def word_replaced(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put other speech, of exactly the same length, over `size` seconds of a second reading."""
    seconds = [
        r for r in readings_of(track) if isinstance(r[0].step, Say) and r[0].step.reading == 2
    ]
    one = seconds[int(dice.integers(len(seconds)))][0]
    n = int(size * track.rate_hz)
    other = pick(dice, [p for p in track.says() if p.end_sample - p.start_sample > 2 * n])
    wave = track.wave.copy()
    at = middle(one) - n // 2
    new = track.wave[other.start_sample + n // 2 :][:n]
    if other.step.element == one.step.element:  # type: ignore[union-attr]
        new = new[::-1]
    wave[at : at + n] = new
    return plain(track, wave, at / track.rate_hz)


def speech_end_cut(track: GoodTrack, dice: Dice, size: float, *, at_start: bool = False) -> Spoiled:
    """Silence the last (or first) `size` seconds of one utterance within its loud part."""
    spoken = [p for p in track.says() if p.end_sample - p.start_sample > 0.8 * track.rate_hz]
    one = pick(dice, spoken)
    wave = track.wave.copy()
    n = int(size * track.rate_hz)
    part = np.abs(wave[one.start_sample : one.end_sample])
    # cut where the speech is loud: in a syllable, as an editor's slip does
    step = track.rate_hz // 50
    frames = part[: len(part) // step * step].reshape(-1, step)
    loud = np.flatnonzero(np.sqrt((frames**2).mean(1)) > db(speech_db(track) - 3))
    if at_start:
        after = loud[loud * step >= n]
        at = one.start_sample + int(after[0]) * step + step // 2
        wave[one.start_sample - 2000 : at] = 0
        return plain(track, wave, at / track.rate_hz)
    before = loud[(loud + 1) * step <= len(part) - n]
    at = one.start_sample + int(before[-1]) * step + step // 2
    wave[at : one.end_sample + 3000] = 0
    return plain(track, wave, at / track.rate_hz)


def cut_off_in_question(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """End the file inside the last question."""
    del size
    last = track.says("question")[-1]
    at = int(dice.integers(last.start_sample, last.end_sample))
    return plain(track, track.wave[:at])


# ---- levels ----------------------------------------------------------------------------------


def one_louder(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Turn one utterance of a second and more up or down by `size` dB."""
    spoken = [p for p in track.says() if p.end_sample - p.start_sample > track.rate_hz]
    one = pick(dice, spoken)
    gain_db = -size if dice.random() < 0.5 else size
    wave = track.wave.copy()
    wave[one.start_sample - 500 : one.end_sample + 2000] *= db(gain_db)
    return plain(track, wave, one.start_sample / track.rate_hz)


def gain_step(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Turn everything from a silence on down by `size` dB."""
    of = _of_kind(track, "answer-time")
    wait = of[int(dice.integers(1, len(of) - 1))]
    wave = track.wave.copy()
    wave[middle(wait) :] *= db(-size)
    return plain(track, wave)


def gain_step_in_speech(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Turn the second half of a second reading down by `size` dB."""
    seconds = [
        r[0] for r in readings_of(track) if isinstance(r[0].step, Say) and r[0].step.reading == 2
    ]
    one = pick(dice, seconds)
    wave = track.wave.copy()
    wave[middle(one) : one.end_sample + 2000] *= db(-size)
    return plain(track, wave, one.start_sample / track.rate_hz)


def too_loud(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Turn all of it up or down by `size` dB."""
    down = dice.random() < 0.7
    return plain(track, (track.wave * db(-size if down else size)).clip(-1, 1))


def clipped(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Clip everything `size` dB below its highest sample."""
    del dice
    top = float(np.abs(track.wave).max()) * db(-size)
    return plain(track, track.wave.clip(-top, top))


# ---- damage ----------------------------------------------------------------------------------


SHARP_VOICES = frozenset({"emma", "michael"})


def click_in_speech(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put a click of two samples into speech; `size` dB above the speech level.

    In a voice whose stops are as sharp nothing is promised; docs/the-check.md says what is found.
    """
    if track.voice in SHARP_VOICES:
        raise UnfitError
    one = pick(dice, [p for p in track.says() if p.end_sample - p.start_sample > track.rate_hz])
    at = int(dice.integers(one.start_sample + 2000, one.end_sample - 2000))
    wave = track.wave.copy()
    wave[at : at + 2] += db(speech_db(track) + size) * np.array([1, -0.6], dtype=np.float32)
    return plain(track, wave.clip(-1, 1), at / track.rate_hz)


def click_in_silence(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put a click of two samples into a silence; `size` dB above the speech level."""
    wait = pick(dice, _of_kind(track))
    at = int(dice.integers(wait.start_sample + 15_000, wait.end_sample - 15_000))
    wave = track.wave.copy()
    wave[at : at + 2] += db(speech_db(track) + size) * np.array([1, -0.6], dtype=np.float32)
    return plain(track, wave, at / track.rate_hz)


def pop(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put a thump (80 Hz, 30 ms) into a silence; `size` dB above the speech level."""
    wait = pick(dice, _of_kind(track))
    at = int(dice.integers(wait.start_sample + 15_000, wait.end_sample - 15_000))
    n = int(0.03 * track.rate_hz)
    thump = np.sin(2 * np.pi * 80 * np.arange(n) / track.rate_hz) * np.hanning(n)
    wave = track.wave.copy()
    wave[at : at + n] += (db(speech_db(track) + size) * thump).astype(np.float32)
    return plain(track, wave, at / track.rate_hz)


def dropout(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Silence `size` seconds in a loud part of speech."""
    one = pick(dice, [p for p in track.says() if p.end_sample - p.start_sample > track.rate_hz])
    step = track.rate_hz // 100
    part = track.wave[one.start_sample : one.end_sample]
    frames = np.sqrt((part[: len(part) // step * step].reshape(-1, step) ** 2).mean(1))
    n = int(size * track.rate_hz)
    wide = n // step + 3
    loud = [
        i
        for i in range(2, len(frames) - wide)
        if frames[i : i + wide].min() > db(speech_db(track) - 8)
    ]
    at = (
        one.start_sample + (loud[int(dice.integers(len(loud)))] + 1) * step if loud else middle(one)
    )
    wave = track.wave.copy()
    wave[at : at + n] = 0
    return plain(track, wave, at / track.rate_hz)


def noise_in_gap(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Fill one answer time with room noise `size` dB below the speech, faded in and out."""
    wait = pick(dice, _of_kind(track, "answer-time"))
    n = wait.end_sample - wait.start_sample
    noise = room_noise(n, track.rate_hz, speech_db(track) - size, dice)
    fade = np.minimum(1, np.minimum(np.arange(n), np.arange(n)[::-1]) / (0.02 * track.rate_hz))
    wave = track.wave.copy()
    wave[wait.start_sample : wait.end_sample] += (noise * fade).astype(np.float32)
    return plain(track, wave, wait.start_sample / track.rate_hz)


def noise_everywhere(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Add room noise `size` dB below the speech to everything."""
    noise = room_noise(len(track.wave), track.rate_hz, speech_db(track) - size, dice)
    return plain(track, (track.wave + noise).clip(-1, 1))


def sound_in_silence(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Put a cough-like burst of `size` seconds into a silence."""
    wait = pick(dice, [w for w in _of_kind(track) if w.end_sample - w.start_sample > 80_000])
    n = int(size * track.rate_hz)
    at = int(dice.integers(wait.start_sample + 30_000, wait.end_sample - 30_000 - n))
    burst = room_noise(n, track.rate_hz, speech_db(track) - 6, dice) * np.hanning(n)
    wave = track.wave.copy()
    wave[at : at + n] += burst.astype(np.float32)
    return plain(track, wave, at / track.rate_hz)


def hum_added(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Add mains hum `size` dB below the speech."""
    mains = 50 if dice.random() < 0.5 else 60
    return plain(
        track,
        track.wave + hum(len(track.wave), track.rate_hz, speech_db(track) - size, mains, dice),
    )


def dc_added(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Shift all samples by `size` of full scale."""
    return plain(track, track.wave + (size if dice.random() < 0.5 else -size))


def low_passed(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Take away what lies above `size` Hz."""
    del dice
    sos = butter(8, size, "lowpass", fs=track.rate_hz, output="sos")
    return plain(track, sosfiltfilt(sos, track.wave).astype(np.float32))


def wrong_speed(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Play all of it faster or slower by a share, pitch and all."""
    factor = 1 + size if dice.random() < 0.5 else 1 / (1 + size)
    return plain(track, resampled(track.wave, factor))


def wrong_rate(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Label 44,100 samples a second as 48,000, or the other way round: 8.8 % off."""
    del size
    if dice.random() < 0.5:
        return Spoiled(track.wave, 48_000)
    import soxr  # noqa: PLC0415

    return Spoiled(soxr.resample(track.wave, 44_100, 48_000), 44_100)


# ---- two channels ----------------------------------------------------------------------------


def _two(track: GoodTrack) -> np.ndarray:
    return np.repeat((track.wave * db(-3.01))[:, None], 2, axis=1)


def channel_dead(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Silence one of two channels."""
    del size
    wave = _two(track)
    wave[:, int(dice.integers(2))] = 0
    return plain(track, wave)


def channel_drops_out(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Silence one of two channels for `size` seconds from the start of an utterance on."""
    wave = _two(track)
    one = pick(
        dice, [p for p in track.says() if p.end_sample - p.start_sample > size * track.rate_hz]
    )
    wave[one.start_sample : one.start_sample + int(size * track.rate_hz), int(dice.integers(2))] = 0
    return plain(track, wave, one.start_sample / track.rate_hz)


def channel_inverted(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Turn one of two channels upside down."""
    del size
    wave = _two(track)
    wave[:, int(dice.integers(2))] *= -1
    return plain(track, wave)


def channel_softer(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Turn one of two channels down by `size` dB."""
    wave = _two(track)
    wave[:, int(dice.integers(2))] *= db(-size)
    return plain(track, wave)


def tone_wrong(track: GoodTrack, dice: Dice, size: float) -> Spoiled:
    """Make the tone longer by `size` seconds."""
    del dice
    tone = next(
        p for p in track.placed if isinstance(p.step, Say) and isinstance(p.step.element, ToneCue)
    )
    n = int(size * track.rate_hz)
    part = track.wave[middle(tone) - n : middle(tone)]
    return plain(track, put(track.wave, middle(tone), part), tone.start_sample / track.rate_hz)
