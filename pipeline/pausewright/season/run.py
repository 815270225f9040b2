"""A season, made: found, read whole, then made test by test on an engine, each placed at once."""

from __future__ import annotations

import contextlib
import secrets
import time
from dataclasses import field, replace
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.files.claim import claimed
from pausewright.files.writing import make_folder, unwritable, write_file
from pausewright.frozen import frozen
from pausewright.intake.plain_file import resolved
from pausewright.problems import OutputError, Problems, ScriptError
from pausewright.season.alike import VoiceAsk, introduce
from pausewright.season.asks import Making, TestAsk, Where
from pausewright.season.inputs import find_scripts, inputs_mark, own_mark
from pausewright.season.known import Known
from pausewright.season.ledger import current_tests, making_mark, read_ledger
from pausewright.season.line import Entry
from pausewright.season.maker import Counts, Maker
from pausewright.season.parts import Parts
from pausewright.season.reading_all import read_all, read_here
from pausewright.season.store import place_in
from pausewright.season.table import table_of, write_table
from pausewright.season.told import Told

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from contextlib import AbstractContextManager
    from pathlib import Path

    from pausewright.problems import Problem
    from pausewright.records.season_shapes import SeasonTable
    from pausewright.season.asks import TestRead
    from pausewright.season.line import Admitted, Engine
    from pausewright.season.maker import Measured
    from pausewright.season.reading import Reading

WORK: Final = ".pausewright-season"
"""The folder in that of results in which a season keeps what it needs between runs."""

Carried: TypeAlias = Literal["auto", "folder", "engine", "store"]
"""How results travel: by a folder that all workers see, through the engine or an object store."""
_MUST_SEE: Final[Mapping[Carried, bool | None]] = {
    "auto": None,
    "folder": True,
    "engine": False,
    "store": False,
}


@frozen
class SeasonAsk:
    """What a person asks for."""

    folder: Path
    out: Path
    making: Making = field(default_factory=Making)
    goes_on: bool = False
    """Whether tests without errors are made although others have some."""
    carried: Carried = "auto"
    store: str = ""
    """URL of an object store, if results travel by one."""


@frozen
class SeasonMade:
    """What a season came to."""

    table: SeasonTable
    files: tuple[Path, ...]
    """The table in its three forms."""
    counts: Counts
    problems: tuple[Problem, ...] = ()
    """Of the tests that were left out, and warnings of those that were made."""
    reports: Mapping[str, str] = field(default_factory=dict)
    """Of tests that are not good, by name: in words."""
    n_current: int = 0
    """Tests that were there already."""
    took_s: float = 0.0
    notes: tuple[str, ...] = ()
    measured: tuple[Measured, ...] = ()
    """What each task took."""

    @property
    def is_good(self) -> bool:
        """Whether every track that was made is good."""
        return not self.reports


def make_season(
    ask: SeasonAsk,
    engine_of: Callable[[Path], AbstractContextManager[Engine]],
    told: Callable[[Told], None],
) -> SeasonMade:
    """Make what of a season is not there, or not as it should be.

    Parameters
    ----------
    ask : what is asked for
    engine_of : gives the engine when something has to be done, told a private folder for scratch
    told : how far it is

    Raises
    ------
    ScriptError
        With all problems of all scripts; nothing was voiced then. Not if it `goes_on`.
    PausewrightError
        If the folder, the engine or an output is at fault; what was placed stays.
    """
    started_s = time.monotonic()
    out = resolved(ask.out)
    scripts = find_scripts(ask.folder, out)
    where = Where(resolved(ask.folder), out, out / WORK)
    try:
        make_folder(where.work, private=True)
        with claimed(where.work / "season"):
            made = _Run(ask, where, scripts, told).made(engine_of)
    except OSError as error:
        raise unwritable(where.work, error) from error
    return replace(made, took_s=time.monotonic() - started_s)


class _Run:
    """One call."""

    def __init__(
        self, ask: SeasonAsk, where: Where, scripts: tuple[Path, ...], told: Callable[[Told], None]
    ) -> None:
        self._ask = ask
        self._where = where
        self._told = told
        mark = making_mark(ask.making)
        marks = {script: inputs_mark(script, where.out) for script in scripts}
        before = read_ledger(where, mark)
        current = current_tests(where, before, marks)
        self._known = Known(where, mark, current, marks, before)
        self._asks = [
            TestAsk(where, script, own_mark(script), ask.making)
            for script in scripts
            if script.stem not in current
        ]

    def made(self, engine_of: Callable[[Path], AbstractContextManager[Engine]]) -> SeasonMade:
        """Read what has to be read, make what has to be made, and write the table."""
        Parts(self._where.work).clear()
        if not self._asks:
            return self._written(Counts(), ())
        readings = read_here(self._asks, self._tell_read)
        with contextlib.ExitStack() as stack:
            engine = None
            if readings is None:
                engine = stack.enter_context(engine_of(self._where.work))
                readings = read_all(self._asks, engine, self._tell_read)
            problems = self._refused(readings)
            for one in readings:
                self._known.read(one)
            due = [one.test for one in readings if one.test is not None and one.test.due]
            if not due:
                return self._written(Counts(), problems)
            if engine is None:
                engine = stack.enter_context(engine_of(self._where.work))
            content = secrets.token_hex(16)
            store, notes = "", list[str]()
            if self._ask.store:
                place = place_in(self._ask.store, self._where.work, content, notes)
                store = stack.enter_context(place)
            admitted = self._admitted(engine, due, content, store)
            where = replace(self._where, is_shared=admitted.see_folder, store=store)
            maker = Maker(where, self._known, engine, self._told)
            try:
                maker.make(due)
            finally:
                self._known.save()
        made = self._written(maker.counts, problems, (*admitted.notes, *notes))
        return replace(made, measured=tuple(maker.measured))

    def _tell_read(self, n_done: int, n_all: int, name: str) -> None:
        self._told(Told("reading", n_done, n_all, name))

    def _refused(self, readings: list[Reading]) -> tuple[Problem, ...]:
        """Return all problems; raise if a test has errors and the others are not to go on."""
        problems = Problems()
        for one in readings:
            if one.test is not None:
                problems.extend(one.test.warnings)
            if one.fault is not None:
                problems.extend(one.fault.problems)
                self._known.unreadable(one)
        if self._known.gaps and not self._ask.goes_on:
            raise ScriptError(problems.all)
        return problems.all

    def _admitted(self, engine: Engine, due: list[TestRead], content: str, store: str) -> Admitted:
        """Compare the workers with this machine, before anything is voiced."""
        voices: dict[str, VoiceAsk] = {}
        for read in due:
            for need in read.takes.values():
                name = need.utterance.speech.voice
                voices.setdefault(name, VoiceAsk(need.setting.folder, name))
        asked = tuple(voices.values())
        mark = self._where.work / "here"
        write_file(mark, content, private=True)
        must_see = _MUST_SEE[self._ask.carried]
        entry = Entry(introduce(asked, None, ""), asked, mark, content, must_see, store)
        admitted = engine.admit(entry)
        if not admitted.n_voicing:
            raise OutputError(
                "no worker gives the same samples as this machine, so none may voice",
                "make the season on this machine, without --scheduler, or from a machine with a "
                "processor like theirs",
            )
        return admitted

    def _written(
        self, counts: Counts, problems: tuple[Problem, ...], notes: tuple[str, ...] = ()
    ) -> SeasonMade:
        known = self._known
        known.save()
        table = table_of(known.rows(), known.gaps)
        files = write_table(self._where.out, table)
        return SeasonMade(
            table, files, counts, problems, dict(known.reports), known.n_current, notes=notes
        )
