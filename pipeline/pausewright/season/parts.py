"""Parts of versions, kept between runs: each a folder that is there whole or not at all.

A part is made in a folder of its own and given its name at the end, so two workers that make the
same one at once do not meet: who comes second finds it there. It counts only if every file has the
size and hash that were noted, so a lost disk cache leaves nothing that could be mistaken for it.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from typing import TYPE_CHECKING, Final

from pausewright.deliver.version_parts import Part, PartFile
from pausewright.files.writing import is_private, make_folder, write_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILD_RECORD, BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import OutputError, PausewrightError
from pausewright.records.record_files import read_as, record_text
from pausewright.records.season_shapes import KeptFile, KeptPart, SeasonRow

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FILES: Final = "files"
"""In a part's folder: what it wrote, as it will lie in the test's folder."""
NOTED: Final = "made.json"
_HALF: Final = ".half"
"""Ending of the folder in which a part is made."""


class LostPartError(OutputError):
    """A part that was made is not there, or not whole, where it is needed: it is made again.

    A disk lost it, or a network's file system does not show it to this machine yet.
    """


@frozen
class Kept:
    """A part as it is kept."""

    folder: Path
    """Of its files."""
    part: Part
    rows: tuple[SeasonRow, ...] = ()
    is_good: bool = True
    report: str = ""


class Parts:
    """The folder of parts; safe for several processes at once."""

    def __init__(self, work: Path) -> None:
        """Name the folder in which a season keeps things; nothing is read or written yet."""
        self._folder = work / "parts"

    def kept(self, name: str) -> Kept | None:
        """Return a part that is kept whole, or None."""
        at = self._folder / name
        noted = read_as(at / NOTED, KeptPart, BUILD_RECORD)
        if noted is None:
            return None
        for file in noted.files:
            try:
                found = sha256_of(at / FILES / file.path, kind=BUILT_FILE, inside=at)
            except PausewrightError:
                return None
            if found != file.sha256:
                return None
        files = tuple(PartFile(one.path, one.kind, one.content_mark) for one in noted.files)  # type: ignore[arg-type]
        part = Part(files, noted.notes)
        return Kept(at / FILES, part, noted.rows, noted.is_good, noted.report)

    def files_of(self, name: str) -> Path:
        """Return the folder that a part's files lie in."""
        return self._folder / name / FILES

    @contextlib.contextmanager
    def making(self, name: str) -> Iterator[Path]:
        """Give a new folder to make a part in; it is removed at the end, kept or not."""
        make_folder(self._folder, private=True)
        stage = self._folder / f"{name}.{secrets.token_hex(4)}{_HALF}"
        make_folder(stage, private=True)
        (stage / FILES).mkdir()
        try:
            yield stage / FILES
        finally:
            shutil.rmtree(stage, ignore_errors=True)

    def keep(self, name: str, made: Kept) -> None:
        """Give what was made in a folder of `making` its name, unless a whole one has it."""
        files = tuple(
            KeptFile(
                path=one.path,
                kind=one.kind,
                content_mark=one.content_mark,
                sha256=sha256_of(made.folder / one.path, kind=BUILT_FILE),
            )
            for one in made.part.files
        )
        noted = KeptPart(
            files=files,
            notes=made.part.notes,
            rows=made.rows,
            is_good=made.is_good,
            report=made.report,
        )
        stage, at = made.folder.parent, self._folder / name
        write_file(stage / NOTED, record_text(noted), private=True)
        try:
            stage.rename(at)
        except OSError:  # one is there: another worker's, or what a stop left
            if self.kept(name) is None:
                shutil.rmtree(at, ignore_errors=True)
                with contextlib.suppress(OSError):
                    stage.rename(at)

    def forget(self, name: str) -> None:
        """Remove a part that is not needed any more."""
        shutil.rmtree(self._folder / name, ignore_errors=True)

    def clear(self) -> None:
        """Remove what was half made; only where no worker is at work."""
        for one in self._folder.glob(f"*{_HALF}"):
            shutil.rmtree(one, ignore_errors=True)


def link_files(source: Path, target: Path, part: Part) -> None:
    """Let the files of a part appear in another folder too, with their rights; none is copied.

    Where a file system knows no links they are copied.
    """
    for one in part.files:
        old, new = source / one.path, target / one.path
        make_folder(new.parent, private=is_private(old.parent))
        try:
            os.link(old, new)
        except FileExistsError:
            raise
        except (OSError, NotImplementedError, AttributeError):
            shutil.copy2(old, new)
