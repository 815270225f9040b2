"""One version on its way into files: what every output is made from, and what it gives back."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.content_mark import text_mark
from pausewright.deliver.output_folder import CONFIDENTIAL, slug, write_text
from pausewright.deliver.signed import Standing, signed_marks
from pausewright.files.writing import make_folder, write_file
from pausewright.frozen import frozen
from pausewright.records.record_files import record_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.captions.cues import Cue
    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.build_options import Options
    from pausewright.deliver.element_sounds import ElementSounds
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.plan.timeline import Timeline
    from pausewright.problems import Problem
    from pausewright.records.shapes import BuildRecord
    from pausewright.records.signed_shapes import Signature
    from pausewright.script.declared import Settings
    from pausewright.voice.recording_report import RecordingReport
    from pausewright.wording.line_elements import Utterance

FileKind: TypeAlias = Literal[
    "track",
    "piece",
    "sound-check",
    "captions",
    "video",
    "transcript",
    "room-screen",
    "staff-notes",
    "answer-sheet",
    "answer-sheet-text",
    "mark-scheme",
    "running-sheet",
    "running-sheet-text",
    "instructions",
    "instructions-paper",
    "reader-screen",
    "reader-copy",
    "interpreter-copy",
    "pausing-sheet",
    "measured",
    "running-times",
    "contents",
    "full-transcript",
    "basis",
    "report",
    "packing-list",
    "record",
]
"""What a file is, as build records say it; a record does not list itself.

Where each kind goes when rooms are laid out stands in `deliver.room_places`.
"""
OFFICE: Final[frozenset[FileKind]] = frozenset(
    {
        "mark-scheme",
        "measured",
        "running-times",
        "contents",
        "full-transcript",
        "basis",
        "report",
        "packing-list",
        "record",
    }
)
"""Kinds that no room sees, so that nothing is printed or played from them: without a mark."""


@frozen
class OutputFile:
    """A file that was written."""

    path: Path
    kind: FileKind
    content_mark: str = ""
    """Of what it shows or says; "" for kinds that have none."""


@frozen
class Output:
    """What one output came to."""

    files: tuple[OutputFile, ...] = ()
    notes: tuple[str, ...] = ()
    """What the user is told, in sentences."""


@dataclass(slots=True)
class Job:
    """A version that is voiced and laid out, and what has become of it so far."""

    project: Project
    options: Options
    version: Version
    key: str
    """Its build key."""
    stage: Path
    """The folder that all is written into."""
    line: Timeline
    cues: Sequence[Cue]
    """Captions that candidates may see."""
    sounds: ElementSounds
    voiced: RecordingReport
    sound_check: tuple[Utterance, ...] = ()
    """What its sound check says; () if it has none."""
    notes: list[str] = field(default_factory=list)
    files: list[OutputFile] = field(default_factory=list)
    """Those of the outputs before."""
    signatures: tuple[Signature, ...] = ()
    """What was signed of this version, whether it still holds or not."""
    standing: Standing = field(default_factory=Standing)
    """What of it holds for the track; known once that is written."""
    checked: list[tuple[Track, CheckResult]] = field(default_factory=list)
    """What the check found on tracks, videos and joined pieces; empty before it."""

    @property
    def label(self) -> str:
        """What the room sees."""
        return self.version.label

    @property
    def edition(self) -> str:
        """The mark that is the same on track and papers."""
        return self.project.edition

    @property
    def signed(self) -> frozenset[str]:
        """Content marks of papers that are signed: others say that they are drafts."""
        return signed_marks(self.signatures)

    @property
    def settings(self) -> Settings:
        """Those of the version."""
        return self.version.script.settings

    @property
    def name(self) -> str:
        """What the names of all files of the room begin with."""
        return f"{slug(self.settings.title)}_{self.label}_{self.edition}"

    @property
    def warnings(self) -> tuple[Problem, ...]:
        """What should be looked at in the script and in its arrangement."""
        return (*self.project.warnings, *self.version.warnings)

    @property
    def room(self) -> Path:
        """The folder that goes to the room."""
        return self.stage / f"version-{self.label}"

    @property
    def staff(self) -> Path:
        """The folder of the staff's papers."""
        return self.stage / "print" / "staff"

    @property
    def checks(self) -> tuple[CheckResult, ...]:
        """The results of the check alone."""
        return tuple(result for _, result in self.checked)

    def paths(self, *kinds: FileKind) -> list[Path]:
        """Return the files of these kinds that were written, in their order."""
        return [one.path for one in self.files if one.kind in kinds]

    def add(self, output: Output) -> None:
        """Note what one more output wrote."""
        self.files += output.files
        self.notes += output.notes

    def beside(self, ending: str, kind: FileKind, text: str) -> OutputFile:
        """Write a text that goes to the room, beside the track."""
        return written(self.room / f"{self.name}{ending}", kind, text)

    def confidential(self, name: str, kind: FileKind, text: str) -> OutputFile:
        """Write a text that only its owner can open."""
        return written(self.stage / CONFIDENTIAL / name, kind, text, private=True)


def write_record(stage: Path, label: str, record: BuildRecord) -> Path:
    """Write the build record of a version into a stage; return where."""
    file = stage / CONFIDENTIAL / f"build-record_{label}.json"
    write_text(file, record_text(record), private=True)
    return file


def written_paper(file: Path, kind: FileKind, paper: Paper, *, private: bool = False) -> OutputFile:
    """Write a paper as PDF; its folder is made."""
    make_folder(file.parent, private=private and file.parent.name == CONFIDENTIAL)
    write_file(file, paper.pdf, private=private)
    return OutputFile(file, kind, "" if kind in OFFICE else paper.mark)


def written(file: Path, kind: FileKind, text: str, *, private: bool = False) -> OutputFile:
    """Write a text file; its folder is made."""
    write_text(file, text, private=private)
    return OutputFile(file, kind, "" if kind in OFFICE else text_mark(text))
