"""Timeline and takes to blocks of audio: what is written to the track, as it is laid.

Nothing here decides on a time: every sound goes to the sample that the timeline gives.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.plan.timeline import Say
from pausewright.problems import SoundError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from pausewright.plan.timeline import Placed, Timeline
    from pausewright.sound.take import Pcm, Take
    from pausewright.wording.line_elements import SoundElement

LONGEST_PAD_S: Final = Fraction(1, 4)
"""A take may reach this far into the silence before it at most."""

LONGEST_BLOCK_S: Final = Fraction(2)
"""No block is longer."""

_FULL_SCALE: Final = 32767


@dataclass(slots=True)
class _LaidSound:
    """A take on its way into the track."""

    samples: Pcm
    start_sample: int
    end_sample: int
    mix_until: int
    """Before this sample an earlier take may lie already: add. From it on: copy."""


def lay(
    timeline: Timeline,
    take_of: Callable[[SoundElement], Take],
    *,
    channels: int,
    block_s: Fraction = Fraction(1),
) -> Iterator[Pcm]:
    """Yield the track block by block, from its first sample to its last.

    Silence is exactly 0. A take is copied unchanged; what lies outside its edges reaches into
    the silences beside it, and where two takes meet they are added and held within ±32767.
    A take with one channel is copied to all channels. Takes are asked for when their block
    comes, in order, once for each time they sound; none is held longer than it sounds.

    Parameters
    ----------
    timeline : at the track's rate
    take_of : gives the finished sound of an element, at the same rate
    channels : 1 or 2
    block_s : length of a block, more than 0 and at most 2 s

    Yields
    ------
    Pcm
        Shape (n_frames, channels), int16. A silent block may be read-only and yielded again.

    Raises
    ------
    SoundError
        If a take is not as long as the timeline says (its file was changed meanwhile).
    ValueError
        If a take has a wrong shape or too long a pad, or `block_s` is out of range.
    """
    if not 0 < block_s <= LONGEST_BLOCK_S:
        raise ValueError(f"a block lasts more than 0 s and at most {LONGEST_BLOCK_S} s: {block_s}")
    n_block = max(1, int(block_s * timeline.rate_hz))
    n_pad = int(LONGEST_PAD_S * timeline.rate_hz)
    n_track = timeline.n_samples
    silence: Pcm = np.zeros((n_block, channels), np.int16)
    silence.flags.writeable = False
    waiting = (item for item in timeline.placed if isinstance(item.step, Say))
    following = next(waiting, None)
    sounds: list[_LaidSound] = []
    filled_until = 0
    for start_sample in range(0, n_track, n_block):
        end_sample = min(start_sample + n_block, n_track)
        while following is not None and following.start_sample - n_pad < end_sample:
            found = _sound_of(following, take_of, channels, n_pad, filled_until)
            sounds.append(found)
            filled_until = max(filled_until, found.end_sample)
            following = next(waiting, None)
        sounding = [item for item in sounds if item.start_sample < end_sample]
        if sounding:
            block = np.zeros((end_sample - start_sample, channels), np.int16)
            for item in sounding:
                _put(item, block, start_sample)
            yield block
        else:
            yield silence[: end_sample - start_sample]
        sounds = [item for item in sounds if item.end_sample > end_sample]


def _sound_of(
    placed: Placed,
    take_of: Callable[[SoundElement], Take],
    channels: int,
    n_pad: int,
    filled_until: int,
) -> _LaidSound:
    step = placed.step
    if not isinstance(step, Say):
        raise TypeError(f"only sounds are laid, not {type(step).__name__}")
    take = take_of(step.element)
    samples = take.samples
    if samples.dtype != np.int16 or samples.ndim != 2 or samples.shape[1] not in (1, channels):
        raise ValueError(
            f"a take is int16 of shape (n, 1) or (n, {channels}), "
            f"not {samples.dtype} of shape {samples.shape}"
        )
    if not 0 <= take.edge_start <= min(n_pad, take.edge_end) or take.edge_end > len(samples):
        raise ValueError(
            f"edges {take.edge_start} to {take.edge_end} do not fit a take of {len(samples)} "
            f"samples with at most {n_pad} before its edge"
        )
    if take.n_sound_samples != placed.end_sample - placed.start_sample:
        raise SoundError(
            f"a sound was {placed.end_sample - placed.start_sample} samples long when it was "
            f"planned and is {take.n_sound_samples} now",
            "a sound file was changed while the track was built: build again",
        )
    start_sample = placed.start_sample - take.edge_start
    return _LaidSound(samples, start_sample, start_sample + len(samples), filled_until)


def _put(item: _LaidSound, block: Pcm, block_start: int) -> None:
    """Copy or add the part of a take that falls into the block."""
    first = max(item.start_sample, block_start)
    last = min(item.end_sample, block_start + len(block))
    if first >= last:
        return
    meet = min(max(first, item.mix_until), last)
    source = item.samples[first - item.start_sample : last - item.start_sample]
    target = block[first - block_start : last - block_start]
    n_mix = meet - first
    if n_mix:
        total = target[:n_mix].astype(np.int32) + source[:n_mix]
        target[:n_mix] = np.clip(total, -_FULL_SCALE, _FULL_SCALE)
    target[n_mix:] = source[n_mix:]
