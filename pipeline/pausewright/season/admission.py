"""Which workers may do what: kept as workers come and go, by what each said of itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.problems import OutputError
from pausewright.season.alike import Introduction, sounds_alike, unlike
from pausewright.season.line import Admitted

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from pausewright.season.line import Entry


class Admission:
    """The workers that were asked who they are, by their addresses."""

    def __init__(self, entry: Entry) -> None:
        """Admit nobody yet."""
        self.entry = entry
        self.see_folder = False
        self._voicing: set[str] = set()
        self._silent: set[str] = set()
        self._refused: dict[str, str] = {}

    @property
    def known(self) -> frozenset[str]:
        """All that were asked."""
        return frozenset(self._voicing | self._silent | self._refused.keys())

    def may(self, *, voice: bool) -> frozenset[str]:
        """Return the workers that may be given a task; of one that voices only those that may."""
        return frozenset(self._voicing if voice else self._voicing | self._silent)

    def first(self, said: Mapping[str, Introduction | str]) -> Admitted:
        """Take the workers that are there at the beginning.

        Parameters
        ----------
        said : what each said of itself; in place of it why it could not answer

        Raises
        ------
        OutputError
            If one is unlike this machine, or does not see a folder that it must see.
        """
        for address, one in said.items():
            why = one if isinstance(one, str) else unlike(self.entry.mine, one)
            if why:
                raise OutputError(
                    f"the worker {address} does not make the same bytes: {why}",
                    "install the same Pausewright, packages and voices on all machines",
                )
        answers = {at: one for at, one in said.items() if isinstance(one, Introduction)}
        for address, one in answers.items():
            if one.store_fault:
                raise OutputError(
                    f"the worker {address} does not reach the store: {one.store_fault}",
                    "give it the store’s library and its settings: docs/season.md says how",
                )
        blind = [address for address, one in answers.items() if not one.sees_folder]
        if self.entry.must_see and blind:
            raise OutputError(
                f"the worker {blind[0]} does not see ‘{self.entry.mark.parent}’",
                "let it see that folder at the same path, or write --results engine",
            )
        self.see_folder = not blind and self.entry.must_see is not False
        notes = []
        for address, one in answers.items():
            self.take(address, one)
            if address in self._silent:
                notes.append(
                    f"the worker {address} ({one.host}) sounds otherwise: it voices nothing"
                )
        if blind and self.entry.must_see is None:
            notes.append("not every worker sees the season’s folder: results travel by the engine")
        return Admitted(len(answers), len(self._voicing), self.see_folder, tuple(notes))

    def take(self, address: str, said: Introduction | str) -> None:
        """Take one more worker, if it is like this machine; else it is given nothing."""
        why = said if isinstance(said, str) else unlike(self.entry.mine, said)
        if not why and isinstance(said, Introduction):
            if self.see_folder and not said.sees_folder:
                why = "it does not see the season’s folder"
            elif said.store_fault:
                why = said.store_fault
            elif sounds_alike(self.entry.mine, said):
                self._voicing.add(address)
            else:
                self._silent.add(address)
        if why:
            self._refused[address] = why

    def keep(self, living: Collection[str]) -> None:
        """Forget the workers that are gone."""
        self._voicing &= set(living)
        self._silent &= set(living)
        self._refused = {at: why for at, why in self._refused.items() if at in living}
