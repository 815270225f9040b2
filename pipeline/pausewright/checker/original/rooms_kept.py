"""What was put into the gaps of a recording: it sounds like the recording's own quiet."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.recording import ROOM_LEVEL_DB, ROOM_PEAK_DB, SILENT_DB
from pausewright.checker.original.exact_samples import levels_db
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.checker.result.naming import where_of
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.sides import Sides

_BESIDE_S: Final = 0.12
_LEAST: Final = 10


def room_findings(sides: Sides, spans: Sequence[Frames | None], gain: float) -> Iterator[Finding]:
    """Find gaps that were made longer and do not sound like the recording's own quiet."""
    beside = round(_BESIDE_S * sides.rate_hz)
    for i, target in enumerate(sides.targets):
        if target.is_untouched or i in {0, len(spans)}:
            continue
        before, after = spans[i - 1], spans[i]
        if before is None or after is None or after[0] - before[1] < 4 * beside:
            continue
        own = _quiet_beside(sides, i)
        there = levels_db(sides.track, before[1] + beside, after[0] - beside)
        if len(own) < _LEAST or len(there) < _LEAST:
            continue
        trouble = _trouble(own + 20 * np.log10(gain), there)
        if trouble:
            silence = sides.expected.silences[i]
            sentence, measured_db = trouble
            yield Finding(
                "recording-room",
                "error",
                f"in the {silence_name(silence.kind)}{where_of(silence)} {sentence}",
                LISTEN,
                at_s=Fraction(before[1], sides.rate_hz),
                question=silence.question,
                place=silence.place,
                measured=round(measured_db, 1),
                unit="dB",
            )


def _quiet_beside(sides: Sides, i: int) -> NDArray[np.float64]:
    """Return the levels of the recording's own gaps on either side of what is heard there."""
    found = []
    target = sides.targets[i]
    if target.own is not None:
        found.append(sides.original.quiet_db(target.own.start, target.own.end))
    for k, gap in enumerate(sides.targets):
        if abs(k - i) <= 2 and gap.own is not None:
            found.append(sides.original.quiet_db(gap.own.start, gap.own.end))
    return np.concatenate(found) if found else np.zeros(0)


def _trouble(own: NDArray[np.float64], there: NDArray[np.float64]) -> tuple[str, float] | None:
    most = float(own.max())
    if float(there.max()) > max(most, SILENT_DB) + ROOM_PEAK_DB:
        return "there is a sound that the recording's quiet does not have", float(there.max())
    if float(own.min()) > SILENT_DB and float(there.min()) < SILENT_DB:
        return "there is a hole: digital silence where the recording has its room", -140.0
    if float(np.median(own)) < SILENT_DB:
        return None
    off_db = _level_db(there) - _level_db(own)
    if abs(off_db) > ROOM_LEVEL_DB:
        return "the quiet is louder or softer than the recording's own", off_db
    return None


def _level_db(levels: NDArray[np.float64]) -> float:
    """Return the level of what is calm among levels: bumps of one recording do not count."""
    return float(np.median(levels))
