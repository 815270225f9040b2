"""The sound around a place as a drawing: how loud each moment is, from the decoded samples.

Drawn as an outline over a base line, in decibels below full scale: in a plain wave everything
that the check judges (40 dB below the speech) would be a flat line.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import chain
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.columns import loudest
from pausewright.checker.files.decode import files_of, opened
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.findings import Finding

AROUND_S: Final = Fraction(2)
"""Shown before and after a place."""
LONGEST_S: Final = Fraction(40)
MOST_PLACES: Final = 60
"""Drawings in one page; what comes after them is told in words only."""
COLUMNS: Final = 400
WIDTH, HEIGHT = 800, 120
"""Of the drawing, in its own units."""
LOWEST_DBFS: Final = -80.0


@frozen
class Tick:
    """A mark on the time axis."""

    x: float
    at_s: Fraction


@frozen
class Wave:
    """A drawing of one place, in units of 0 to `WIDTH` and 0 (top) to `HEIGHT`."""

    start_s: Fraction
    end_s: Fraction
    outline: str
    """Path data of the outline, closed along the base line."""
    threshold_y: float | None
    """Where sound begins to count as sound."""
    place_x: float
    measured_width: float | None
    """Of the measured time from the place on, if the finding has one."""
    expected_width: float | None
    """Of the time that was expected there."""
    ticks: tuple[Tick, ...]


def waves(
    track: Track, findings: Sequence[Finding], threshold_dbfs: float | None
) -> dict[int, Wave]:
    """Return drawings of the places of findings, by their index; the track is decoded once.

    A finding without a place has none, nor have those after the first 60 places.
    """
    placed = [(n, at_s) for n, one in enumerate(findings) if (at_s := one.at_s) is not None]
    placed = placed[:MOST_PLACES]
    if not placed:
        return {}
    windows = [_window(findings[n], at_s) for n, at_s in placed]
    peaks, held_s = _peaks(track, windows)
    found: dict[int, Wave] = {}
    for (n, at_s), (start_s, end_s), levels in zip(placed, windows, peaks, strict=True):
        scale = WIDTH / (end_s - start_s)
        measured_s, expected_s = _lengths(findings[n])
        found[n] = Wave(
            start_s,
            end_s,
            _outline(levels, (min(end_s, max(held_s, start_s)) - start_s) / (end_s - start_s)),
            None if threshold_dbfs is None else _y(threshold_dbfs),
            float((at_s - start_s) * scale),
            None if measured_s is None else float(min(measured_s, end_s - at_s) * scale),
            None if expected_s is None else float(min(expected_s, end_s - at_s) * scale),
            _ticks(start_s, end_s),
        )
    return found


def _lengths(finding: Finding) -> tuple[Fraction | None, Fraction | None]:
    """Return the measured and the expected length of a finding that compares lengths of time."""
    if finding.unit != "s" or finding.code.startswith(("chapter", "caption", "total")):
        return None, None
    pair = (finding.measured, finding.expected)
    measured_s, expected_s = (
        Fraction(value) if isinstance(value, Fraction | int) and value >= 0 else None
        for value in pair
    )
    return measured_s, expected_s


def _window(finding: Finding, at_s: Fraction) -> tuple[Fraction, Fraction]:
    lengths_s = [length_s for length_s in _lengths(finding) if length_s is not None]
    longest_s = max(lengths_s, default=Fraction(0))
    start_s = max(Fraction(0), at_s - AROUND_S)
    return start_s, start_s + min(LONGEST_S, at_s - start_s + longest_s + AROUND_S)


def _peaks(
    track: Track, windows: Sequence[tuple[Fraction, Fraction]]
) -> tuple[list[NDArray[np.float64]], Fraction]:
    """Return the largest size of a sample in each column of each window, and the track's length."""
    import numpy as np  # noqa: PLC0415  heavy: only where something is drawn

    peaks = [np.zeros(COLUMNS) for _ in windows]
    with opened(files_of(track)) as readers:
        rate_hz = readers[0].format.rate_hz
        frames = [(int(start_s * rate_hz), int(end_s * rate_hz)) for start_s, end_s in windows]
        at = 0
        for block in chain.from_iterable(reader.blocks() for reader in readers):
            size: NDArray[np.float32] | None = None
            for (first, last), levels in zip(frames, peaks, strict=True):
                start, end = max(first, at), min(last, at + len(block))
                if start >= end:
                    continue
                if size is None:
                    size = loudest(block)
                columns = (np.arange(start, end) - first) * COLUMNS // max(1, last - first)
                np.maximum.at(levels, columns, size[start - at : end - at])
            at += len(block)
    return peaks, Fraction(at, rate_hz)


def _y(level_dbfs: float) -> float:
    share = min(1.0, max(0.0, (level_dbfs - LOWEST_DBFS) / -LOWEST_DBFS))
    return round(HEIGHT * (1 - share), 1)


def _outline(levels: NDArray[np.float64], held: Fraction) -> str:
    """Return the path of an outline; `held` is the share of the window that the file reaches."""
    import numpy as np  # noqa: PLC0415

    decibels = 20 * np.log10(np.maximum(levels, 1e-9))
    step = WIDTH / COLUMNS
    n_columns = min(COLUMNS, -int(-held * COLUMNS // 1))
    points = []
    for n, level in enumerate(decibels[:n_columns]):
        y = _y(float(level))
        points += [f"L{n * step:g} {y:g}", f"L{(n + 1) * step:g} {y:g}"]
    return f"M0 {HEIGHT}" + "".join(points) + f"L{n_columns * step:g} {HEIGHT}Z"


def _ticks(start_s: Fraction, end_s: Fraction) -> tuple[Tick, ...]:
    """Return marks on the time axis: at whole seconds, not more than eight."""
    step_s = next(s for s in (1, 2, 5, 10) if (end_s - start_s) / s <= 8 or s == 10)
    first = -(-start_s // step_s) * step_s
    found = []
    at_s = Fraction(first)
    while at_s <= end_s:
        found.append(Tick(float((at_s - start_s) * WIDTH / (end_s - start_s)), at_s))
        at_s += step_s
    return tuple(found)
