"""Rooms planned from a list of needs: who hears which version, from which player or reader."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import CONFIDENTIAL, slug
from pausewright.frozen import frozen
from pausewright.problems import Place, Problems

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.deliver.needs_list import Need

_MOST_ALOUD: Final = 30
"""Candidates in a room by loudspeaker, as two bodies allow them (CV-29); more is a warning."""


@frozen
class Player:
    """A machine that plays one track."""

    number: int
    label: str
    candidates: tuple[str, ...]
    by_loudspeaker: bool

    @property
    def folder(self) -> str:
        """Its folder in the room's folder."""
        return f"player-{self.number}_version-{self.label}"


@frozen
class LiveReader:
    """A person who reads a version aloud in place of a track."""

    number: int
    label: str
    candidates: tuple[str, ...]
    code: str
    """As the list of needs names them; "" if it does not."""


@frozen
class Room:
    """A room with its players and readers."""

    name: str
    folder: str
    players: tuple[Player, ...]
    length_s: Fraction
    """Of its longest track."""
    readers: tuple[LiveReader, ...] = ()

    @property
    def labels(self) -> tuple[str, ...]:
        """Versions that are heard in it."""
        players = {one.label for one in self.players}
        return tuple(sorted(players | {one.label for one in self.readers}))

    @property
    def n_candidates(self) -> int:
        """How many sit in it."""
        n_read_to = sum(len(one.candidates) for one in self.readers)
        return n_read_to + sum(len(one.candidates) for one in self.players)


def plan_rooms(
    needs: Sequence[Need], lengths_s: dict[str, Fraction], file: Path, problems: Problems
) -> tuple[Room, ...]:
    """Return the rooms of a list, by name.

    Parameters
    ----------
    needs : the rows
    lengths_s : length of each version's track in seconds, by label
    file : the list, for problems
    problems : takes rooms in which one loudspeaker would have to play two versions
    """
    by_room: defaultdict[str, list[Need]] = defaultdict(list)
    for need in needs:
        by_room[" ".join(need.room.split())].append(need)
    folders: dict[str, str] = {}
    rooms = []
    for name in sorted(by_room):
        rows = by_room[name]
        folder = slug(name)
        if folder == CONFIDENTIAL:
            problems.error(
                Place(file, rows[0].line, 1),
                f"the room ‘{name}’ would have the folder of the room lists",
                "name it differently",
                code="needs-rooms",
            )
        if folder in folders:
            problems.error(
                Place(file, rows[0].line, 1),
                f"the rooms ‘{folders[folder]}’ and ‘{name}’ would have the same folder",
                "name them differently, in letters and figures",
                code="needs-rooms",
            )
        folders[folder] = name
        rooms.append(_room(name, folder, rows, lengths_s, file, problems))
    return tuple(rooms)


def _room(
    name: str,
    folder: str,
    rows: Sequence[Need],
    lengths_s: dict[str, Fraction],
    file: Path,
    problems: Problems,
) -> Room:
    aloud: defaultdict[str, list[Need]] = defaultdict(list)
    read: defaultdict[tuple[str, str], list[Need]] = defaultdict(list)
    for need in rows:
        if need.reader:
            read[need.label, need.reader].append(need)
        elif not need.headphones:
            aloud[need.label].append(need)
    sources = [*aloud.values(), *read.values()]
    if len(sources) > 1:
        odd = min(sources, key=len)
        labels = ", ".join(sorted({*aloud, *(label for label, _ in read)}))
        what = (
            f"would hear versions {labels} through one loudspeaker"
            if not read
            else f"would hear versions {labels} aloud from {len(sources)} places at once"
        )
        problems.error(
            Place(file, odd[0].line, 1),
            f"the room ‘{name}’ {what}",
            "declare headphones in these rows (headphones: yes), or use another room",
            code="needs-loudspeaker",
        )
    hear_aloud = [need for heard in sources for need in heard]
    if len(hear_aloud) > _MOST_ALOUD:
        problems.warn(
            Place(file, hear_aloud[_MOST_ALOUD].line, 1),
            f"{len(hear_aloud)} candidates in the room ‘{name}’ listen without headphones",
            f"some bodies allow {_MOST_ALOUD} at most; your rules decide",
            code="needs-many",
        )
    players = [
        Player(number, label, tuple(n.candidate for n in aloud[label]), by_loudspeaker=True)
        for number, label in enumerate(sorted(aloud), 1)
    ]
    for need in rows:
        if need.headphones and not need.reader:
            number = len(players) + 1
            players.append(Player(number, need.label, (need.candidate,), by_loudspeaker=False))
    readers = tuple(
        LiveReader(number, label, tuple(n.candidate for n in heard), heard[0].reader_code)
        for number, ((label, _), heard) in enumerate(read.items(), 1)
    )
    made = Room(name, folder, tuple(players), Fraction(0), readers)
    lengths = [lengths_s.get(label, Fraction(0)) for label in made.labels]
    return replace(made, length_s=max(lengths, default=Fraction(0)))
