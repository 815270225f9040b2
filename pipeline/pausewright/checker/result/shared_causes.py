"""One cause at several places of a delivery: a question missing in five versions, told once.

Two causes are one where their heads say the same of the same question; where on each track it is,
and what follows from it there, may differ.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.checker.result.causes import Cause, causes
from pausewright.checker.result.codes import audience_of
from pausewright.checker.result.told_causes import told
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pausewright.checker.result.delivered import Delivered
    from pausewright.checker.result.findings import Finding
    from pausewright.checker.result.items import Item

Sign: TypeAlias = "tuple[str, str, str, Item | None]"
"""What heads of one cause have in common: code, severity, sentence and question."""
MOST_PLACES: Final = 12
"""Versions or folders that a sentence names."""
_OF_VERSION: Final = re.compile(r"(?<=\w)_[A-Z][A-Z0-9]{0,3}(_[A-Z0-9]{6})?(?=[._])")
"""Label and edition in the name of a delivered file."""


@frozen
class SharedCause:
    """A cause, and all places of a delivery where it is found."""

    cause: Cause
    """Its head is that of the first place, without numbers that differ from place to place; what
    follows from it is gathered from all."""
    places: tuple[str, ...]
    """Labels of versions, or names of folders where no label is known; none: the whole delivery."""

    @property
    def sentence(self) -> str:
        """The cause in one sentence, with its places where there are several."""
        return told(self.cause) + (f"; in {named(self.places)}" if len(self.places) > 1 else "")


def sign_of(head: Finding) -> Sign:
    """Return what the head of a cause has in common with others of the same cause."""
    return head.code, head.severity, _OF_VERSION.sub("_…", head.sentence), head.question


def shared_causes(delivered: Delivered) -> list[SharedCause]:
    """Return all causes of a delivery, each once: the gravest and those of most places first."""
    found: dict[Sign, list[tuple[str, Cause]]] = {}
    for cause in causes(delivered.findings):
        found.setdefault(sign_of(cause.head), []).append(("", cause))
    for room in delivered.rooms:
        place = room.version_label or room.name or "the track"
        for findings in (room.findings, *(check.findings for check in room.checks)):
            for cause in causes(findings):
                found.setdefault(sign_of(cause.head), []).append((place, cause))
    shared = [_joined(places) for places in found.values()]
    return sorted(shared, key=_rank)


def _rank(one: SharedCause) -> tuple[bool, int, bool]:
    """Sort key: errors, then what most versions share, then what candidates hear."""
    head = one.cause.head
    return one.cause.severity != "error", -len(one.places), audience_of(head.code) != "heard"


def told_above(delivered: Delivered) -> frozenset[Sign]:
    """Return the signs of causes at several places: a track's report need not tell them again."""
    return frozenset(
        sign_of(one.cause.head) for one in shared_causes(delivered) if len(one.places) > 1
    )


def _joined(places: list[tuple[str, Cause]]) -> SharedCause:
    first = places[0][1]
    follows = tuple(finding for _, cause in places for finding in cause.follows)
    shifts = {cause.shift_s for _, cause in places}
    head = first.head
    if any(cause.head.sentence != head.sentence for _, cause in places):
        head = replace(head, sentence=sign_of(head)[2])
    if len({(c.head.expected, c.head.measured, c.head.difference) for _, c in places}) > 1:
        head = replace(head, expected=None, measured=None, difference=None)
    joined = Cause(head, follows, first.shift_s if len(shifts) == 1 else None)
    return SharedCause(joined, tuple(dict.fromkeys(name for name, _ in places if name)))


def named(places: tuple[str, ...]) -> str:
    """Return places in words: "5 versions: A, B, C, D, E"."""
    more = len(places) - MOST_PLACES
    names = ", ".join(places[:MOST_PLACES]) + (f" and {more} more" if more > 0 else "")
    return f"{len(places)} versions: {names}"
