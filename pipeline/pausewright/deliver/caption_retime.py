"""A caption file that was made for the standard track, at the times of another version."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import STANDARD
from pausewright.captions.cues import shown_text
from pausewright.captions.time_transfer import retime_cues, unlike
from pausewright.deliver.output_folder import write_new
from pausewright.deliver.production import timelines
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.frozen import frozen
from pausewright.plan.timeline import Say
from pausewright.problems import OutputError, PausewrightError, Problems, ScriptError
from pausewright.script.recordings.caption_files import read_caption_file
from pausewright.script.recordings.supplied_cues import SuppliedCue, written

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.plan.timeline import Timeline
    from pausewright.problems import Problem


@frozen
class Retimed:
    """What became of a caption file."""

    label: str
    n_cues: int
    written: Path
    warnings: tuple[Problem, ...]
    notes: tuple[str, ...]
    """What has no caption, and what was left out, in sentences."""


def retime(captions: Path, script: Path, options: Options, out: Path | None = None) -> Retimed:
    """Write the captions of a script's standard track for its version `options.arrangement`.

    The caption file is read strictly and never changed. What is not yet voiced is voiced, to
    know how long it lasts.

    Parameters
    ----------
    captions : a `.vtt` or `.srt` file that was made for the standard track
    script : the script
    options : name or label of the version; voices
    out : the file to write; None: beside the captions, with the version's label in its name

    Raises
    ------
    ScriptError
        With all problems of the captions, or of the script.
    PausewrightError
        If the version shows no captions, or a file cannot be read.
    OutputError
        If the new file exists or cannot be written.
    """
    problems = Problems()
    held = read_caption_file(captions, problems)
    problems.raise_errors()
    project = open_project(script, options.profiles)
    project.raise_errors()
    versions = made_versions(project, [STANDARD, options.arrangement])
    version = versions[-1]
    target = out or captions.with_name(f"{captions.stem}_{version.label}{captions.suffix}")
    if target.suffix.lower() != captions.suffix.lower():
        raise OutputError(
            f"‘{target.name}’ does not end in {captions.suffix}",
            f"captions stay in their format: --out {target.stem}{captions.suffix}",
        )
    _refuse_existing(target)
    if not any(isinstance(step, Say) and shown_text(step) for step in version.steps):
        raise PausewrightError(
            f"version {version.label} shows no captions, so none can be made for it",
            "declare what it may show: captions: instructions",
        )
    lines = timelines(project, options, versions)
    cues, n_left_out = retime_cues(held.cues, lines[0], lines[-1], problems)
    if problems.errors:
        raise ScriptError(problems.all)
    head = [block for block in held.blocks if not isinstance(block, SuppliedCue)]
    write_new(target, written(held, [*head, *cues]))
    return Retimed(
        version.label, len(cues), target, problems.all, _notes(lines, n_left_out, version.label)
    )


_MOST_NAMED: Final = 3
"""Sentences without captions that are named one by one; more are counted."""


def _notes(lines: Sequence[Timeline], n_left_out: int, label: str) -> tuple[str, ...]:
    notes = []
    if n_left_out:
        what = "caption belongs" if n_left_out == 1 else "captions belong"
        notes.append(f"{n_left_out} {what} to what version {label} leaves out")
    new = list(dict.fromkeys(shown_text(step) for step in unlike(lines[0], lines[-1])))
    if new:
        some = ", ".join(f"‘{text}’" for text in new[:_MOST_NAMED])
        more = f" and {len(new) - _MOST_NAMED} more" if len(new) > _MOST_NAMED else ""
        notes.append(f"no caption for what only version {label} says: {some}{more}")
    return tuple(notes)


def _refuse_existing(target: Path) -> None:
    if target.exists():
        raise OutputError(
            f"‘{target}’ is there already and was left as it is",
            "move it away, or choose another name: --out NAME",
        )
