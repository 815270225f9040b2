"""What was delivered and checked: tracks, their folders, and what was found about both."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.findings import CheckResult, Finding

FileState: TypeAlias = Literal["as listed", "older", "changed", "missing", "not listed"]
"""`older`: a paper of an older edition that shows the same."""


@frozen
class FileRow:
    """One file of a folder against its packing list."""

    name: str
    """Relative to the folder, with forward slashes."""
    state: FileState
    sha256: str
    """Of the file that is there; empty if it is missing or cannot be read."""


@frozen
class Room:
    """One folder as it goes to a room, or a single track (then without name and files)."""

    name: str
    version_label: str
    """As the packing list or the record says; else as the tags of the tracks do; else empty."""
    edition: str
    """The same."""
    checks: tuple[CheckResult, ...]
    tracks: tuple[Track, ...]
    """The files of the tracks, in the order of `checks`."""
    files: tuple[FileRow, ...] = ()
    findings: tuple[Finding, ...] = ()
    """About the folder; those about a track are in its own result."""
    is_listed: bool = False
    """Whether there was a packing list or a record to compare with."""
    cautions: tuple[str, ...] = ()
    room_at: tuple[int, int] | None = None
    """Which room of how many, where rooms were laid out from a list of needs."""
    player_at: tuple[int, int] | None = None
    """Which player of how many in its room; None for the room itself."""
    is_as_needed: bool | None = None
    """Whether the room is as the list of needs says; None where it was not compared."""

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Those about the folder and those about its tracks."""
        return (*self.findings, *(f for check in self.checks for f in check.findings))

    @property
    def is_good(self) -> bool:
        """Whether there is no error in the folder and in its tracks."""
        return all(finding.severity != "error" for finding in self.all_findings)

    @property
    def is_compared(self) -> bool:
        """Whether anything was compared; a track without a script is measured and no more."""
        return all(check.has_script for check in self.checks)


@frozen
class Delivered:
    """All that one call of the check looked at."""

    rooms: tuple[Room, ...]
    findings: tuple[Finding, ...] = ()
    """About what belongs to no single room: papers, and rooms that do not go together."""
    is_folder: bool = False
    """Whether a folder was given, and not one track."""
    is_paper: bool = False
    """Whether one paper was given."""

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Everything that was found."""
        return (*self.findings, *(f for room in self.rooms for f in room.all_findings))

    @property
    def checks(self) -> tuple[CheckResult, ...]:
        """The results of all tracks."""
        return tuple(check for room in self.rooms for check in room.checks)

    @property
    def is_good(self) -> bool:
        """Whether there is no error anywhere."""
        return all(finding.severity != "error" for finding in self.all_findings)

    @property
    def is_compared(self) -> bool:
        """Whether anything was compared; what was only measured is never called good."""
        return all(room.is_compared for room in self.rooms)


def delivered_tracks(checks: Sequence[CheckResult], tracks: Sequence[Track]) -> Delivered:
    """Return tracks that were checked by themselves, each as a room without a name."""
    return Delivered(
        tuple(
            Room("", check.version_label, check.edition or "", (check,), (track,))
            for check, track in zip(checks, tracks, strict=True)
        )
    )
