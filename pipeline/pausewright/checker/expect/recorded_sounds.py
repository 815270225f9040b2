"""What recorded sounds hold: their audible length and silent edges, measured on their own files."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.files.decode import SoundReader
from pausewright.checker.limits.sound import BELOW_SPEECH_DB, SHORTEST_SILENCE_S
from pausewright.checker.listen.level import SpeechLevelMeter
from pausewright.checker.listen.listen import Counted, sound_stretches
from pausewright.checker.match.measured import Recorded
from pausewright.problems import TrackError
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.files.decode import Samples
    from pausewright.script.model import Sound


def recorded_sounds(expectation: Expectation, threshold: float) -> tuple[dict[int, Recorded], int]:
    """Return what the sound files of an expectation hold, by index of the expected sound.

    `threshold` is the amplitude from which the track's own samples are sound. The second value
    counts the expected sounds whose file cannot be read; of those nothing is known.
    """
    known: dict[tuple[object, ...], Recorded | None] = {}
    found: dict[int, Recorded] = {}
    n_unknown = 0
    for i, expected in enumerate(expectation.sounds):
        if not isinstance(expected.element, Excerpt):
            continue
        sound = expected.element.sound
        key = (sound.file, sound.from_s, sound.to_s, sound.edges, sound.level, sound.fade_out_s)
        if key not in known:
            known[key] = _measured(sound, threshold)
        held = known[key]
        if held is None:
            n_unknown += 1
        elif sound.arranged_pace != 1:
            found[i] = _at_pace(held, sound.arranged_pace)
        else:
            found[i] = held
    return found, n_unknown


def _at_pace(held: Recorded, pace: Fraction) -> Recorded:
    """Return nearly what is held when an arrangement has speech slower or faster."""
    return Recorded(held.sound_s / pace, held.lead_s / pace, held.trail_s / pace, is_exact=False)


def _measured(sound: Sound, threshold: float) -> Recorded | None:
    """Return what a sound holds; None if its file cannot be read or is silent.

    A sound whose level is matched is laid at the level of the track's speech: what is sound in
    it is judged against its own active level. Trimmed edges are taken 40 dB below that level;
    what of them lies under the track's own threshold is a silent edge. So is the end of a fade.
    """
    try:
        with SoundReader(sound.file, sound.folder) as reader:
            rate_hz = reader.rate_hz
            own = threshold
            if sound.level == "matched" or sound.edges == "trimmed":
                own = _own_threshold(_cut(reader, sound), rate_hz) or threshold
            heard_from = own if sound.level == "matched" else threshold
            start, end, n_frames = _edges(_cut(reader, sound), heard_from, rate_hz)
            first, last = 0, n_frames
            if sound.edges == "trimmed":
                first, last, _ = _edges(_cut(reader, sound), own, rate_hz)
            if sound.fade_out_s is not None:
                n_fade = math.ceil(sound.fade_out_s * rate_hz)
                faded = _faded(_cut(reader, sound), last, n_fade)
                start, end, _ = _edges(faded, heard_from, rate_hz)
            if start < 0:
                return None
    except TrackError:
        return None
    return Recorded(
        Fraction(end - start, rate_hz),
        Fraction(max(0, start - first), rate_hz),
        Fraction(max(0, last - end), rate_hz),
        is_exact=sound.edges == sound.level == "as recorded",
    )


def _cut(reader: SoundReader, sound: Sound) -> Iterator[Samples]:
    """Return the chosen part of a sound file in blocks."""
    rate_hz = reader.rate_hz
    start = int((sound.from_s or Fraction(0)) * rate_hz)
    end = None if sound.to_s is None else int(sound.to_s * rate_hz)
    at = 0
    for block in reader.blocks():
        stop = len(block) if end is None else max(0, min(len(block), end - at))
        cut = block[max(0, start - at) : stop]
        at += len(block)
        if len(cut):
            yield cut


def _faded(blocks: Iterable[Samples], end: int, n_fade: int) -> Iterator[Samples]:
    """Return blocks that fall by half a cosine over the `n_fade` frames before frame `end`."""
    import numpy as np  # noqa: PLC0415  heavy: only when a track is read

    n_fade = min(n_fade, end)
    at = 0
    for block in blocks:
        left = end - np.arange(at, at + len(block)) - 0.5
        share = np.clip(left / max(1, n_fade), 0.0, 1.0)
        fall = (0.5 - 0.5 * np.cos(np.pi * share)).astype(np.float32)
        yield block * fall[:, np.newaxis]
        at += len(block)


def _own_threshold(blocks: Iterable[Samples], rate_hz: int) -> float | None:
    meter = SpeechLevelMeter(rate_hz)
    for block in blocks:
        meter.add(block)
    level = meter.level()
    return None if level is None else float(10 ** ((level.active_dbfs - BELOW_SPEECH_DB) / 20))


def _edges(blocks: Iterable[Samples], threshold: float, rate_hz: int) -> tuple[int, int, int]:
    """Return first and one past last frame of sound (−1 and 0 if there is none), and all frames."""
    counted = Counted(blocks)
    stretches = sound_stretches(counted, threshold, int(SHORTEST_SILENCE_S * rate_hz))
    if not stretches:
        return -1, 0, counted.n_frames
    return stretches[0][0], stretches[-1][1], counted.n_frames
