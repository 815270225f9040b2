"""The files of one folder against its packing list: what is there, what is lost, what is strange.

A paper of an older edition that shows the same as the listed one is told as such: it need not be
printed again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.checker.papers.pdf_paper import ReadPaper, read_paper
from pausewright.checker.result.delivered import FileRow
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.needed import seated_of
from pausewright.content_mark import Heading
from pausewright.frozen import frozen
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.rooms.packed import Packed
    from pausewright.problems import Severity

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
    rows: list[FileRow] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

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
            self._tell("file-missing", f"‘{name}’ is not there", COPY)

    def _changed(self, listed: Packed, held: Held) -> None:
        self.rows.append(FileRow(held.name, "changed", held.sha256))
        says = ""
        heading = _read(held).heading if listed.name.startswith(PAPERS) else None
        if heading is not None and heading.edition != self.edition:
            says = f": it says edition {heading.edition}"
        self._tell("file-changed", f"‘{held.name}’ is not the file that was laid out{says}", COPY)

    def _not_listed(self, held: Held, lost: dict[str, Packed]) -> None:
        same = next((one for one in lost.values() if one.sha256 == held.sha256), None)
        if same is not None:
            del lost[same.name]
            self.rows.append(FileRow(held.name, "not listed", held.sha256))
            self._tell(
                "file-renamed",
                f"‘{same.name}’ is called ‘{held.name}’ here",
                f"rename it, or {COPY}",
            )
            return
        if held.name.startswith(PAPERS) and self._is_older_paper(held, lost):
            return
        self.rows.append(FileRow(held.name, "not listed", held.sha256))
        if seated_of(_read(held).text):
            self._tell(
                "list-on-stick",
                "the list of who sits where lies in the folder for the room",
                "remove it here: it holds candidates' codes and stays in the office",
            )
            return
        self._tell(
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
        self.findings.append(told)
        return True

    def _tell(self, code: str, sentence: str, hint: str, severity: Severity = "error") -> None:
        self.findings.append(Finding(code, severity, sentence, hint))


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
