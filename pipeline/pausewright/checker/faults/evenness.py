"""Levels from one utterance to the next: gain steps, and words that are too loud or too soft."""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pausewright.checker.files.decoded_track import BLOCK_FRAMES
from pausewright.checker.listen.level import SpeechLevelMeter

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.faults.closer import Scene, Spoken
    from pausewright.checker.result.findings import Finding

ALLOWED_DB = 1.5
"""How far an utterance may lie from the middle of all."""
ERROR_DB = 3.0
SHORTEST_S = 0.4
"""Shorter words have no dependable level (BS.1770 has none under 0.4 s either)."""
SHORT_S = 1.2
SHORT_MORE_DB = 1.0
"""What a word shorter than `SHORT_S` may differ more: its few sounds decide its level."""
CODED_MORE_DB = 0.4
"""What a coder may change the level of one utterance by."""
CEILING_DBFS = -2.5
"""An utterance whose highest sample is here could not be made louder without a limiter: it may be
softer by `SOFTER_AT_CEILING_DB` more."""
CODED_PEAKS_LOWER_DB = 1.0
"""What a coder may take off that highest sample."""
SOFTER_AT_CEILING_DB = 2.0
FEWEST = 3
STEP_DB = 2.2
"""From there on the words after a place are louder or softer than those before it, though each is
within what one utterance may differ."""
CLEAR_SHARE = 0.9
"""So many on each side must be nearer to their own middle than to the other's."""


def unevenness(scene: Scene) -> Iterator[Finding]:
    """Yield findings about utterances that are louder or softer than the rest."""
    measured = [
        (one, level[0], level[1])
        for one in scene.utterances()
        if one.end - one.start >= SHORTEST_S * scene.rate_hz
        and (level := _level(scene, one)) is not None
    ]
    if len(measured) < FEWEST:
        return
    is_exact = scene.heard.track_format.is_exact
    more_db = 0 if is_exact else CODED_MORE_DB
    ceiling_dbfs = CEILING_DBFS - (0 if is_exact else CODED_PEAKS_LOWER_DB)
    step = _step([one for one in measured if one[2] <= ceiling_dbfs])
    sides = [measured]
    if step is not None and step.size_db > STEP_DB + more_db:
        yield _step_finding(scene, step, STEP_DB + more_db)
        first = step.first.start
        sides = [
            [one for one in measured if one[0].start < first],
            [one for one in measured if one[0].start >= first],
        ]
    for side in sides:
        middle = statistics.median(dbfs for _, dbfs, _ in side)
        for one, level_dbfs, peak_dbfs in side:
            off_db = level_dbfs - middle
            allowed = ALLOWED_DB + more_db
            if one.end - one.start < SHORT_S * scene.rate_hz:
                allowed += SHORT_MORE_DB
            if off_db < 0 and peak_dbfs > ceiling_dbfs:
                allowed += SOFTER_AT_CEILING_DB
            if abs(off_db) <= allowed:
                continue
            how = "louder" if off_db > 0 else "softer"
            yield scene.finding(
                "level-uneven",
                "error" if abs(off_db) > allowed + ERROR_DB - ALLOWED_DB else "warning",
                f"the words{{where}} are {how} than the rest of the track",
                hint="build the track again, or level the recording",
                frame=one.start,
                sound=one.sound,
                expected=middle,
                measured=level_dbfs,
                allowed=allowed,
                unit="dB",
            )


@dataclass(frozen=True, slots=True)
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
    for at in range(FEWEST, len(levels) - FEWEST + 1):
        before, after = statistics.median(levels[:at]), statistics.median(levels[at:])
        between = (before + after) / 2
        shares = [sum(v > between for v in side) / len(side) for side in (levels[:at], levels[at:])]
        if max(shares) >= CLEAR_SHARE and min(shares) <= 1 - CLEAR_SHARE:
            found.append(_Step(abs(after - before), measured[at][0], before, after))
    return max(found, key=lambda step: step.size_db, default=None)


def _step_finding(scene: Scene, step: _Step, allowed_db: float) -> Finding:
    how = "louder" if step.after_dbfs > step.before_dbfs else "softer"
    return scene.finding(
        "level-uneven",
        "error" if step.size_db > allowed_db + ERROR_DB - ALLOWED_DB else "warning",
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
