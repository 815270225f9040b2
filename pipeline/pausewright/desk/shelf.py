"""The shelf: the tests of a folder, their text, and saving it so that nobody's change is lost.

A test is named by an id made from its file's name: pages hold no path, and none is taken from one.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
from difflib import SequenceMatcher
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.deliver.heard import heard_file
from pausewright.deliver.output_folder import CONFIDENTIAL, slug
from pausewright.deliver.script_set import scripts_of
from pausewright.files.claim import claimed
from pausewright.files.writing import unwritable, write_file, write_new_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILT_FILE, SCRIPT
from pausewright.intake.plain_file import file_bytes, mark, opened, resolved
from pausewright.problems import FileError, OutputError
from pausewright.tasks.new_script import write_new_script
from pausewright.tasks.outlines import saved

if TYPE_CHECKING:
    import io
    from collections.abc import Iterable

    from pausewright.desk.messages import Looked

OUT: Final = "out"
"""Folder of the results, as the command line has it."""
ROOMS: Final = "rooms"
"""Folder of the rooms, as the command line has it; each test has one of its own in it."""
ENDINGS: Final = (".mp3", ".wav", ".flac", ".m4a", ".mp4", ".ogg", ".pdf")
"""Endings of what a folder of tests may hold that can be checked."""
_LIST: Final = "packing-list.json"
_LINE: Final = re.compile(r"([^\r\n]*)(\r\n|\r|\n|$)")
_BOM: Final = "\ufeff"


@frozen
class Shelved:
    """A test of the folder."""

    id: str
    script: Path

    @property
    def name(self) -> str:
        """Name of its file without the ending."""
        return self.script.stem


@frozen
class Text:
    """A script's text as it stood on the disk."""

    text: str
    """Lines end in line feeds, whatever they end in on the disk."""
    mark: str
    """SHA-256 of the file's bytes."""


class ChangedElsewhereError(OutputError):
    """The file is not what the text was made from: nothing was written."""


class Shelf:
    """The folder."""

    def __init__(self, folder: Path) -> None:
        """Take the folder of the tests."""
        self.folder = folder
        self.out = folder / OUT

    def tests(self) -> tuple[Shelved, ...]:
        """Return the tests of the folder by name; none where it holds none."""
        try:
            scripts = scripts_of([self.folder])
        except FileError:
            return ()
        return tuple(
            Shelved(_id(one.name), one) for one in scripts if not one.is_symlink() or _is_here(one)
        )

    def test(self, test_id: str) -> Shelved | None:
        """Return a test by its id, or None."""
        return next((one for one in self.tests() if one.id == test_id), None)

    def new(self, title: str) -> Shelved:
        """Write a new test to start from; its file is named after the title.

        Raises
        ------
        OutputError
            If a file of that name is there, which is left as it is, or it cannot be written.
        """
        if not title.strip():
            raise OutputError("a test needs a name", "write one, as it shall be called here")
        file = self.folder / f"{slug(title)}.md"
        write_new_script(file)
        return Shelved(_id(file.name), file)

    def begin(self, title: str, text: str) -> Shelved:
        """Write a new test with a text; its file is named after the title.

        Raises
        ------
        OutputError
            If a file of that name is there, which is left as it is, or it cannot be written.
        """
        if not title.strip():
            raise OutputError("a test needs a name", "write one, as it shall be called here")
        file = self.folder / f"{slug(title)}.md"
        try:
            write_new_file(file, _plain(text))
        except FileExistsError:
            raise OutputError(
                f"‘{file.name}’ is there already and was left as it is", "choose another name"
            ) from None
        except OSError as error:
            raise unwritable(file, error, "choose a folder that you may write to") from error
        return Shelved(_id(file.name), file)

    def read(self, test: Shelved) -> Text:
        """Return a test's text.

        Raises
        ------
        FileError
            If it cannot be read.
        """
        content = file_bytes(test.script, SCRIPT, self.folder)
        return Text(_plain(_decoded(content, test)), _mark(content))

    def save(self, test: Shelved, text: str, base: str) -> Text:
        """Write a test's text, whole or not at all, if its file is still what `base` marks.

        Lines that did not change keep their ends, and so does a byte-order mark.

        Raises
        ------
        ChangedElsewhereError
            If the file has changed since, or is gone; nothing was written.
        OutputError
            If it cannot be written.
        """
        try:
            with claimed(test.script):
                before = file_bytes(test.script, SCRIPT, self.folder)
                if _mark(before) != base:
                    raise ChangedElsewhereError(
                        "this file was changed by another program or in another window meanwhile",
                        "look at both texts below: nothing was overwritten",
                    )
                content = _ended_as(_decoded(before, test), _plain(text)).encode("utf-8")
                if len(content) > SCRIPT.most_bytes:
                    raise OutputError(
                        f"the text is larger than {SCRIPT.most}, the most that is read",
                        f"make it smaller ({SCRIPT.because})",
                    )
                if content != before:
                    write_file(test.script, content)
        except FileError as gone:
            raise ChangedElsewhereError(
                gone.message, "your text is below: copy it, or save it as a file of its own"
            ) from gone
        except OSError as error:
            hint = "choose a folder that you may write to, and start the desk there"
            raise unwritable(test.script, error, hint) from error
        return Text(_plain(text), _mark(content))

    def save_beside(self, test: Shelved, text: str) -> Shelved:
        """Write a text as a test of its own beside another.

        Raises
        ------
        OutputError
            If it cannot be written.
        """
        for n in range(2, 100):
            file = self.folder / f"{test.name}-{n}.md"
            with contextlib.suppress(FileExistsError):
                try:
                    write_new_file(file, _plain(text))
                except FileExistsError:
                    raise
                except OSError as error:
                    raise unwritable(file, error, "choose another folder") from error
                return Shelved(_id(file.name), file)
        raise OutputError("there are too many copies of this test", "remove some of them")

    def written(self, test: Shelved) -> object:
        """Return what changes when the texts of the folder or the records of a test are written."""
        records = sorted((self.out / test.name / CONFIDENTIAL).glob("build-record_*.json"))
        heard = heard_file(test.script)
        beside = [one for one in (*records, heard) if one.exists()]
        return saved(test.script), tuple((str(one), mark(one)) for one in beside)

    def files_of(self, test: Shelved, looked: Looked) -> object:
        """Return what changes when a file is written or taken away that a test was read from.

        So do the files that were built of it.
        """
        folder = self.out / test.name
        built = {one.path for version in looked.versions for one in version.files}
        paths = (*(folder / path for path in sorted(built)), *map(Path, looked.opened))
        return tuple((str(path), mark(path)) for path in paths)

    def deliveries(self) -> dict[str, Path]:
        """Return what lies in the folder and can be checked, by id: whole builds and rooms first.

        A folder can be checked that holds a packing list or build records, or holds one that does.
        """
        files: list[Path] = []
        folders: dict[Path, None] = {}
        for root, inner, names in os.walk(self.folder):
            at = Path(root)
            inner[:] = sorted(one for one in inner if not one.startswith("."))
            files += [at / name for name in sorted(names) if _can_be_checked(name)]
            if at.name == CONFIDENTIAL:
                folders |= {at.parent: None}
            elif at != self.folder and any(name.endswith(_LIST) for name in names):
                folders |= {at: None}
        found = [*sorted(folders), *files]
        return {_id(one.relative_to(self.folder).as_posix()): one for one in found}

    def rooms_of(self, test: Shelved) -> Path:
        """Return the folder in which the rooms of a test are laid out."""
        return self.folder / ROOMS / test.name

    def day_of(self, test: Shelved) -> Path:
        """Return the folder of what is made on the day: incident sheets, excerpts."""
        return self.out / f"{test.name}-day"

    def own_files(self, test: Shelved) -> dict[str, Path]:
        """Return what is made of a test beside its build, by id: of the day, and proofs."""
        folders = (self.day_of(test), self.out / f"{test.name}-proof")
        found = [
            one
            for folder in folders
            for one in sorted(folder.glob("*"))
            if one.is_file() and not one.is_symlink() and not one.name.startswith(".")
        ]
        return {_id(one.relative_to(self.folder).as_posix()): one for one in found}

    def files(self, endings: tuple[str, ...]) -> dict[str, Path]:
        """Return files of the folder that end so, by id; hidden ones and links are left out."""
        found: list[Path] = []
        for root, inner, names in os.walk(self.folder):
            inner[:] = sorted(one for one in inner if not one.startswith("."))
            here = [Path(root) / name for name in sorted(names) if not name.startswith(".")]
            found += [one for one in here if one.suffix.lower() in endings and not one.is_symlink()]
        return {_id(one.relative_to(self.folder).as_posix()): one for one in found}

    def named(self, file: Path) -> str:
        """Return a file's name from the folder of the tests on."""
        return file.relative_to(self.folder).as_posix()

    def opened(self, file: Path) -> io.BufferedReader:
        """Open a file of the folder for reading; nothing outside it is reached.

        Raises
        ------
        PausewrightError
            If it is no plain file, lies outside, or cannot be read.
        """
        return opened(file, BUILT_FILE, self.folder)


def file_id(path: str) -> str:
    """Return the id of a file that a build wrote, from its path in the build's folder."""
    return _id(path)


def _id(name: str) -> str:
    return hashlib.sha256(name.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def _is_here(link: Path) -> bool:
    """Return whether a link leads to a file of its own folder."""
    return resolved(link).parent == resolved(link.parent)


def _can_be_checked(name: str) -> bool:
    return not name.startswith(".") and name.lower().endswith(ENDINGS)


def _mark(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _decoded(content: bytes, test: Shelved) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as why:
        raise FileError(
            f"the file ‘{test.script.name}’ is not UTF-8 text", "save it as UTF-8 in your editor"
        ) from why


def _plain(text: str) -> str:
    return text.removeprefix(_BOM).replace("\r\n", "\n").replace("\r", "\n")


def _ended_as(before: str, text: str) -> str:
    """Return a text whose lines end as those that it shares with the one before."""
    bom = _BOM if before.startswith(_BOM) else ""
    old = [(one[1], one[2]) for one in _LINE.finditer(before.removeprefix(_BOM)) if one[0]]
    ends = {end for _, end in old if end}
    if ends <= {"\n"}:
        return bom + text
    usual = max(ends, key=lambda end: sum(1 for _, one in old if one == end))
    lines = text.split("\n")
    found = [usual] * len(lines)
    if len(ends) > 1 and "\r" not in ends:  # which could meet a line feed and be one end with it
        for a, b, size in _shared([line for line, _ in old], lines):
            for n in range(size):
                found[b + n] = old[a + n][1] or usual
    found[-1] = ""
    return bom + "".join(line + end for line, end in zip(lines, found, strict=True))


def _shared(old: list[str], new: list[str]) -> Iterable[tuple[int, int, int]]:
    return SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
