"""What the pages of one desk share: its folder, its workers, what was read of each test."""

from __future__ import annotations

import asyncio
import contextlib
import shutil
import time
from concurrent.futures import Future
from typing import TYPE_CHECKING, Final

import msgspec

from pausewright.desk.history import History
from pausewright.desk.jobs import Jobs
from pausewright.desk.messages import Choices, Look, Looked, Refused
from pausewright.desk.shelf import Shelf
from pausewright.desk.try_messages import Row
from pausewright.desk.workers import Worker
from pausewright.files.writing import make_folder, unwritable
from pausewright.frozen import frozen
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.desk.messages import Answer, Ask
    from pausewright.desk.shelf import Shelved

HELD: Final = ".pausewright-desk"
"""Folder beside the tests, for its owner only, of what was handed to the desk and what it shows;
removed when the desk ends."""
_USUAL: Final = Choices()
FRESH_S: Final = 20.0
"""A reading is looked over again after that: sounds and pictures may have changed."""


@frozen
class _Read:
    """What was read of a test, and what stood on the disk."""

    written: object
    """Before it was read."""
    files: object
    """After it."""
    looked: Looked
    at_s: float


class Room:
    """The desk's own things, for as long as it is open."""

    def __init__(self, folder: Path) -> None:
        """Take the folder of the tests; no worker is started yet."""
        self.shelf = Shelf(folder)
        self.jobs = Jobs(folder, self.shelf.out)
        self.used_s = time.monotonic()
        self._reader = Worker()
        """Uses what it read of equal texts before."""
        self._whole_reader = Worker(is_patient=True)
        """Reads in the background what was shown, wholly anew."""
        self._is_doubted = False
        """Whether the two did not agree: then the first forgets what it read."""
        self._read: dict[str, _Read] = {}
        self._reading: dict[tuple[str, bool], tuple[object, Future[Answer]]] = {}
        """By test, and whether it is read wholly anew."""
        self._histories: dict[str, History] = {}
        self._held = folder / HELD

    def used(self) -> None:
        """Note that somebody uses the desk."""
        self.used_s = time.monotonic()

    def held(self) -> Path:
        """Return the folder for what is handed in and shown, made if it is not there.

        Raises
        ------
        OutputError
            If it cannot be made.
        """
        try:
            if self._held.is_symlink():
                self._held.unlink()
            make_folder(self._held, private=True)
        except OSError as error:
            raise unwritable(self._held, error, "choose a folder that you may write to") from error
        return self._held

    def history(self, test: Shelved) -> History:
        """Return the states of a test's text."""
        return self._histories.setdefault(test.id, History())

    def clear(self) -> None:
        """Remove what was handed in and shown, of this desk or of one that was ended by force."""
        with contextlib.suppress(OSError):
            if self._held.is_symlink():
                self._held.unlink()
            else:
                shutil.rmtree(self._held, ignore_errors=True)

    def end(self) -> None:
        """End all workers and remove what was handed in and shown."""
        self.jobs.end()
        self._reader.end()
        self._whole_reader.end()
        self.clear()

    async def ask(self, ask: Ask, wait_s: float = 60.0) -> Answer:
        """Have the reader answer something short."""
        future = asyncio.wrap_future(self._reader.ask(ask))
        try:
            return await asyncio.wait_for(future, wait_s)
        except TimeoutError:
            return Refused(
                "this takes too long", "try it again, or end the desk and start it again"
            )

    async def looked(self, test: Shelved, wait_s: float = 0.1) -> Looked | None:
        """Return the state of a test; None if it is still being read after `wait_s`.

        A reading that is a while old is shown, and all is read anew meanwhile.
        """
        written = self.shelf.written(test)
        read = self._valid(test, written)
        if read is not None:
            if time.monotonic() - read.at_s > FRESH_S:
                self._begin(test, written, is_whole=True)
            return read.looked
        future = self._begin(test, written)
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(asyncio.shield(asyncio.wrap_future(future)), wait_s)
        read = self._valid(test, written)
        return read.looked if read is not None else None

    def known(self, test: Shelved) -> Looked | None:
        """Return the state of a test as far as it is read; nothing is begun."""
        read = self._valid(test, self.shelf.written(test))
        return read.looked if read is not None else None

    async def whole(self, test: Shelved, wait_s: float) -> bool:
        """Have a test read wholly anew; return whether something else is shown now."""
        before = self._read.get(test.id)
        future = self._begin(test, self.shelf.written(test), is_whole=True)
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(asyncio.shield(asyncio.wrap_future(future)), wait_s)
        after = self._read.get(test.id)
        return before is None or after is None or before.looked != after.looked

    def title(self, test: Shelved, looked: Looked | None) -> str:
        """Return what a test is called: its title, or the name of its file while that is not known.

        While it is read again, it is called as before.
        """
        read = self._read.get(test.id)
        last = looked or (read.looked if read is not None else None)
        return (last.title if last is not None else "") or one_line(test.name)

    def _valid(self, test: Shelved, written: object) -> _Read | None:
        """Return what was read of a test, if nothing has changed on the disk since."""
        read = self._read.get(test.id)
        if read is None or read.written != written:
            return None
        return read if read.files == self.shelf.files_of(test, read.looked) else None

    def _begin(self, test: Shelved, written: object, *, is_whole: bool = False) -> Future[Answer]:
        """Have a test read, unless that is being done."""
        begun = self._reading.get((test.id, is_whole))
        if begun is not None and begun[0] == written and not begun[1].done():
            return begun[1]
        future: Future[Answer] = Future()
        self._reading[test.id, is_whole] = written, future
        ask = Look(str(test.script), str(self.shelf.out), is_whole or self._is_doubted)
        if not is_whole:
            self._is_doubted = False
        asked = (self._whole_reader if is_whole else self._reader).ask(ask)

        def take(done: Future[Answer]) -> None:
            self._take(test, written, done.result(), is_whole=is_whole)
            future.set_result(done.result())

        asked.add_done_callback(take)
        return future

    def _take(self, test: Shelved, written: object, answer: Answer, *, is_whole: bool) -> None:
        """Take what was read; where both readings of one text differ, the whole one counts."""
        if isinstance(answer, Looked):
            looked = answer
        elif isinstance(answer, Refused):
            looked = Looked("", 0, "", answer.problems or _as_row(test, answer), 0, (), _USUAL)
        else:
            return
        before = self._read.get(test.id)
        if is_whole and before is not None:
            if before.written != written:
                return  # of a text that was changed since
            self._is_doubted |= _of_text(before.looked) != _of_text(looked)
        files = self.shelf.files_of(test, looked)
        self._read[test.id] = _Read(written, files, looked, time.monotonic())


def _of_text(looked: Looked) -> Looked:
    """Return what was read of a text, without what was built of it."""
    return msgspec.structs.replace(looked, versions=(), choices=_USUAL, opened=())


def _as_row(test: Shelved, refused: Refused) -> tuple[Row, ...]:
    """Return what keeps a test from being read, as a problem of its first line."""
    own = Row("error", refused.message, refused.hint, test.script.name, 1, 1, 1, is_own=True)
    return (own,)
