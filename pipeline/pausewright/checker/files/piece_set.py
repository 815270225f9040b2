"""A track in pieces: all there, in order, of one edition and version, and the sound of the whole.

Pieces are known by their names: `NAME_2-of-3.mp3` is a piece of `NAME.mp3`. How they sound is
judged by `check_track`, which reads them one after another; here they are compared with each other
and with the whole track.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.files.decode import TrackReader
from pausewright.checker.files.decoded_track import Kept
from pausewright.checker.files.tags import read_tags
from pausewright.checker.limits.edges import (
    PIECE_HIDDEN_DB,
    PIECE_LEVEL_HIDDEN_DB,
    PIECE_LEVELS_APART,
    PIECE_SOFT_DBFS,
    PIECE_SOFTEST_DBFS,
    PIECE_UNLIKE_FROM,
)
from pausewright.checker.result.findings import Finding
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.checker.result.findings import CheckResult

    Samples: TypeAlias = NDArray[np.float32]

NAME = re.compile(r"(?P<whole>.+)_(?P<number>\d{1,4})-of-(?P<n_all>\d{1,4})", re.ASCII)
"""Name of a piece, without its ending."""
WINDOW_S = 0.25
LOW_HZ = 2_000
"""What lies higher, coders keep by its level only: two encodings of one hiss are other waves."""
LEVEL_S = 0.05
COPY = "copy all pieces again from where the test was built, or build them again"
NO_WHOLE = "The whole track is not beside its pieces: they were not compared with it."


@frozen
class PieceSet:
    """The pieces of one track that are there."""

    whole: Path
    """The track that they are pieces of; it may be missing."""
    by_number: tuple[tuple[int, int, Path], ...]
    """Number, number of all and file of each, by number."""

    @property
    def files(self) -> tuple[Path, ...]:
        """The pieces in order."""
        return tuple(path for _, _, path in self.by_number)

    @property
    def missing(self) -> tuple[int, ...]:
        """Numbers of the pieces that are not there."""
        n_all = max(n_all for _, n_all, _ in self.by_number)
        return tuple(sorted(set(range(1, n_all + 1)) - {number for number, _, _ in self.by_number}))


def piece_sets(tracks: Iterable[Path]) -> tuple[list[Path], list[PieceSet]]:
    """Part tracks into whole ones and sets of pieces, by their names."""
    wholes: list[Path] = []
    found: defaultdict[Path, list[tuple[int, int, Path]]] = defaultdict(list)
    for path in tracks:
        name = NAME.fullmatch(path.stem)
        if name is None:
            wholes.append(path)
        else:
            whole = path.with_name(name["whole"] + path.suffix)
            found[whole].append((int(name["number"]), int(name["n_all"]), path))
    return wholes, [PieceSet(whole, tuple(sorted(found[whole]))) for whole in sorted(found)]


def set_around(track: Path) -> PieceSet | None:
    """Return the set that a piece belongs to, from what lies beside it; None for a whole track."""
    if NAME.fullmatch(track.stem) is None or not track.is_file():
        return None
    beside = [file for file in track.parent.iterdir() if file.suffix == track.suffix]
    return next((one for one in piece_sets(beside)[1] if track in one.files), None)


def check_pieces(pieces: PieceSet, check: Callable[[tuple[Path, ...]], CheckResult]) -> CheckResult:
    """Check the pieces of a track, joined and by themselves.

    Parameters
    ----------
    pieces : those that are there
    check : measures them as one track, with the script or without

    Raises
    ------
    TrackError
        If one cannot be read, or they differ in format, rate or channels.
    """
    result = check(pieces.files)
    findings = [*_names(pieces), *_tags(pieces), *result.findings]
    cautions = result.cautions
    if pieces.whole.is_file():
        findings += _unlike(pieces)
    else:
        cautions = (*cautions, NO_WHOLE)
    findings.sort(key=lambda one: (one.at_s is not None, one.at_s or Fraction(0)))
    return replace(result, findings=tuple(findings), cautions=cautions)


# ---- names and tags --------------------------------------------------------------------------


def _error(code: str, sentence: str, hint: str = COPY) -> Finding:
    return Finding(code, "error", sentence, hint)


def _names(pieces: PieceSet) -> Iterator[Finding]:
    """Give what is wrong with the numbers in the names."""
    numbers = [number for number, _, _ in pieces.by_number]
    counts = sorted({n_all for _, n_all, _ in pieces.by_number})
    if len(counts) > 1:
        said = " and ".join(map(str, counts))
        yield _error("piece-count", f"the names of the pieces tell of {said} pieces")
    for number, n_all, path in pieces.by_number:
        if not 1 <= number <= n_all:
            yield _error("piece-count", f"‘{path.name}’ is no piece of {n_all}")
        elif numbers.count(number) > 1:
            yield _error("piece-count", f"‘{path.name}’ is not the only piece of this number")
    for number in pieces.missing:
        yield _error(
            "piece-missing", f"piece {number} of {counts[-1]} of ‘{pieces.whole.name}’ is not there"
        )


def _tags(pieces: PieceSet) -> Iterator[Finding]:
    """Give where the tags of the pieces do not fit their names, each other and the whole track."""
    tags = [(path, read_tags(path)) for path in pieces.files]
    for (number, n_all, path), (_, said) in zip(pieces.by_number, tags, strict=True):
        if said.number and said.number != f"{number}/{n_all}":
            yield _error(
                "piece-number",
                f"‘{path.name}’ says of itself that it is piece {said.number.replace('/', ' of ')}",
            )
    if pieces.whole.is_file():
        tags.append((pieces.whole, read_tags(pieces.whole)))
    for code, what, values in (
        ("editions-mixed", "editions", {said.edition for _, said in tags}),
        ("labels-mixed", "versions", {said.version_label for _, said in tags}),
    ):
        if len(values) > 1:
            named = " and ".join(sorted(value or "none" for value in values))
            yield _error(code, f"the pieces of ‘{pieces.whole.name}’ say {what} {named}")


# ---- sound -----------------------------------------------------------------------------------


def _unlike(pieces: PieceSet) -> Iterator[Finding]:
    """Give which pieces are not the sound of their places in the whole track.

    Places are counted from the start of the track, and where that does not fit, from its end, so
    that a piece that is too short or missing does not make those behind it look wrong.
    """
    whole, is_exact = _kept(pieces.whole)
    held = [_kept(path)[0] for path in pieces.files]
    if (held[0].rate_hz, held[0].n_channels) != (whole.rate_hz, whole.n_channels):
        yield _error("piece-differs", "the pieces and the whole track differ in rate or channels")
        return
    lengths = [one.n_frames for one in held]
    total = sum(lengths)
    if total != whole.n_frames and not pieces.missing:
        yield Finding(
            "piece-differs",
            "error",
            "the pieces together are not as long as the whole track",
            COPY,
            expected=whole.n_frames,
            measured=total,
            difference=total - whole.n_frames,
            allowed=0,
            unit="frames",
        )
    starts = [0, *accumulate(lengths)]
    for path, one, start in zip(pieces.files, held, starts, strict=False):
        places = {start, start + whole.n_frames - total}
        differing = [_first_difference(whole, one, at, is_exact=is_exact) for at in places]
        if None not in differing:
            at = start + min(at for at in differing if at is not None)
            yield Finding(
                "piece-differs",
                "error",
                f"‘{path.name}’ is not the sound of its place in the whole track",
                COPY,
                at_s=Fraction(at, whole.rate_hz),
            )


def _kept(path: Path) -> tuple[Kept, bool]:
    """Return the samples of a file, on disk, and whether they are those that were written."""
    with TrackReader(path) as reader:
        kept = Kept(reader.format.rate_hz, reader.format.n_channels)
        for block in reader.blocks():
            if block.any():
                kept.add(block)
            else:
                kept.add_silence(len(block))
        return kept, reader.format.is_exact


def _first_difference(whole: Kept, piece: Kept, at: int, *, is_exact: bool) -> int | None:
    """Return the first frame from which a piece differs from the whole at `at`; None if nowhere."""
    if not 0 <= at <= whole.n_frames - piece.n_frames:
        return 0
    n_window = max(1, int(WINDOW_S * piece.rate_hz))
    n_level = max(1, int(LEVEL_S * piece.rate_hz))
    step = n_window if is_exact else n_window // 2
    for nth in range(0, piece.n_frames, step):
        end = min(nth + n_window, piece.n_frames)
        start = max(0, end - n_window)
        first, last = max(0, start - n_level), min(end + n_level, piece.n_frames)
        mine, theirs = piece.read(first, last), whole.read(at + first, at + last)
        inner = slice(start - first, end - first)
        if is_exact:
            if not np.array_equal(mine[inner], theirs[inner]):
                differing = (mine[inner] != theirs[inner]).any(axis=1)
                return start + int(np.flatnonzero(differing)[0])
        elif _is_other((mine, theirs), inner, n_level, piece.rate_hz):
            return start
    return None


def _is_other(both: tuple[Samples, Samples], inner: slice, n_level: int, rate_hz: int) -> bool:
    """Return whether two windows of compressed sound are not encodings of the same sound.

    `inner` is the window; up to `n_level` frames before and after it are given too. Beside a sound
    that begins hard, what a coder puts before it is another wave, and as loud as it likes, at each
    encoding: it is hidden by what is so much louder.
    """
    return _levels_differ(both, inner, n_level) or _waves_differ(both, inner, n_level, rate_hz)


def _levels_differ(both: tuple[Samples, Samples], inner: slice, n_level: int) -> bool:
    """Return whether the sound of a window is lost or added for a moment."""
    levels = np.array([_energies(one, n_level) for one in both]) / n_level
    quieter, louder = levels.min(axis=0), levels.max(axis=0)
    around = np.pad(louder, 1)
    hidden = 10 ** (PIECE_LEVEL_HIDDEN_DB / 10) * np.maximum(around[:-2], around[2:])
    heard = np.maximum(10 ** (PIECE_SOFTEST_DBFS / 10), hidden)
    starts = n_level * np.arange(len(louder))
    is_judged = (starts >= inner.start) & (starts + n_level <= inner.stop)
    return bool((is_judged & (louder > heard) & (louder > PIECE_LEVELS_APART * quieter)).any())


def _waves_differ(both: tuple[Samples, Samples], inner: slice, n_level: int, rate_hz: int) -> bool:
    """Return whether the waves of a window are further apart than two encodings of one sound."""
    mine, theirs = (one[inner] for one in both)
    n = len(mine)
    power = max(_energy(one) for one in (mine, theirs)) / n
    beside = [_energy(one[there]) for one in both for there in _sides(inner)]
    hidden = 10 ** (PIECE_HIDDEN_DB / 10) * max(beside) / n_level
    if power <= max(10 ** (PIECE_SOFT_DBFS / 10), hidden):
        return False
    spectrum = np.fft.rfft(mine - theirs, axis=0)
    n_low = 1 + LOW_HZ * n // rate_hz
    # Half of the spectrum stands for all of it: twice its energy, by the length of the window.
    unlike = 2 * float(np.square(np.abs(spectrum[:n_low])).sum()) / n**2
    return unlike > PIECE_UNLIKE_FROM * power


def _sides(inner: slice) -> tuple[slice, slice]:
    return slice(0, inner.start), slice(inner.stop, None)


def _energy(sound: Samples) -> float:
    return float(np.square(sound, dtype=np.float64).sum())


def _energies(sound: Samples, n_window: int) -> NDArray[np.float64]:
    """Return the energy of each whole window of some frames, over all channels."""
    whole = sound[: len(sound) // n_window * n_window].astype(np.float64)
    energies: NDArray[np.float64] = np.square(whole).reshape(-1, n_window * sound.shape[1]).sum(1)
    return energies
