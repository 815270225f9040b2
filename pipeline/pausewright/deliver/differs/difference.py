"""Two states of a test compared: changes, proof, what is made again, what is heard again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.differs.changes import Change, Compared, compared
from pausewright.deliver.differs.consequences import OutputVerdict, RoomVerdict, in_rooms, verdicts
from pausewright.deliver.differs.proof import Proof, prove
from pausewright.deliver.differs.sides import Side, side_of
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.differs.sides import SideVersion


@frozen
class VersionDifference:
    """One version that is in both states."""

    label: str
    name: str
    """Of its arrangement; confidential."""
    compared: Compared
    proof: Proof | None
    """None where not both tracks are at hand."""

    @property
    def to_hear(self) -> tuple[Change, ...]:
        """What must be heard again: what is new or other in sound."""
        return tuple(
            one for one in self.compared.changes if one.what != "removed" and "sound" in one.aspects
        )


@frozen
class Difference:
    """All that differs between two states of a test."""

    old: Side
    new: Side
    versions: tuple[VersionDifference, ...]
    only_old: tuple[str, ...]
    """Labels of versions that are gone."""
    only_new: tuple[str, ...]
    outputs: tuple[OutputVerdict, ...]
    rooms: tuple[RoomVerdict, ...]

    @property
    def holds(self) -> bool:
        """Whether every proof that could be made holds."""
        return all(one.proof is None or one.proof.holds for one in self.versions)

    @property
    def is_same(self) -> bool:
        """Whether nothing differs."""
        changes = any(one.compared.changes for one in self.versions)
        return not (changes or self.only_old or self.only_new)


def differ(old: Path, new: Path, options: Options, rooms: Path | None = None) -> Difference:
    """Compare two states of a test, each a script or what was built of it.

    Parameters
    ----------
    old, new : scripts, or folders that builds made
    options : voices; where builds of the scripts lie
    rooms : what `needs` laid out; None if nothing is there

    Raises
    ------
    ScriptError
        With all problems, if a script has errors.
    OutputError
        If a folder is no whole build, or holds no rooms.
    TrackError
        If a track cannot be decoded.
    """
    before, after = side_of(old, options), side_of(new, options)
    outputs = verdicts(before, after)
    return Difference(
        before,
        after,
        tuple(
            _version(name, before.versions[name], version)
            for name, version in after.versions.items()
            if name in before.versions
        ),
        _only(before, after),
        _only(after, before),
        outputs,
        () if rooms is None else in_rooms(rooms, outputs),
    )


def _only(one: Side, other: Side) -> tuple[str, ...]:
    return tuple(
        version.contents.version_label
        for name, version in one.versions.items()
        if name not in other.versions
    )


def _version(name: str, old: SideVersion, new: SideVersion) -> VersionDifference:
    found = compared(old.contents, new.contents)
    proof = None
    if old.built is not None and new.built is not None:
        proof = prove((old.contents, old.built), (new.contents, new.built), found)
    return VersionDifference(new.contents.version_label, name, found, proof)
