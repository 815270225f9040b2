"""One paper judged by its content mark: still good, to be printed again, or changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.checker.papers.pdf_paper import read_paper
from pausewright.checker.promises.kept_promises import sheet_as_promised
from pausewright.checker.promises.promise import promise_of
from pausewright.checker.result.delivered import Delivered, FileRow, Room
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.room_files import named_in, told_of_paper
from pausewright.deliver.recheck_rooms import sheet_marks
from pausewright.deliver.version import made_versions
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import TrackError
from pausewright.records.record_files import read_record

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.delivered import FileState
    from pausewright.content_mark import Heading
    from pausewright.deliver.project import Project

SHEET: Final = "answer-sheet_"


def recheck_paper(paper: Path, project: Project | None, record: Path | None) -> Delivered:
    """Return whether a paper shows what is wanted now.

    Parameters
    ----------
    paper : a sheet or page of some edition, by its own name
    project : the script, which gives the answer sheets; None without it
    record : the build record of the wanted edition, which has the marks of all papers

    Raises
    ------
    TrackError
        If it is no paper of a build, or nothing given says what it should show.
    """
    read = read_paper(paper)
    heading = read.heading
    if heading is None:
        raise TrackError(
            f"‘{paper.name}’ does not say which version and edition it is",
            "give a paper, a track or a folder as it was built",
        )
    wanted, edition = _wanted(paper, heading, project, record)
    findings = []
    is_same = bool(wanted) and read.mark == wanted
    named = named_in(paper.name) or heading
    if read.unlike_built or named != heading or heading.edition != edition:
        told = told_of_paper(paper.name, named, read, edition, wanted)
        findings.append(told)
        is_same = told.code == "paper-older"
    elif not is_same:
        findings.append(
            Finding(
                "paper-differs",
                "error",
                f"‘{paper.name}’ shows something else than the paper of edition {edition}",
                "print it again from the folder of the build",
            )
        )
    is_other = any(one.code == "paper-differs" for one in findings)
    if project is not None and paper.name.startswith(SHEET) and not is_other:
        (version,) = made_versions(project, [heading.version_label])
        promise = promise_of(project.script, version.arrangement)
        findings += sheet_as_promised(paper, promise)
    state: FileState = "as listed" if heading.edition == edition else "older"
    sha256 = sha256_of(paper, kind=BUILT_FILE)
    row = FileRow(paper.name, state if is_same else "changed", sha256)
    room = Room(
        paper.name,
        heading.version_label,
        heading.edition,
        checks=(),
        tracks=(),
        files=(row,),
        findings=tuple(findings),
    )
    return Delivered((room,), is_folder=True, is_paper=True)


def _wanted(
    paper: Path, heading: Heading, project: Project | None, record: Path | None
) -> tuple[str, str]:
    """Return the mark that the paper should have, and the edition that it is compared with."""
    if record is not None:
        built = read_record(record)
        if built is None:
            raise TrackError(
                f"‘{record.name}’ is no build record that this version reads",
                "give the build-record file from the folder confidential",
            )
        for file in built.files:
            name = file.path.rpartition("/")[2].replace(built.edition, heading.edition)
            if name != paper.name or built.version_label != heading.version_label:
                continue
            if not file.content_mark:
                raise TrackError(
                    f"‘{paper.name}’ has no content mark: it stays in the office",
                    "give the whole folder of the build, which is compared byte by byte",
                )
            return file.content_mark, built.edition
        raise TrackError(
            f"‘{paper.name}’ is no paper of the version {built.version_label} of this record",
            f"give build-record_{heading.version_label}.json, and keep the name that the paper had",
        )
    if project is not None and paper.name.startswith(SHEET):
        marks = sheet_marks(project, as_text=paper.suffix == ".txt")
        if heading.version_label in marks:
            return marks[heading.version_label], project.edition
        raise TrackError(
            f"the script has no version {heading.version_label}", "give the script of this paper"
        )
    raise TrackError(
        "the script alone gives the answer sheet; other papers need what was built",
        f"add --record with build-record_{heading.version_label}.json",
    )
