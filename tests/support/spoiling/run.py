"""Running the harness: spoil, write, check, and count what is caught and what is a false alarm."""

from __future__ import annotations

import zlib
from collections import Counter
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from pausewright.checker.check import check_track
from pausewright.checker.files.piece_set import check_pieces, piece_sets
from pausewright.checker.result.causes import causes
from pausewright.problems import TrackError
from pausewright.script.reader import read_script
from pausewright.sound.chapter_marks import Chapter
from pausewright.wording.worded import Worded

from support.spoiling.files import peak_is_right, write

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult, Finding

    from support.spoiling.kinds import Kind
    from support.spoiling.spoil import Spoiled
    from support.spoiling.tracks import GoodTrack

EXPECTED_OF_A_GOOD_TRACK = frozenset({"chapters-missing", "edition-missing"})
"""Findings about what the harness itself leaves out; no alarm about the sound."""


@dataclass
class Tally:
    """Caught and missed, by kind."""

    caught: dict[str, int] = field(default_factory=dict)
    """Refused: under its own name, or by another error about the sound."""
    named: dict[str, int] = field(default_factory=dict)
    """Caught under its own name, at its own place."""
    total: dict[str, int] = field(default_factory=dict)
    missed: list[str] = field(default_factory=list)
    """What was missed, with all that is needed to do it again."""
    named_otherwise: list[str] = field(default_factory=list)
    """What was caught, but not under its own name."""
    told_once: dict[str, int] = field(default_factory=dict)
    """Told as one cause, with all else under it; of those that could be read."""
    readable: dict[str, int] = field(default_factory=dict)
    told_apart: list[str] = field(default_factory=list)
    """What was told as several causes."""
    n_good: int = 0
    good_of: Counter[str] = field(default_factory=Counter)
    """Undamaged whole tracks by voice, version, format and level."""
    false_alarms: list[str] = field(default_factory=list)

    def add(self, kind: str, what: str, *, is_named: bool, is_refused: bool, told: str) -> None:
        """Count one spoiled track."""
        is_caught = is_named or is_refused
        self.named[kind] = self.named.get(kind, 0) + is_named
        self.total[kind] = self.total.get(kind, 0) + 1
        self.caught[kind] = self.caught.get(kind, 0) + is_caught
        if not is_caught:
            self.missed.append(f"{kind}: {what}: {told or 'no finding'}")
        elif not is_named:
            self.named_otherwise.append(f"named otherwise: {kind}: {what}: {told}")

    def merge(self, other: Tally) -> None:
        """Add what another run counted."""
        for name in ("caught", "named", "total", "told_once", "readable", "good_of"):
            own = getattr(self, name)
            for key, n in getattr(other, name).items():
                own[key] = own.get(key, 0) + n
        self.n_good += other.n_good
        for name in ("missed", "named_otherwise", "told_apart", "false_alarms"):
            getattr(self, name).extend(getattr(other, name))

    def add_causes(self, kind: str, what: str, findings: Sequence[Finding]) -> None:
        """Count into how many causes the findings of one spoiled track were put."""
        found = causes([f for f in findings if f.code not in EXPECTED_OF_A_GOOD_TRACK])
        self.readable[kind] = self.readable.get(kind, 0) + bool(found)
        self.told_once[kind] = self.told_once.get(kind, 0) + (len(found) == 1)
        if len(found) > 1:
            told_as = "; ".join(
                f"{one.head.code} at {one.head.at_s and float(one.head.at_s)}" for one in found
            )
            self.told_apart.append(f"{kind}: {what}: {told_as}")


def seed_of(*parts: object) -> np.random.Generator:
    """Return dice that fall the same way for the same parts."""
    return np.random.default_rng(zlib.crc32(repr(parts).encode()))


def size_of(kind: Kind, nth: int, dice: np.random.Generator) -> float:
    """Return the smallest size every third time, else one drawn between the two."""
    if nth % 3 == 0 or kind.smallest == kind.largest:
        return kind.smallest
    share = float(dice.random()) ** 2
    return kind.smallest + share * (kind.largest - kind.smallest)


def spoil_one(
    kind: Kind, track: GoodTrack, nth: int, seed: int, folder: Path, tally: Tally
) -> None:
    """Spoil a track once, check it, and count."""
    dice = seed_of(seed, kind.name, track.name, nth)
    size = size_of(kind, nth, dice)
    form = kind.formats[int(dice.integers(len(kind.formats)))]
    what = f"{track.name} #{nth} seed {seed} size {size:.4g} {form}"
    spoiled = kind.spoil(track, dice, size)
    try:
        findings = findings_of(track, spoiled, form, folder)
    except TrackError:
        is_named = "unreadable" in kind.codes
        told = "the file cannot be read"
        tally.add(kind.name, what, is_named=is_named, is_refused=True, told=told)
        return
    told = " ".join(sorted({f.code for f in findings}))
    tally.add(
        kind.name,
        what,
        is_named=_is_named(kind, spoiled, findings),
        is_refused=any(_refuses(finding, kind) for finding in findings),
        told=told,
    )
    tally.add_causes(kind.name, what, findings)


def _refuses(finding: Finding, kind: Kind) -> bool:
    """Return whether a finding refuses a track by what its kind needs.

    Spoiled sound must be told by its sound: captions and chapters may not be at hand.
    """
    is_beside = finding.code.startswith(("caption", "chapter", "countdown"))
    return finding.severity == "error" and (kind.needs == "captions" or not is_beside)


def _is_named(kind: Kind, spoiled: Spoiled, findings: Sequence[Finding]) -> bool:
    return any(
        f.code in kind.codes
        and (
            kind.within_s is None
            or spoiled.at_s is None
            or f.at_s is None
            or abs(float(f.at_s) - spoiled.at_s) <= kind.within_s
        )
        for f in findings
    )


def findings_of(track: GoodTrack, spoiled: Spoiled, form: str, folder: Path) -> tuple[Finding, ...]:
    """Write a spoiled track as its kind asks, and return what the check finds."""
    chapters = tuple(_shifted(c, spoiled.chapters_shift_s) for c in track.chapters)
    tagged = replace(track, chapters=chapters, edition=spoiled.edition or track.edition)
    file = write(folder, spoiled.wave, spoiled.rate_hz, form, track=tagged)
    if spoiled.edit is not None:
        file.write_bytes(spoiled.edit(file.read_bytes()))
    captions = []
    for ending, text in (
        ("vtt", spoiled.vtt if spoiled.vtt is not None else track.vtt),
        ("srt", spoiled.srt if spoiled.srt is not None else track.srt),
    ):
        if text:
            captions.append(folder / f"track.{ending}")
            captions[-1].write_text(text, encoding="utf-8", newline="\n")
    worded = track.worded
    if spoiled.text is not None:
        script = folder / "changed.md"
        script.write_text(spoiled.text, encoding="utf-8")
        worded = Worded(read_script(script))
    if spoiled.pieces:
        return _findings_of_pieces(track, spoiled, form, file)
    result = check_track(
        file, worded, edition=track.edition, captions=captions, second_decoder=True
    )
    return result.findings


def _findings_of_pieces(
    track: GoodTrack, spoiled: Spoiled, form: str, whole: Path
) -> tuple[Finding, ...]:
    """Write pieces beside the whole track, and return what the check finds of them."""
    bare = replace(track, chapters=())
    files = [
        write(whole.parent, wave, spoiled.rate_hz, form, track=bare, name=f"{whole.stem}_{mark}")
        for mark, wave in spoiled.pieces.items()
    ]
    _, (found,) = piece_sets(files)

    def check(track_files: tuple[Path, ...]) -> CheckResult:
        return check_track(track_files, track.worded, edition=track.edition, second_decoder=True)

    return check_pieces(found, check).findings


def _shifted(chapter: Chapter, by_s: float) -> Chapter:
    by_ms = int(by_s * 1000)
    return Chapter(chapter.start_ms + by_ms, chapter.end_ms + by_ms, chapter.title)


def check_good(
    track: GoodTrack, wave: np.ndarray, form: str, folder: Path, tally: Tally, what: str
) -> None:
    """Check an undamaged track; anything found about its sound is a false alarm."""
    file = write(folder, wave, track.rate_hz, form, track=track)
    captions = []
    for ending, text in (("vtt", track.vtt), ("srt", track.srt)):
        if text:
            captions.append(folder / f"track.{ending}")
            captions[-1].write_text(text, encoding="utf-8", newline="\n")
    result = check_track(
        file,
        track.worded,
        edition=track.edition,
        captions=captions,
        second_decoder=True,
        promise=track.promise,
    )
    tally.n_good += 1
    alarms = [
        f
        for f in result.findings
        if f.code not in EXPECTED_OF_A_GOOD_TRACK
        and not (f.code == "true-peak" and peak_is_right(file))
    ]
    tally.false_alarms += [
        f"{track.name} {what} {form}: {f.severity} {f.code} at {f.at_s and float(f.at_s)}: "
        f"measured {f.measured}, expected {f.expected}"
        for f in alarms
    ]


def check_good_pieces(
    track: GoodTrack, spoiled: Spoiled, form: str, folder: Path, tally: Tally, what: str
) -> None:
    """Check undamaged pieces; one that is told to be another sound is a false alarm."""
    found = findings_of(track, spoiled, form, folder)
    tally.n_good += 1
    tally.false_alarms += [
        f"{track.name} pieces {what} {form}: {one.code} at {one.at_s and float(one.at_s)}"
        for one in found
        if one.code == "piece-differs"
    ]


def table(tally: Tally, kinds: Sequence[Kind]) -> str:
    """Return caught and total by kind, as a table for the terminal or the docs."""
    lines = [
        "| kind of damage | needs | smallest | caught | by its name | one cause |",
        "|---|---|---|---|---|---|",
    ]
    for kind in kinds:
        if kind.name in tally.total:
            smallest = f"{kind.smallest:g} {kind.unit}".strip() if kind.unit else "–"
            score = f"{tally.caught[kind.name]} / {tally.total[kind.name]}"
            named = tally.named[kind.name]
            once = f"{tally.told_once.get(kind.name, 0)} / {tally.readable.get(kind.name, 0)}"
            cells = (kind.name, kind.needs, smallest, score, str(named), once)
            lines.append(f"| {' | '.join(cells)} |")
    n_caught, n_total = sum(tally.caught.values()), sum(tally.total.values())
    n_named = sum(tally.named.values())
    once = f"{sum(tally.told_once.values())} / {sum(tally.readable.values())}"
    lines.append(f"| all kinds | | | {n_caught} / {n_total} | {n_named} | {once} |")
    return "\n".join(lines)
