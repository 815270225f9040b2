"""What was chosen to be heard, given out as soon as it is voiced, while the rest still is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.plan.timeline import Say, timeline
from pausewright.problems import Problems
from pausewright.sound.lay import LONGEST_PAD_S, lay
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.deliver.element_sounds import ElementSounds
    from pausewright.plan.timeline import Wait
    from pausewright.sound.take import Pcm

_GROWTH: Final = 2
"""The first utterance is voiced alone; each group after it has so many times as many: while one is
played, the next is voiced, and what was laid before is laid again but a few times."""


def in_turn(
    steps: Sequence[Say | Wait],
    sounds: ElementSounds,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[Pcm]:
    """Voice what is not kept, and give the samples of `steps` in order as soon as they are sure.

    They are those that `lay` gives for all steps together. Blocks have shape (n_frames, channels).
    `progress` is called with utterances voiced and in all.

    Raises
    ------
    ScriptError
        If utterances cannot be voiced: all of them, once the others are; nothing is given from
        the first of them on.
    OutputError
        If takes cannot be kept.
    """
    problems = Problems()
    n_given = 0
    for n_sure in _voiced(steps, sounds, problems, progress):
        if problems.errors:
            continue
        laid = timeline(steps[:n_sure], sounds.n_sound_samples, sounds.rate_hz)
        end = laid.n_samples
        if n_sure < len(steps):  # the next sound may begin softly before its edge
            end = max(n_given, end - int(LONGEST_PAD_S * sounds.rate_hz))
        at = 0
        for block in lay(laid, sounds.take, channels=sounds.channels):
            part = block[max(0, n_given - at) : max(0, end - at)]
            at += len(block)
            if len(part):
                yield part
        n_given = end
    problems.raise_errors()


def _voiced(
    steps: Sequence[Say | Wait],
    sounds: ElementSounds,
    problems: Problems,
    progress: Callable[[int, int], None] | None,
) -> Iterator[int]:
    """Voice group by group; give how many of the first steps have their sounds then."""
    first: dict[Utterance, int] = {}
    for at, step in enumerate(steps):
        if isinstance(step, Say) and isinstance(step.element, Utterance):
            first.setdefault(step.element, at)
    waiting = list(first)
    n_group = 1
    while waiting:
        group, waiting = waiting[:n_group], waiting[n_group:]
        with problems.collected():
            sounds.studio.record(group)
        if progress is not None:
            progress(len(first) - len(waiting), len(first))
        yield first[waiting[0]] if waiting else len(steps)
        n_group *= _GROWTH
    if not first:
        yield len(steps)
