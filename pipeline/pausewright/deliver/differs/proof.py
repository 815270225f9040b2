"""The proof on two tracks: what did not change is the same, sample by sample, at its new place.

A take goes on for a moment beyond where it is heard, faded into the silence around it, and so into
what stands beside it. Near the ends of each stretch what is so faint is therefore left out.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Self

from pausewright.checker.files.decode import TrackReader
from pausewright.checker.files.faded_ends import without_faded_ends
from pausewright.frozen import frozen
from pausewright.problems import TrackError
from pausewright.sound.lay import LONGEST_PAD_S

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path
    from typing import TypeAlias

    from pausewright.checker.files.decode import Samples, TrackFormat
    from pausewright.deliver.differs.changes import Compared
    from pausewright.deliver.differs.sides import Built
    from pausewright.records.shapes import Contents, ContentsUnit

    Spans: TypeAlias = tuple[tuple[int, int], ...]

FRAME: Final = "frame"
"""The unit of what is silent at the start, at the end and between others."""
WINDOW_S: Final = Fraction(1, 10)
"""Length of the windows in which the levels of coded tracks are compared."""
MOST_APART: Final = 1.19
"""Ratio that two windows of one sound may have in coded tracks: 1.5 dB."""
MOST_WINDOWS: Final = 0.02
"""Share of windows that may be further apart: a coder has its frames elsewhere in a shifted sound,
and smears its edges."""
QUIET: Final = 0.00316
"""Level below which coded windows are not compared and silence is silent: -50 dB full scale."""


@frozen
class Proof:
    """What was measured on two tracks."""

    old_track: Path
    new_track: Path
    is_exact: bool
    """Whether samples were compared; else the levels of coded tracks, window by window."""
    rate_hz: int
    n_units: int
    """Units that should be the same."""
    n_samples: int
    """Samples of the new track in them."""
    n_other_samples: int
    """Samples of the new track in what changed or is new."""
    differing: tuple[str, ...]
    """Units that should be the same and are not."""
    why_not: str = ""
    """Why nothing could be compared; "" if it was."""

    @property
    def holds(self) -> bool:
        """Whether everything that should be the same is."""
        return not self.differing and not self.why_not


def prove(old: tuple[Contents, Built], new: tuple[Contents, Built], compared: Compared) -> Proof:
    """Decode two tracks and compare all units that did not change in sound.

    Raises
    ------
    TrackError
        If a track cannot be decoded to its end.
    """
    (old_contents, old_built), (new_contents, new_built) = old, new
    same = [
        (one, other)
        for one, other in compared.pairs
        if other.kind == FRAME
        or ("sound" in other.aspects and one.aspects.get("sound") == other.aspects["sound"])
    ]
    with _Decoded(old_built.track) as before, _Decoded(new_built.track) as after:
        is_exact = before.format.is_exact and after.format.is_exact
        why = _unlike(before.format, after.format)
        if old_contents.has_room or new_contents.has_room:
            why = "silences of a given recording hold the sound of its room, which varies"
        olds = {} if why else before.spans([one for one, _ in same], exactly=is_exact)
        news = {} if why else after.spans([other for _, other in same], exactly=is_exact)
        lengths = before.n_frames, after.n_frames
        rate_hz = after.format.rate_hz
    if not why and lengths != (old_contents.n_samples, new_contents.n_samples):
        why = "a track has not the length that its list of contents states"
    differing = [
        other.name
        for one, other in same
        if not why and not _is_same(olds[one.spans], news[other.spans], other.kind)
    ]
    n_same = sum(end - start for _, other in same for start, end in other.spans)
    return Proof(
        old_built.track,
        new_built.track,
        is_exact,
        rate_hz,
        len(same),
        n_same,
        new_contents.n_samples - n_same,
        tuple(differing),
        why,
    )


def _unlike(before: TrackFormat, after: TrackFormat) -> str:
    if before.rate_hz != after.rate_hz or before.n_channels != after.n_channels:
        return "the tracks have not the same rate and channels"
    return ""


def _is_same(old: _Heard, new: _Heard, kind: str) -> bool:
    """Say whether two units sound the same; of the frame, whether both are silent."""
    if kind == FRAME:
        most = 0.0 if old.exactly else QUIET
        return old.loudest <= most and new.loudest <= most
    if old.exactly:
        return old.hash.digest() == new.hash.digest()
    first, second = old.energies, new.energies
    if first.keys() != second.keys():
        return False
    pairs = [(first[at], second[at]) for at in first]
    least = QUIET**2 * old.window
    heard = [pair for pair in pairs if max(pair) > least]
    n_apart = sum(max(pair) > MOST_APART**2 * min(pair) for pair in heard)
    return n_apart <= MOST_WINDOWS * len(heard)


class _Heard:
    """What is kept of one unit on the way: a hash of its samples, or the energy of its windows."""

    def __init__(self, *, exactly: bool, window: int) -> None:
        self.exactly, self.window = exactly, window
        self.hash = hashlib.sha256()
        self.energies: defaultdict[tuple[int, int], float] = defaultdict(float)
        self.loudest = 0.0

    def add(self, part: Samples, span: int, at: int, length: int) -> None:
        """Take samples of its span number `span`, which is so long, from `at` on in it."""
        if self.exactly:
            n_near = int(LONGEST_PAD_S / WINDOW_S * self.window)
            part = without_faded_ends(part, at, length, n_near)
            self.loudest = max(self.loudest, float(abs(part).max()))
            self.hash.update(part.tobytes())
            return
        self.loudest = max(self.loudest, float(abs(part).max()))
        while len(part):
            own = part[: self.window - at % self.window].astype("f8")
            self.energies[span, at // self.window] += float((own * own).sum())
            part, at = part[len(own) :], at + len(own)


class _Decoded:
    """A track that is decoded once, its spans told apart on the way."""

    def __init__(self, path: Path) -> None:
        self._reader = TrackReader(path)
        self.format = self._reader.format
        self.n_frames = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._reader.close()

    def spans(self, units: Iterable[ContentsUnit], *, exactly: bool) -> dict[Spans, _Heard]:
        """Return of each unit, by its spans, what `_Heard` keeps of it."""
        window = int(WINDOW_S * self.format.rate_hz)
        heard = {unit.spans: _Heard(exactly=exactly, window=window) for unit in units}
        wanted = sorted((span, whose, n) for whose in heard for n, span in enumerate(whose))
        at = first = 0
        for block in self._reader.blocks():
            end = at + len(block)
            while first < len(wanted) and wanted[first][0][1] <= at:
                first += 1
            for (start, stop), whose, n in wanted[first:]:
                if start >= end:
                    break  # wanted are sorted by their starts
                part = block[max(start - at, 0) : stop - at]
                heard[whose].add(part, n, max(at - start, 0), stop - start)
            at = end
        if self._reader.broken:
            raise TrackError(f"‘{self._reader.path.name}’ cannot be decoded to its end")
        self.n_frames = at
        return heard
