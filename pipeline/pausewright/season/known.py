"""What is known of the tests of a season: rows of the table, what was left out, and the ledger."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Final

from pausewright.records.season_shapes import KeptTest, KeptVersion, SeasonGap
from pausewright.season.inputs import path_of, rows_below
from pausewright.season.ledger import write_ledger
from pausewright.season.rows import rows_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from pausewright.records.season_shapes import SeasonRow
    from pausewright.season.asks import Fault, TestRead, Where
    from pausewright.season.reading import Reading

_SAVED_EVERY_S: Final = 5.0


class Known:
    """All tests, by name."""

    def __init__(
        self,
        where: Where,
        mark: str,
        current: Mapping[str, KeptTest],
        marks: Mapping[Path, str],
        before: Mapping[str, KeptTest],
    ) -> None:
        """Begin with the tests that are current.

        Parameters
        ----------
        where : the season
        mark : of what all tests have in common
        current : tests that are there
        marks : of all scripts: `inputs.inputs_mark`
        before : all tests as the run before knew them
        """
        self._where = where
        self._mark = mark
        self._tests = dict(current)
        self._marks = marks
        self._files_before = {
            name: [where.folder / path_of(row) for row in one.opened]
            for name, one in before.items()
        }
        self._opened: dict[str, set[str]] = {}
        self._refused: dict[str, tuple[SeasonRow, ...]] = {}
        self._saved_s = 0.0
        self.gaps: list[SeasonGap] = []
        self.reports: dict[str, str] = {}
        """Of tests that are not good, in words."""
        self.n_current = len(current)

    def read(self, reading: Reading) -> None:
        """Note a test that was read; one that is current needs nothing more."""
        self._opened[reading.script.stem] = set(reading.opened)
        test = reading.test
        if test is not None and not test.due:
            self.n_current += 1
            files = self._files_before.get(test.ask.name, ())  # pictures are not read with it
            self.placed(test, {}, rows_below(files, self._where))

    def unreadable(self, reading: Reading) -> None:
        """Note a test whose script has errors."""
        problems = () if reading.fault is None else reading.fault.problems
        n_errors = sum(one.severity == "error" for one in problems)
        what = "1 error" if n_errors == 1 else f"{n_errors} errors"
        name = reading.script.stem
        self.gaps.append(SeasonGap(test=name, why=f"its script has {what}", hint="correct it"))

    def placed(
        self, read: TestRead, rows: Mapping[str, Sequence[SeasonRow]], opened: Iterable[str]
    ) -> None:
        """Note a test that lies in its place, with the rows of what was made now, by label."""
        name, script = read.ask.name, read.ask.script
        files = self._opened.get(name, set()) | set(opened)
        before = {label: found for label, found in self._before(read).items() if label not in rows}
        all_rows = {**before, **rows}
        self._tests[name] = KeptTest(
            script=script.relative_to(read.ask.where.folder).as_posix(),
            inputs=self._marks[script],
            edition=read.edition,
            title=read.title,
            versions=tuple(
                KeptVersion(label=one.label, key=one.key, rows=tuple(all_rows.get(one.label, ())))
                for one in read.versions
            ),
            opened=tuple(sorted(files)),
        )
        if time.monotonic() - self._saved_s > _SAVED_EVERY_S:
            self.save()

    def not_good(self, read: TestRead, rows: Iterable[SeasonRow], report: str) -> None:
        """Note a test whose check failed: it is not placed, and made again next time."""
        self._refused[read.ask.name] = tuple(row.undelivered() for row in rows)
        self.reports[read.ask.name] = report

    def not_made(self, read: TestRead, fault: Fault) -> None:
        """Note a test that could not be made."""
        self.gaps.append(SeasonGap(test=read.ask.name, why=fault.message, hint=fault.hint))

    def rows(self) -> Iterable[SeasonRow]:
        """Return the rows of all tests."""
        for one in self._tests.values():
            for version in one.versions:
                yield from version.rows
        for rows in self._refused.values():
            yield from rows

    def save(self) -> None:
        """Write the ledger for the next run; raises OSError."""
        write_ledger(self._where, self._mark, self._tests)
        self._saved_s = time.monotonic()

    def _before(self, read: TestRead) -> Mapping[str, Sequence[SeasonRow]]:
        """Return the rows of versions that were there before: from what lies beside them."""
        folder = self._where.out / read.ask.name
        return {
            one.label: rows_of(read.ask.name, folder, one.label, is_delivered=True)
            for one in read.versions
            if not one.is_due
        }
