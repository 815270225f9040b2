"""Which whole question is not on a track, where several would leave much the same behind.

Where one question is cut out, silences tell little: each question has the same. What the others
leave is its length. So each question in turn is taken for the missing one: the rest is aligned
without it, by the lengths that the voice itself needs for the words, and two readings of one
take must be as long as each other. The cheapest is taken; those that cost little more are told
beside it, for lengths alone cannot decide between them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.checker.match.align import Alignment, Chunk, Stretches, align, skip_cost
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.expect.expected import ExpectedSound, Unit

ALIKE_WITHIN = 6.0
"""Another question is told beside the likeliest if it costs at most this more."""
READINGS_APART_S = 0.03
"""Two readings of one take are as long as each other within this, in any format."""
READINGS_UNLIKE = 3.0
"""Cost of two that are not."""
MOST_TRIED = 120
"""Questions that are tried in turn; with more the first alignment stays."""


@frozen
class LostQuestion:
    """An alignment in which one question is missing as a whole."""

    alignment: Alignment
    alike: tuple[Unit, ...]
    """That question and the others that may be missing in its place, in the script's order."""


@frozen
class Laid:
    """What an alignment is made of: chunks with the sounds in each, and the stretches heard."""

    sounds: Sequence[ExpectedSound]
    groups: Sequence[tuple[int, int]]
    """For each chunk its half-open range of sounds."""
    chunks: Sequence[Chunk]
    stretches: Stretches
    run_out_s: float
    beam: float


def lost_question(laid: Laid, alignment: Alignment) -> LostQuestion | None:
    """Return which question is likeliest missing; None if no single one is.

    `alignment` is the one found without looking closer.
    """
    lost = [at for at, found in enumerate(alignment.found) if found is None]
    units = _question_chunks(laid)
    tried = {unit: chunks for unit, chunks in units.items() if len(chunks) == len(lost)}
    if not lost or not 1 < len(tried) <= MOST_TRIED:
        return None
    whole = align(laid.chunks, laid.stretches, laid.run_out_s, laid.beam)
    otherwise = whole.cost + _unlike_readings(laid, whole)
    costs: dict[Unit, float] = {}
    ways: dict[Unit, Alignment] = {}
    for unit, chunks in tried.items():
        ways[unit] = way = _without(laid, chunks)
        costs[unit] = way.cost + skip_cost(len(chunks)) + _unlike_readings(laid, way)
    best = min(costs, key=lambda unit: costs[unit])
    is_dearer = costs[best] > otherwise + ALIKE_WITHIN
    if lost not in tried.values() and (is_dearer or not _are_of_questions(laid, lost)):
        return None  # sounds of other kinds, or of several questions, are likelier to be missing
    alike = tuple(unit for unit in tried if costs[unit] <= costs[best] + ALIKE_WITHIN)
    return LostQuestion(ways[best], alike)


def _are_of_questions(laid: Laid, chunks: Sequence[int]) -> bool:
    """Return whether announcements or words of questions are among what is missing."""
    sounds = [sound for at in chunks for sound in laid.sounds[slice(*laid.groups[at])]]
    return any(sound.role in {"announcement", "question"} for sound in sounds)


def _question_chunks(laid: Laid) -> dict[Unit, list[int]]:
    """Return the chunks of each question that has chunks of its own."""
    found: dict[Unit, list[int]] = {}
    for at, (start, end) in enumerate(laid.groups):
        held = {sound.unit for sound in laid.sounds[start:end]}
        unit = laid.sounds[start].unit
        if unit[1] is not None and len(held) == 1:
            found.setdefault(unit, []).append(at)
    return {
        unit: chunks
        for unit, chunks in found.items()
        if chunks == list(range(chunks[0], chunks[-1] + 1))
    }


def _without(laid: Laid, chunks: Sequence[int]) -> Alignment:
    """Return the alignment of what is left without some chunks, as one of all chunks."""
    first, n = chunks[0], len(chunks)
    left = [*laid.chunks[:first], *laid.chunks[first + n :]]
    way = align(left, laid.stretches, laid.run_out_s, laid.beam)
    found = (*way.found[:first], *([None] * n), *way.found[first:])
    fused = frozenset(at + n if at >= first else at for at in way.fused)
    return replace(way, found=found, fused=fused)


def _unlike_readings(laid: Laid, way: Alignment) -> float:
    """Return what it costs that readings of one take are not as long as each other."""
    lengths: dict[object, float] = {}
    cost = 0.0
    for key, length_s in _lengths(laid, way):
        other_s = lengths.setdefault(key, length_s)
        if abs(other_s - length_s) > READINGS_APART_S:
            cost += READINGS_UNLIKE
    return cost


def _lengths(laid: Laid, way: Alignment) -> Iterator[tuple[object, float]]:
    """Give the words and the measured length of each utterance that was heard alone."""
    for at, ((start, end), found) in enumerate(zip(laid.groups, way.found, strict=True)):
        element = laid.sounds[start].element
        is_alone = end - start == 1 and at not in way.fused and at + 1 not in way.fused
        if found is None or not is_alone or not isinstance(element, Utterance):
            continue
        span_s = laid.stretches.ends_s[found[1] - 1] - laid.stretches.starts_s[found[0]]
        yield (element.spoken, element.speech), float(span_s)
