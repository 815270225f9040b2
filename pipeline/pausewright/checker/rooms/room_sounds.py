"""The tracks in one player's folder: measured, and compared with the list and their own tags."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from pausewright.checker.files.decode import files_of, name_of
from pausewright.checker.files.piece_set import check_pieces, piece_sets
from pausewright.checker.files.tags import read_tags
from pausewright.checker.folder import is_track, length_slack_s
from pausewright.checker.result.codes import audience_of
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.room_files import COPY
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.findings import CheckResult
    from pausewright.checker.rooms.orders import Orders
    from pausewright.checker.rooms.packed import Packed
    from pausewright.checker.rooms.room_files import Held


class PlayerSounds:
    """Measures the tracks of one player."""

    def __init__(
        self, held: Sequence[Held], staff: Sequence[Held], label: str, orders: Orders
    ) -> None:
        """Take the files of the player's folder, those of the staff, and the version that it is."""
        self._held = held
        self._staff = staff
        self._label = label
        self._orders = orders
        self.checks: list[CheckResult] = []
        self.tracks: list[Track] = []
        self.findings: list[Finding] = []
        self.marks: dict[Path, str] = {}
        """Of tracks that are not those of their names by tags or length: the mark of a cause."""
        self._others: Mapping[Path, str] = {}

    def measure(
        self, listed: Mapping[str, Packed], edition: str, others: Mapping[Path, str] | None = None
    ) -> None:
        """Measure every track.

        Parameters
        ----------
        listed : what the list says, by file name
        edition : that of the list
        others : tracks that are known to be those of another version, with its label
        """
        self._others = others or {}
        sounds = [one.path for one in self._held if is_track(one.path)]
        wholes, in_pieces = piece_sets(sounds)
        for whole in wholes:
            self._one(whole, partial(self._check, whole))
        for pieces in in_pieces:
            self._one(pieces.files, partial(check_pieces, pieces, self._check))
        for path in sounds:
            label = self._others.get(path, self._label)
            self._tell(path, _by_tags(path, label, edition))
        for track, result in zip(self.tracks, self.checks, strict=True):
            one = listed.get(name_of(track))
            if one is not None and one.measured is not None:
                found = _by_length(result, one.measured.length_s, one.measured.rate_hz)
                self._tell(files_of(track)[0], found)

    def _tell(self, path: Path, findings: Iterator[Finding]) -> None:
        """Keep what says that a track is not the one of its name: one cause, with its hash."""
        for one in findings:
            self.marks[path] = f"track {path.name}"
            self.findings.append(replace(one, one_cause=self.marks[path]))

    def _one(self, track: Track, measured: Callable[[], CheckResult]) -> None:
        """Measure a track, or remember what equal files came to."""
        files = frozenset((one.path.name, one.sha256) for one in (*self._held, *self._staff))
        key = (self._label, tuple(path.name for path in files_of(track)), files)
        try:
            if key not in self._orders.done:
                self._orders.done[key] = measured()
        except TrackError as why:
            self.findings.append(
                Finding("track-unreadable", "error", why.message, why.hint or COPY)
            )
            return
        self.checks.append(self._orders.done[key])
        self.tracks.append(track)

    def _check(self, track: Track) -> CheckResult:
        label = self._others.get(files_of(track)[0])
        if label is None:
            return self._orders.check(track, self._label)
        found = self._orders.check(track, label)  # what lies beside it belongs to another track
        heard = tuple(one for one in found.findings if audience_of(one.code) != "read")
        return replace(found, findings=heard, captions=())


def _by_tags(path: Path, label: str, edition: str) -> Iterator[Finding]:
    try:
        tags = read_tags(path)
    except TrackError as why:
        yield Finding("track-unreadable", "error", why.message, why.hint or COPY)
        return
    for said, wanted, code, what in (
        (tags.version_label, label, "label-differs", "version"),
        (tags.edition, edition, "edition-differs", "edition"),
    ):
        if said and said != wanted:
            yield Finding(
                code,
                "error",
                f"‘{path.name}’ says that it is {what} {said}, the packing list says {wanted}",
                COPY,
            )


def _by_length(result: CheckResult, expected_s: Fraction, rate_hz: int) -> Iterator[Finding]:
    measured_s = Fraction(result.n_frames, result.rate_hz)
    slack_s = length_slack_s(result, is_same_rate=result.rate_hz == rate_hz)
    if abs(measured_s - expected_s) > slack_s:
        yield Finding(
            "total-differs",
            "error",
            f"‘{result.track}’ is not as long as the track that was built",
            COPY,
            expected=expected_s,
            measured=measured_s,
            difference=measured_s - expected_s,
            allowed=slack_s,
            unit="s",
        )
