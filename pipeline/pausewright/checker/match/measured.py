"""Silences and extra sounds of a track, measured once it is known which stretch is which sound."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import ExpectedSilence
    from pausewright.checker.match.align import Alignment

Frames: TypeAlias = tuple[int, int]
"""A half-open range of frames."""


@frozen
class Recorded:
    """What a recorded sound itself holds, measured on its own file."""

    sound_s: Fraction
    """From its first to its last audible sample."""
    lead_s: Fraction = Fraction(0)
    """Silence before its first audible sample that is laid with it."""
    trail_s: Fraction = Fraction(0)
    is_exact: bool = True
    """False where it is trimmed or levelled, so that its length may differ a little."""


@frozen
class MeasuredSilence:
    """An expected silence and its length on the file."""

    expected: ExpectedSilence
    wait_s: Fraction
    """What is expected on the file: the declared length and the silent edges of recorded sounds."""
    tolerance_s: Fraction
    longer_s: Fraction = Fraction(0)
    """What it may be longer beyond that: soft ends of words are hidden by noise."""
    shorter_s: Fraction = Fraction(0)
    """What it may be shorter beyond that: a coder lets sudden sounds begin early."""
    at_frame: int | None = None
    n_frames: int | None = None
    """None where it could not be measured."""
    state: Literal["measured", "gone", "interrupted", "unknown"] = "unknown"
    """Gone: the sounds around it are one; interrupted: a sound that nobody expects lies in it."""

    @property
    def most_s(self) -> Fraction:
        """By how much it may be longer than expected."""
        return self.tolerance_s + self.longer_s

    @property
    def least_s(self) -> Fraction:
        """By how much it may be shorter than expected."""
        return self.tolerance_s + self.shorter_s


@frozen
class Extra:
    """Stretches next to each other that nothing expected accounts for."""

    stretches: tuple[Frames, ...]
    after_sound: int
    """Index of the last expected sound heard before them; −1 before the first."""


@frozen
class Measurer:
    """Measures between the stretches of one track."""

    expected: Sequence[MeasuredSilence]
    """All expected silences, not yet measured."""
    groups: Sequence[Frames]
    """Half-open ranges of expected sounds that were aligned as one."""
    stretches: Sequence[Frames]
    rate_hz: int
    n_frames: int

    def silences(self, alignment: Alignment) -> list[MeasuredSilence]:
        """Return every expected silence with its length on the file."""
        measured = list(self.expected)
        earlier: int | None = None
        for at in [*range(len(self.groups)), None]:
            found = None if at is None else alignment.found[at]
            if at is not None and found is None:
                continue
            first = 0 if earlier is None else self.groups[earlier][1]
            last = len(self.expected) - 1 if at is None else self.groups[at][0]
            if earlier is not None and at in alignment.fused:
                gone_at = self.stretches[(found or (0, 0))[0]][0]
                measured[last] = _with(measured[last], gone_at, 0, "gone")
            else:
                after = None if earlier is None else alignment.found[earlier]
                self._measure(measured, first, last, after[1] if after else 0, found)
            earlier = at
        return measured

    def _measure(
        self,
        measured: list[MeasuredSilence],
        first: int,
        last: int,
        stretch: int,
        found: tuple[int, int] | None,
    ) -> None:
        """Fill in silences `first` to `last`, between stretch `stretch` − 1 and the next found."""
        upto = found[0] if found else len(self.stretches)
        edges = [self.stretches[stretch - 1][1] if stretch else 0]
        for start, end in self.stretches[stretch:upto]:
            edges += [start, end]
        edges.append(self.stretches[upto][0] if found else self.n_frames)
        whole = (edges[0], edges[-1])
        pieces = [(edges[i], edges[i + 1]) for i in range(0, len(edges), 2)]
        if first == last and len(pieces) == 1:
            measured[first] = _with(measured[first], whole[0], whole[1] - whole[0], "measured")
            return
        if first == last and self._fits(measured[first], whole):
            measured[first] = _with(measured[first], whole[0], whole[1] - whole[0], "interrupted")
            return
        if found is None and first < last:
            pieces = pieces[:-1]  # what lies at the end of a track that is cut off
        for i in range(first, last + 1):
            fitting = [p for p in pieces if self._fits(measured[i], p)]
            if fitting:
                start, end = fitting[0]
                measured[i] = _with(measured[i], start, end - start, "measured")
                pieces.remove(fitting[0])

    def _fits(self, silence: MeasuredSilence, piece: Frames) -> bool:
        wait_s = Fraction(piece[1] - piece[0], self.rate_hz)
        return -silence.least_s <= wait_s - silence.wait_s <= silence.most_s

    def extras(self, alignment: Alignment) -> list[Extra]:
        """Return the stretches that nothing expected accounts for."""
        used: dict[int, int] = {}
        for group, found in zip(self.groups, alignment.found, strict=True):
            if found is not None:
                used.update(dict.fromkeys(range(*found), group[1] - 1))
        extras: list[Extra] = []
        after, is_open = -1, False
        for j, stretch in enumerate(self.stretches):
            if j in used:
                after, is_open = used[j], False
            elif is_open:
                extras[-1] = Extra((*extras[-1].stretches, stretch), after)
            else:
                extras.append(Extra((stretch,), after))
                is_open = True
        return extras


def _with(
    silence: MeasuredSilence,
    at_frame: int,
    n_frames: int,
    state: Literal["measured", "gone", "interrupted"],
) -> MeasuredSilence:
    return replace(silence, at_frame=at_frame, n_frames=n_frames, state=state)
