"""A version of a recording, block by block: copied, filled, slowed, and what is laid over it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.plan.recorded_plan import BLEND_S, Copied, Filled
from pausewright.sound.recording.room_tone import blended
from pausewright.sound.recording.slowing import slowed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.plan.recorded_plan import Over, Piece, RecordedPlan
    from pausewright.sound.recording.room_tone import RoomTone
    from pausewright.sound.recording.source import RecordingFile, Wave
    from pausewright.sound.take import Take
    from pausewright.wording.line_elements import SoundElement

_FULL: float = 32768.0


def spliced(
    file: RecordingFile,
    plan: RecordedPlan,
    room: RoomTone,
    take_of: Callable[[SoundElement], Take],
    gain: float = 1.0,
) -> Iterator[Wave]:
    """Yield a version from its first sample to its last, in blocks of about a second.

    Parameters
    ----------
    take_of : gives the finished sound of what is no part of the recording, at its rate
    gain : factor of the recording's own samples; 1 leaves them as they are, bit for bit
    """
    over = list(plan.over)
    at = 0
    for wave in _blocks(file, plan.pieces, room):
        block = wave if gain == 1 else wave * gain
        while over and _ends(over[0], take_of) <= at:
            over.pop(0)
        for one in over:
            if one.at_sample - one_edge(one, take_of) >= at + len(block):
                break
            block = _with(block, at, one, take_of(one.element))
        yield block
        at += len(block)


def one_edge(one: Over, take_of: Callable[[SoundElement], Take]) -> int:
    """Return how many samples of a take lie before its edge."""
    return take_of(one.element).edge_start


def _ends(one: Over, take_of: Callable[[SoundElement], Take]) -> int:
    take = take_of(one.element)
    return one.at_sample - take.edge_start + len(take.samples)


def _with(block: Wave, at: int, one: Over, take: Take) -> Wave:
    start = one.at_sample - take.edge_start
    first, last = max(start, at), min(start + len(take.samples), at + len(block))
    if first >= last:
        return block
    mixed = block.copy()
    mixed[first - at : last - at] += take.samples[first - start : last - start] / _FULL
    return mixed


def _blocks(file: RecordingFile, pieces: Sequence[Piece], room: RoomTone) -> Iterator[Wave]:
    for piece in pieces:
        if isinstance(piece, Copied):
            yield from file.blocks(piece.start, piece.end)
        elif isinstance(piece, Filled):
            yield from _filled(file, piece, room)
        else:
            yield slowed(file, piece)


def _filled(file: RecordingFile, piece: Filled, room: RoomTone) -> Iterator[Wave]:
    """Yield the room's sound, which begins as the recording goes on and ends as it comes back."""
    n_blend = min(int(BLEND_S * file.format.rate_hz), piece.n_samples // 2)
    before = file.read(piece.left, piece.left + n_blend)
    after = file.read(piece.right - n_blend, piece.right)
    at = 0
    held = np.zeros((0, file.format.n_channels))
    for grain in room.sound(piece.left, piece.n_samples):
        wave = np.concatenate([held, grain])
        if at == 0 and len(wave) < n_blend < piece.n_samples - len(held):
            held = wave
            continue
        if at == 0 and len(before):
            wave[: len(before)] = blended(before, wave[: len(before)])
        is_last = at + len(wave) >= piece.n_samples
        n_keep = 0 if is_last else min(len(wave), n_blend)
        if is_last and len(after):
            wave[-len(after) :] = blended(wave[-len(after) :], after)
        yield wave[: len(wave) - n_keep]
        at += len(wave) - n_keep
        held = wave[len(wave) - n_keep :]
