"""The files of one folder against its packing list: what is there, what is lost, what is strange.

A paper of an older edition that shows the same as the listed one is told as such: it need not be
printed again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.strays import below, is_hidden
from pausewright.checker.papers.pdf_paper import ReadPaper, read_paper
from pausewright.checker.result.delivered import FileRow
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.needed import names_candidates
from pausewright.content_mark import Heading
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import NEEDS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.rooms.packed import Packed

COPY: Final = "copy the folder again from where the rooms were laid out"
PAPERS: Final = "papers/"
_NAMED: Final = re.compile(r"_([^_/]+)_([2-9A-HJ-NP-Z]{6})(?=[_.])")
"""Version label and edition in a paper's name."""


@frozen
class Held:
    """A file that is there."""

    path: Path
    name: str
    """From the folder of the list."""
    sha256: str
    """"" if it cannot be read."""


@dataclass(slots=True)
class FileComparison:
    """What the comparison of a folder with its list found."""

    edition: str
    """That of the list."""
    marks: Mapping[str, str] = field(default_factory=dict)
    """Of files, by name: the cause that is told of them elsewhere."""
    rows: list[FileRow] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    _renamed: list[tuple[str, str]] = field(default_factory=list)
    """Names on the list, and those here."""

    def compare(self, listed: Sequence[Packed], held: Mapping[str, Held]) -> None:
        """Compare files by name, and what is left over by its hash and its content mark."""
        names = {one.name for one in listed}
        lost = {one.name: one for one in listed if one.name not in held}
        for one in listed:
            there = held.get(one.name)
            if there is not None and there.sha256 == one.sha256:
                self.rows.append(FileRow(one.name, "as listed", there.sha256))
            elif there is not None:
                self._changed(one, there)
        for name, there in held.items():
            if name not in names:
                self._not_listed(there, lost)
        for name in lost:
            self.rows.append(FileRow(name, "missing", ""))
            self._tell(name, "file-missing", f"‘{name}’ is not there", COPY)
        self._tell_renamed(set(held))

    def _changed(self, listed: Packed, held: Held) -> None:
        self.rows.append(FileRow(held.name, "changed", held.sha256))
        says = ""
        heading = _read(held).heading if listed.name.startswith(PAPERS) else None
        if heading is not None and heading.edition != self.edition:
            says = f": it says edition {heading.edition}"
        self._tell(
            held.name,
            "file-changed",
            f"‘{held.name}’ is not the file that was laid out{says}",
            COPY,
        )

    def _not_listed(self, held: Held, lost: dict[str, Packed]) -> None:
        same = next((one for one in lost.values() if one.sha256 == held.sha256), None)
        if same is not None:
            del lost[same.name]
            self.rows.append(FileRow(held.name, "as listed", held.sha256))
            self._renamed.append((same.name, held.name))
            return
        if held.name.startswith(PAPERS) and self._is_older_paper(held, lost):
            return
        self.rows.append(FileRow(held.name, "not listed", held.sha256))
        if holds_codes(held.path, held.path.parent) or names_candidates(_read(held).text):
            mark = self.marks.get(held.name, "")
            self.findings.append(replace(codes_finding(held.name), one_cause=mark))
            return
        self._tell(
            held.name,
            "file-unknown",
            f"‘{held.name}’ is not on the packing list",
            "keep only what was laid out in the folder for the room",
        )

    def _is_older_paper(self, held: Held, lost: dict[str, Packed]) -> bool:
        """Judge a paper of another edition that lies in the place of a listed one."""
        own = named_in(held.name)
        if own is None:
            return False
        today = held.name.replace(f"_{own.edition}", f"_{self.edition}")
        one = lost.pop(today, None)
        if one is None:
            return False
        told = told_of_paper(held.name, own, _read(held), self.edition, one.content_mark)
        is_same = told.code == "paper-older"
        self.rows.append(FileRow(held.name, "older" if is_same else "changed", held.sha256))
        self.findings.append(replace(told, one_cause=self.marks.get(held.name, "")))
        return True

    def _tell_renamed(self, held: set[str]) -> None:
        """Tell of files under other names; of a whole folder once, with its files under it."""
        told: set[str] = set()
        for listed, here in self._renamed:
            folder, called = _folders_that_differ(listed, here)
            mark = self.marks.get(here, "")
            if folder and called and not any(one.startswith(f"{folder}/") for one in held):
                mark = f"folder {folder} is {called}"
            if mark and mark not in told and mark.startswith("folder "):
                told.add(mark)
                self.findings.append(
                    Finding(
                        "folder-renamed",
                        "error",
                        f"the folder ‘{folder}’ is called ‘{called}’ here",
                        f"rename it, or {COPY}",
                        one_cause=mark,
                    )
                )
            self.findings.append(
                Finding(
                    "file-renamed",
                    "error",
                    f"‘{listed}’ is called ‘{here}’ here",
                    f"rename it, or {COPY}",
                    one_cause=mark,
                )
            )

    def _tell(self, name: str, code: str, sentence: str, hint: str) -> None:
        mark = self.marks.get(name, "")
        self.findings.append(Finding(code, "error", sentence, hint, one_cause=mark))


def _folders_that_differ(listed: str, here: str) -> tuple[str, str]:
    """Return the folders by whose names two paths differ; "" for a path without such a one."""
    one, other, same = listed.split("/"), here.split("/"), 0
    while one and other and one[-1] == other[-1]:
        one.pop()
        other.pop()
        same += 1
    if same == 0 or (same == 1 and not (one and other)):
        return "", ""  # the file itself is called otherwise, or lies by itself elsewhere
    if not (one and other):  # the folder lies elsewhere under its own name
        parts = listed.split("/")
        name = parts[len(parts) - same]
        one, other = [*one, name], [*other, name]
    return "/".join(one), "/".join(other)


def hidden_codes(folder: Path, but: frozenset[str] = frozenset()) -> Iterator[Finding]:
    """Tell of lists with candidates' codes among hidden files and what lies in bins."""
    for path in below(folder, but):
        if path.is_file() and is_hidden(path, folder) and holds_codes(path, folder):
            yield codes_finding(path.relative_to(folder).as_posix())


def holds_codes(path: Path, inside: Path) -> bool:
    """Return whether a file is a list with candidates' codes."""
    try:
        return names_candidates(file_bytes(path, NEEDS, inside).decode("utf-8", "replace"))
    except PausewrightError:
        return False


def codes_finding(name: str) -> Finding:
    """Return what to say of a list with candidates' codes in the folder for a room."""
    return Finding(
        "list-on-stick",
        "error",
        f"‘{name}’ holds candidates' codes and lies in the folder for the room",
        "remove it here, and from the bin: it stays in the office",
    )


def named_in(name: str) -> Heading | None:
    """Return the version and the edition that the name of a paper has; None if it has none."""
    found = _NAMED.search(name)
    return None if found is None else Heading(found[1], found[2])


def told_of_paper(name: str, own: Heading, paper: ReadPaper, edition: str, wanted: str) -> Finding:
    """Return what to say of a paper that is not of the wanted edition, or not as it was built.

    Parameters
    ----------
    own : version and edition that its name has
    edition : the wanted one
    wanted : the content mark that it should have; "" if none is known
    """
    heading = paper.heading
    print_it = f"print that of edition {edition}, and take this one away"
    if heading is None:
        says = paper.unlike_built or "it does not say which version and edition it is"
    elif heading != own:
        says = f"it says version {heading.version_label}, edition {heading.edition}"
    elif paper.unlike_built:
        says = paper.unlike_built
    else:
        is_same = bool(wanted) and paper.mark == wanted
        return paper_finding(name, heading.edition, edition, is_same=is_same)
    return Finding(
        "paper-changed", "error", f"‘{name}’ is not the paper that was built: {says}", print_it
    )


def paper_finding(name: str, edition: str, wanted: str, *, is_same: bool) -> Finding:
    """Return what to say of a paper of another edition than the wanted one."""
    if is_same:
        return Finding(
            "paper-older",
            "warning",
            f"‘{name}’ is of edition {edition} and shows the same as that of edition {wanted}",
            "it need not be reprinted",
        )
    return Finding(
        "paper-differs",
        "error",
        f"‘{name}’ is of edition {edition} and shows something else than that of edition {wanted}",
        f"print that of edition {wanted}, and take this one away",
    )


def _read(held: Held) -> ReadPaper:
    """Return a paper; one without text for a file that cannot be read as one."""
    try:
        return read_paper(held.path)
    except PausewrightError:
        return ReadPaper("", None, "", "it cannot be read")
