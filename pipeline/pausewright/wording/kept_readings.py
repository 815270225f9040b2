"""Texts that were read are kept in the process: equal text in equal ways of reading is read once.

What is kept depends on nothing but its key: text, language, voice, and the ways of reading that
the settings choose. Places are no part of it: problems are kept with the offsets that they were
asked for, and get the places of the text that they are told of.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.frozen import frozen
from pausewright.problems import Problems
from pausewright.wording.lexicon import Lookup

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.problems import Place, Problem
    from pausewright.script.declared import Settings

    Where: TypeAlias = Callable[[int, int], Place]
    """From an offset in a text and a count of characters to their place."""

_MOST_WAYS: Final = 4
_MOST_TEXTS: Final = 8192
"""For one choice of ways: as many as some 2000 questions have."""
_MOST_SIGNS: Final = 600
"""A longer text is read anew each time."""


@frozen
class Spoken:
    """The forms of a piece of text; each may hold `letters.CLAUSE_END` at the same marks."""

    words: str
    """For the voice; may hold marks for sounds, see `letters.parts`."""
    shown: str
    """For captions."""
    written: str = ""
    """As it stands in the script."""
    because: tuple[str, ...] = ()
    """Which cues decided."""


@frozen
class Kept:
    """What reading a text gave."""

    spoken: Spoken
    asked: tuple[tuple[int, int, int], ...] = ()
    """Whose places were asked for: offset, count of characters, and length of the place."""
    problems: tuple[tuple[int, Problem], ...] = ()
    """Each with which of these places it has, -1 for a place that is not in the text."""

    def told(self, where: Where, problems: Problems) -> Spoken | None:
        """Add the problems at their places; None where these are not as long as they were."""
        places = [where(offset, n_signs) for offset, n_signs, _ in self.asked]
        if any(place.length != one[2] for place, one in zip(places, self.asked, strict=True)):
            return None
        for at, problem in self.problems:
            problems.extend((problem if at < 0 else replace(problem, place=places[at]),))
        return self.spoken


@dataclass(slots=True)
class Ways:
    """All that depends on the ways of reading that settings choose, and on nothing else."""

    settings: Settings
    lookups: dict[tuple[str, str], Lookup] = field(default_factory=dict)
    plain_words: dict[tuple[str, int], dict[str, int]] = field(default_factory=dict)
    """Runs already looked at, by language and lookup: which are said as they are written."""
    texts: dict[tuple[str, str, str], Kept] = field(default_factory=dict)
    """By text, language and voice."""

    def lookup(self, language: str, voice: str) -> Lookup:
        """Return the words with rules of their own for a language and voice."""
        key = (language, voice)
        if key not in self.lookups:
            self.lookups[key] = Lookup(self.settings, language, voice)
        return self.lookups[key]

    def keep(self, key: tuple[str, str, str], kept: Kept) -> None:
        """Keep what reading a text gave."""
        if len(key[0]) > _MOST_SIGNS:
            return
        if len(self.texts) >= _MOST_TEXTS:
            self.texts.clear()
        self.texts[key] = kept


_kept: OrderedDict[object, Ways] = OrderedDict()


def ways_of(settings: Settings) -> Ways:
    """Return the ways of reading that settings choose, with what was read so before."""
    styles = tuple(sorted(settings.styles.items()))
    key = (settings.words, settings.lexicons, styles, settings.zero)
    ways = _kept.pop(key, None) or Ways(settings)
    _kept[key] = ways
    if len(_kept) > _MOST_WAYS:
        _kept.popitem(last=False)
    return ways


def forget_readings() -> None:
    """Have every text read anew."""
    _kept.clear()


class Noting:
    """Notes the places that a reading asks for, and its problems."""

    def __init__(self, where: Where) -> None:
        """Take what gives the places."""
        self._where = where
        self._asked: list[tuple[int, int, int]] = []
        self._places: list[Place] = []
        self.problems = Problems()

    def where(self, offset: int, n_signs: int) -> Place:
        """Return the place of a part of the text."""
        place = replace(self._where(offset, n_signs))  # its own object, to be known again
        self._asked.append((offset, n_signs, place.length))
        self._places.append(place)
        return place

    def kept(self, spoken: Spoken) -> Kept:
        """Return what is to be kept of this reading."""
        numbers = {id(place): n for n, place in enumerate(self._places)}
        found = tuple((numbers.get(id(one.place), -1), one) for one in self.problems.in_order)
        return Kept(spoken, tuple(self._asked), found)
