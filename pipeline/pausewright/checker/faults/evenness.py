"""Levels from one utterance to the next: gain steps, and words that are too loud or too soft."""

from __future__ import annotations

import math
import statistics
from typing import TYPE_CHECKING

from pausewright.checker.files.decode import BLOCK_FRAMES
from pausewright.checker.limits.levels import (
    LEVEL_ALLOWED_DB,
    LEVEL_CEILING_DBFS,
    LEVEL_CLEAR_SHARE,
    LEVEL_ERROR_DB,
    LEVEL_FEWEST,
    LEVEL_SHORT_MORE_DB,
    LEVEL_SHORT_S,
    LEVEL_SHORTEST_S,
    LEVEL_SOFTER_AT_CEILING_DB,
    LEVEL_STEP_DB,
)
from pausewright.checker.listen.level import SpeechLevelMeter
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.faults.closer import Scene, Spoken
    from pausewright.checker.result.findings import Finding


def unevenness(scene: Scene) -> Iterator[Finding]:
    """Yield findings about utterances that are louder or softer than the rest."""
    measured = [
        (one, level[0], level[1])
        for one in scene.utterances()
        if one.end - one.start >= LEVEL_SHORTEST_S * scene.rate_hz
        and (level := _level(scene, one)) is not None
    ]
    if len(measured) < LEVEL_FEWEST:
        return
    coder = scene.coder
    more_db = coder.level_more_db
    ceiling_dbfs = LEVEL_CEILING_DBFS - coder.peaks_lower_db
    step = _step([one for one in measured if one[2] <= ceiling_dbfs])
    sides = [measured]
    if step is not None and step.size_db > LEVEL_STEP_DB + more_db:
        yield _step_finding(scene, step, LEVEL_STEP_DB + more_db)
        first = step.first.start
        sides = [
            [one for one in measured if one[0].start < first],
            [one for one in measured if one[0].start >= first],
        ]
    for side in sides:
        middle = statistics.median(dbfs for _, dbfs, _ in side)
        for one, level_dbfs, peak_dbfs in side:
            off_db = level_dbfs - middle
            allowed = LEVEL_ALLOWED_DB + more_db
            if one.end - one.start < LEVEL_SHORT_S * scene.rate_hz:
                allowed += LEVEL_SHORT_MORE_DB
            if off_db < 0 and peak_dbfs > ceiling_dbfs:
                allowed += LEVEL_SOFTER_AT_CEILING_DB
            if abs(off_db) <= allowed:
                continue
            how = "louder" if off_db > 0 else "softer"
            yield scene.finding(
                "level-uneven",
                "error" if abs(off_db) > allowed + LEVEL_ERROR_DB - LEVEL_ALLOWED_DB else "warning",
                f"the words{{where}} are {how} than the rest of the track",
                hint="build the track again, or level the recording",
                frame=one.start,
                sound=one.sound,
                expected=middle,
                measured=level_dbfs,
                allowed=allowed,
                unit="dB",
            )


@frozen
class _Step:
    """A place from which on all words are louder, or softer, than those before it."""

    size_db: float
    first: Spoken
    before_dbfs: float
    after_dbfs: float


def _step(measured: Sequence[tuple[Spoken, float, float]]) -> _Step | None:
    """Return the greatest step in the level of what is said; None if there is none."""
    levels = [dbfs for _, dbfs, _ in measured]
    found: list[_Step] = []
    for at in range(LEVEL_FEWEST, len(levels) - LEVEL_FEWEST + 1):
        before, after = statistics.median(levels[:at]), statistics.median(levels[at:])
        between = (before + after) / 2
        shares = [sum(v > between for v in side) / len(side) for side in (levels[:at], levels[at:])]
        if max(shares) >= LEVEL_CLEAR_SHARE and min(shares) <= 1 - LEVEL_CLEAR_SHARE:
            found.append(_Step(abs(after - before), measured[at][0], before, after))
    return max(found, key=lambda step: step.size_db, default=None)


def _step_finding(scene: Scene, step: _Step, allowed_db: float) -> Finding:
    how = "louder" if step.after_dbfs > step.before_dbfs else "softer"
    return scene.finding(
        "level-uneven",
        "error" if step.size_db > allowed_db + LEVEL_ERROR_DB - LEVEL_ALLOWED_DB else "warning",
        f"from the words{{where}} on, the speech is {how} than before",
        hint="build the track again, or level the recording",
        frame=step.first.start,
        sound=step.first.sound,
        expected=step.before_dbfs,
        measured=step.after_dbfs,
        allowed=allowed_db,
        unit="dB",
    )


def _level(scene: Scene, one: Spoken) -> tuple[float, float] | None:
    """Return the active speech level and the highest sample of an utterance, in decibels."""
    meter = SpeechLevelMeter(scene.rate_hz)
    peak = 0.0
    for at in range(one.start, one.end, BLOCK_FRAMES):
        block = scene.kept.read(at, min(one.end, at + BLOCK_FRAMES))
        meter.add(block)
        peak = max(peak, float(block.max()), -float(block.min()))
    level = meter.level()
    return None if level is None or peak <= 0 else (level.active_dbfs, 20 * math.log10(peak))
