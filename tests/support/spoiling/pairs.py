"""Two faults in one track, far from each other: they must not be told as one cause."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from pausewright.checker.result.causes import causes

from support.spoiling import kinds_sound as sound
from support.spoiling.run import EXPECTED_OF_A_GOOD_TRACK, findings_of, seed_of
from support.spoiling.spoil import UnfitError

if TYPE_CHECKING:
    from pathlib import Path

    from support.spoiling.kinds import Spoiler
    from support.spoiling.tracks import GoodTrack

FIRST: tuple[tuple[str, Spoiler, float], ...] = (
    ("one utterance louder", sound.one_louder, 6),
    ("dropout", sound.dropout, 0.08),
    ("sound in a silence", sound.sound_in_silence, 0.3),
)
"""Faults that keep the length of a track, each with its size."""
SECOND: tuple[tuple[str, Spoiler, float], ...] = (
    ("silence shorter", sound.silence_short, 0.4),
    ("silence longer", sound.silence_long, 0.7),
    ("word cut out", sound.word_cut_out, 0.3),
)
FAR_S = 15.0


@dataclass
class Pairs:
    """How many pairs of faults were told apart."""

    n: int = 0
    n_apart: int = 0
    as_one: list[str] = field(default_factory=list)

    def merge(self, other: Pairs) -> None:
        """Add what another run counted."""
        self.n += other.n
        self.n_apart += other.n_apart
        self.as_one.extend(other.as_one)

    def spoil(self, track: GoodTrack, nth: int, seed: int, folder: Path) -> None:
        """Put two faults into a track and count, if both are possible far from each other."""
        name, spoil, size = FIRST[nth % len(FIRST)]
        other, spoil_too, other_size = SECOND[nth // len(FIRST) % len(SECOND)]
        dice = seed_of(seed, "pair", track.name, nth)
        for _ in range(12):
            try:
                one = spoil(track, dice, size)
                both = spoil_too(replace(track, wave=one.wave), dice, other_size)
            except UnfitError:
                continue
            if one.at_s is None or both.at_s is None or abs(one.at_s - both.at_s) < FAR_S:
                continue
            found = causes(
                [
                    finding
                    for finding in findings_of(track, both, "wav", folder)
                    if finding.code not in EXPECTED_OF_A_GOOD_TRACK
                ]
            )
            self.n += 1
            self.n_apart += len(found) > 1
            if len(found) < 2:
                told = "; ".join(one.head.code for one in found) or "nothing"
                self.as_one.append(f"{name} and {other}: {track.name} #{nth} seed {seed}: {told}")
            return
