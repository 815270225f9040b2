"""The words of one language, read from its file in `languages`.

A language is one file; what a file does not hold has no words in it, and what has no words is a
problem for the author, never a guess.
"""

from __future__ import annotations

import tomllib
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from pausewright.frozen import frozen
from pausewright.package_data import package_folder
from pausewright.script.wording_styles import STYLES

if TYPE_CHECKING:
    from collections.abc import Mapping

Table: TypeAlias = "Mapping[str, Any]"
"""A table of a language's file, by its keys."""
_FOLDER: Final = "pausewright.wording.languages"


@frozen
class Unit:
    """A unit's name for one and for several."""

    one: str
    many: str
    is_length: bool = False
    """Whether its powers are named square and cubic."""
    doubtful: bool = False
    """Whether its symbol is as often a word or a letter."""


@frozen
class Currency:
    """The names of a currency and its hundredth part; `gender` as in the language's file."""

    one: str
    many: str
    part_one: str = ""
    part_many: str = ""
    gender: str = ""
    part_gender: str = ""


class Language:
    """The file of one language, as its region has it."""

    def __init__(self, data: Table, region: str) -> None:
        """Take the file's content; `region` is for example "US"."""
        self.tag: str = data["tag"]
        self.region = region
        self.needs_review: bool = data["needs_review"]
        """Whether nothing but libraries and grammars stands behind the file so far."""
        own: Table = data.get("region", {}).get(region, {})
        self._data = {
            name: {**value, **own.get(name, {})} if isinstance(value, dict) else value
            for name, value in data.items()
        }
        self._spelling: Mapping[str, str] = own.get("spelling", {})
        self._lists: dict[tuple[str, str], frozenset[str]] = {}
        self.day_first: bool = own.get("order", self.table("calendar").get("order")) != "mdy"

    def table(self, name: str) -> Table:
        """Return one table of the file; empty if it has none."""
        found: Table = self._data.get(name, {})
        return found

    def has(self, name: str) -> bool:
        """Say whether the file has this table."""
        return name in self._data

    def listed(self, table: str, name: str = "words") -> frozenset[str]:
        """Return a list of words of a table; empty if the file has none."""
        key = (table, name)
        if key not in self._lists:
            self._lists[key] = frozenset(self.table(table).get(name, ()))
        return self._lists[key]

    def word(self, name: str) -> str:
        """Return a word of the table `words`; "" if the file has none."""
        return str(self.table("words").get(name, ""))

    def sentence(self, name: str) -> str:
        """Return a built-in sentence with its fields in braces; "" if the file has none."""
        return str(self.table("sentences").get(name, ""))

    @property
    def reading_ordinals(self) -> tuple[str, ...]:
        """The first reading, the second …, as `{reading-th}` says them; () if there are none."""
        return tuple(self.table("sentences").get("readings", ()))

    def pair(self, name: str, *, one: bool) -> str:
        """Return a word for one or for several."""
        return str(self.table("words")[name][0 if one else 1])

    def style(self, name: str) -> str:
        """Return which way of reading is usual: what the file says, else the first one known."""
        return str(self.table("styles").get(name, STYLES[name].choices[0]))

    def spelled(self, words: str) -> str:
        """Return words in the region's spelling."""
        if not self._spelling:
            return words
        return " ".join(self._spelled_word(word) for word in words.split(" "))

    def _spelled_word(self, word: str) -> str:
        for theirs, ours in self._spelling.items():
            if word.endswith(theirs):
                return word.removesuffix(theirs) + ours
        return word

    @cached_property
    def units(self) -> Mapping[str, Unit]:
        """Return every symbol of a unit, with its prefixes, and the unit's names."""
        tables = self.table("units")
        prefixes = self.table("prefixes")
        lists = tables.get("lists", {})
        lengths, doubtful = set(lists.get("lengths", ())), set(lists.get("doubtful", ()))
        found: dict[str, Unit] = {}

        def add(symbol: str, one: str, many: str) -> None:
            found[symbol] = Unit(
                self.spelled(one), self.spelled(many), symbol in lengths, symbol in doubtful
            )

        for symbol, (one, many, some) in tables.get("prefixed", {}).items():
            add(symbol, one, many)
            for prefix in some.split():
                name = prefixes[prefix]
                add(prefix + symbol, name + one, name + many)
                if prefix == "µ":
                    add("μ" + symbol, name + one, name + many)
        for symbol, (one, many) in {
            **tables.get("plain", {}),
            **tables.get("one_word", {}),
        }.items():
            add(symbol, one, many)
        return found

    @cached_property
    def unit_names(self) -> frozenset[str]:
        """Return the names of single units that are one word."""
        names = {unit.one for unit in self.units.values() if " " not in unit.one}
        return frozenset(names | self.listed("measures", "other_units"))

    @cached_property
    def currencies(self) -> Mapping[str, Currency]:
        """Return currencies by their sign."""
        return {sign: Currency(**names) for sign, names in self.table("currencies").items()}


@cache
def language_for(tag: str) -> Language | None:
    """Return the words of a language, or None if it has no file.

    The part before the first hyphen names the file; the last part is the region.
    """
    main, _, rest = tag.partition("-")
    file = package_folder(_FOLDER) / f"{main.lower()}.toml"
    if not main.isalpha() or not file.is_file():
        return None
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    return Language(data, rest.rpartition("-")[2].upper())
