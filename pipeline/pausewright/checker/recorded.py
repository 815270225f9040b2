"""What recorded sounds hold: their audible length and silent edges, measured on their own files."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.decode import TrackReader
from pausewright.checker.listen import SHORTEST_SILENCE_S, sound_stretches
from pausewright.checker.match import Recorded
from pausewright.problems import TrackError
from pausewright.wording.pieces import Excerpt

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.decode import Samples
    from pausewright.checker.expected import Expectation
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
        if not isinstance(expected.piece, Excerpt):
            continue
        sound = expected.piece.sound
        key = (sound.file, sound.from_s, sound.to_s, sound.edges, sound.level)
        if key not in known:
            known[key] = _measured(sound, threshold)
        held = known[key]
        if held is None:
            n_unknown += 1
        else:
            found[i] = held
    return found, n_unknown


def _measured(sound: Sound, threshold: float) -> Recorded | None:
    try:
        with TrackReader(sound.file) as reader:
            rate_hz = reader.format.rate_hz
            start = int((sound.from_s or Fraction(0)) * rate_hz)
            end = None if sound.to_s is None else int(sound.to_s * rate_hz)
            n_frames = 0

            def part() -> Iterator[Samples]:
                nonlocal n_frames
                at = 0
                for block in reader.blocks():
                    stop = len(block) if end is None else max(0, min(len(block), end - at))
                    cut = block[max(0, start - at) : stop]
                    at += len(block)
                    n_frames += len(cut)
                    if len(cut):
                        yield cut

            merge = int(SHORTEST_SILENCE_S * rate_hz)
            stretches = sound_stretches(part(), threshold, merge)
    except TrackError:
        return None
    if not stretches:
        return None
    first, last = stretches[0][0], stretches[-1][1]
    sound_s = Fraction(last - first, rate_hz)
    if sound.edges == "trimmed" or sound.level == "matched":
        return Recorded(sound_s, is_exact=False)
    return Recorded(sound_s, Fraction(first, rate_hz), Fraction(n_frames - last, rate_hz))
