"""What has changed between two contents: unit by unit, in which respects, and where it was."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.deliver.differs.pairing import moved, pairs_of
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.records.shapes import Contents, ContentsUnit

Aspect: TypeAlias = Literal["sound", "words", "paper", "key", "staff"]
What: TypeAlias = Literal["added", "removed", "changed", "renumbered", "moved"]

ASPECTS: Final[dict[Aspect, str]] = {
    "sound": "in sound",
    "words": "in words",
    "paper": "on paper",
    "key": "in the key",
    "staff": "for staff",
}
"""In what a unit can change, as people are told."""
_ORDER: Final = tuple(ASPECTS)


@frozen
class Change:
    """One unit that is not as it was."""

    what: What
    """The first that holds: added, removed; changed; with another number; in another place."""
    kind: str
    name: str
    """As it is called now, or was if it is gone."""
    was: str
    """As it was called before; "" if the same, or it is new."""
    line: int
    """Of the new script, or of the old one if it is gone."""
    aspects: tuple[Aspect, ...]
    """In what it changed; of what was added or removed, what it is there for."""
    is_moved: bool = False


@frozen
class Compared:
    """Two contents of one version side by side."""

    changes: tuple[Change, ...]
    pairs: tuple[tuple[ContentsUnit, ContentsUnit], ...]
    """The units that are in both, old and new, in the order of the new."""

    @property
    def n_same(self) -> int:
        """How many units are wholly as they were."""
        return sum(old.aspects == new.aspects for old, new in self.pairs)


def compared(old: Contents, new: Contents) -> Compared:
    """Return what has changed from one contents to another."""
    pairs = pairs_of(old.units, new.units)
    elsewhere = moved(pairs, [unit.kind for unit in new.units])
    found: list[tuple[float, Change]] = []
    for i, j in pairs:
        change = _changed(old.units[i], new.units[j], is_moved=j in elsewhere)
        found += [] if change is None else [(float(j), change)]
    olds, news = {i for i, _ in pairs}, {j for _, j in pairs}
    found += [
        (float(j), _alone("added", unit)) for j, unit in enumerate(new.units) if j not in news
    ]
    to_new = dict(pairs)
    last = -1.0
    for i, unit in enumerate(old.units):
        last = float(to_new.get(i, last))
        found += [] if i in olds else [(last + 0.5, _alone("removed", unit))]
    found.sort(key=lambda row: row[0])
    both = tuple((old.units[i], new.units[j]) for i, j in pairs)
    return Compared(tuple(change for _, change in found), both)


def _changed(old: ContentsUnit, new: ContentsUnit, *, is_moved: bool) -> Change | None:
    aspects = in_order([one for one in ASPECTS if old.aspects.get(one) != new.aspects.get(one)])
    is_question = new.kind.endswith("question")
    is_moved = is_moved and not is_question  # its number tells
    was = old.name if is_question and old.name != new.name else ""
    # what is only counted has its name from where it stands: "stop 2"
    if not aspects and not was and not is_moved:
        return None
    what: What = "changed" if aspects else "renumbered" if was else "moved"
    return Change(what, new.kind, new.name, was, new.line, aspects, is_moved=is_moved)


def _alone(what: What, unit: ContentsUnit) -> Change:
    return Change(what, unit.kind, unit.name, "", unit.line, in_order(list(unit.aspects)))


def in_order(aspects: Sequence[Aspect]) -> tuple[Aspect, ...]:
    """Return aspects in the order in which people are told."""
    return tuple(sorted(aspects, key=_ORDER.index))
