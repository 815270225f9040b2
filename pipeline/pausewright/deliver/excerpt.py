"""An excerpt: some questions of a built track as a file of their own, to be heard again.

A slate of its own stands before it. The rest is laid from the same takes, with the version's own
silences, and is compared with the delivered track before it is given: every sample must stand
there, at a shifted place. The file as a whole is checked as any track without its script is.
"""

from __future__ import annotations

import contextlib
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final, cast, get_args

from pausewright.arrange.arrangement import STANDARD
from pausewright.checker.files.draft import EXCERPT
from pausewright.checker.files.same_stretch import same_stretch
from pausewright.checker.unscripted import measure_track
from pausewright.deliver.chosen_steps import chosen, read_choice
from pausewright.deliver.element_sounds import ElementSounds
from pausewright.deliver.excerpt_slate import ExcerptSlate
from pausewright.deliver.output_folder import is_current
from pausewright.deliver.outputs.record_output import declared_silences
from pausewright.deliver.project import open_project
from pausewright.deliver.silent_engines import without_voices
from pausewright.deliver.staff_paper import StaffPaper
from pausewright.deliver.studios import studio_of
from pausewright.deliver.take_check import begins_whole
from pausewright.deliver.version import made_versions
from pausewright.deliver.version_build import VersionBuild
from pausewright.files.stage import settle
from pausewright.files.writing import keep_private, part_beside, put_new, unwritable, write_file
from pausewright.frozen import frozen
from pausewright.papers.timed.interruption import minutes_seconds
from pausewright.papers.typeset.paper_frame import Look
from pausewright.plan.clock import Clock
from pausewright.plan.step_writer import RUN_OUT_S
from pausewright.plan.timeline import Mark, Placed, Say, Timeline, Wait
from pausewright.problems import OutputError
from pausewright.records.record_files import read_record
from pausewright.sound.chapter_marks import chapters
from pausewright.sound.lay import LONGEST_PAD_S, lay
from pausewright.sound.track_files import Format, write_track
from pausewright.sound.track_tags import Tags

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.files.same_stretch import SameStretch
    from pausewright.checker.result.findings import CheckResult
    from pausewright.deliver.build_options import Options
    from pausewright.deliver.chosen_steps import Choice
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.records.shapes import BuildRecord

TEMPLATE: Final = "excerpt-sheet"
_ENDS: Final = frozenset({"hold", "run-out"})
"""Silences that are no part of the questions before them."""


@frozen
class ExcerptMade:
    """What was written."""

    file: Path
    sheet: Path
    label: str
    edition: str
    from_s: Fraction
    to_s: Fraction
    """Where it stands on the delivered track."""
    length_s: Fraction
    slate_s: Fraction
    """How long its slate is, with the silences around it."""
    compared: SameStretch
    checked: CheckResult
    """What was measured on the file, its slate included."""


@frozen
class _Cut:
    """A stretch of a timeline as a timeline of its own."""

    line: Timeline
    start_sample: int
    end_sample: int
    """On the whole track."""
    lead_samples: int
    """The slate before it, with the silences around that."""


def make_excerpt(
    script: Path, questions: str, version: str, target: Path, options: Options
) -> ExcerptMade:
    """Write questions of a built version as a file and a sheet beside it, both not there yet.

    Parameters
    ----------
    script : what was built
    questions : "4-7" or "4", as `hear` takes them
    version : name or label; "" for the standard track
    target : "….mp3", "….wav" or "….flac"; the sheet has its name and ends in ".pdf"
    options : where the build lies

    Raises
    ------
    PausewrightError
        If the version is not built or not current, a take is no longer kept, there are no such
        questions, something is there already, or what was written is not as the delivered track.
    """
    if target.suffix[1:].lower() not in get_args(Format):
        raise OutputError(
            f"‘{target.name}’ has no ending that is written", "give NAME.mp3, NAME.wav or NAME.flac"
        )
    sheet = target.with_suffix(".pdf")
    for file in (target, sheet):
        if file.exists() or file.is_symlink():
            raise OutputError(f"‘{file}’ is there already and was left as it is", "move it away")
    project = open_project(script, options.profiles)
    project.raise_errors()
    (one,) = made_versions(project, [version or STANDARD])
    folder = options.out / script.stem
    settle(folder)
    build, record = _as_built(project, one, folder, options)
    line = build.timeline()
    if record.track.n_samples != line.n_samples or record.declared != declared_silences(line):
        raise OutputError(
            f"version {one.label} was built from other settings than the script has now",
            "build the script again",
        )
    choice = read_choice(questions)
    slate = ExcerptSlate(project, one, choice, build.sounds, options.engines)
    cut = _cut(line, one, choice, slate)
    return _written(build, record, cut, slate, (target, sheet), questions, folder)


def _as_built(
    project: Project, version: Version, folder: Path, options: Options
) -> tuple[VersionBuild, BuildRecord]:
    record = read_record(folder / "confidential" / f"build-record_{version.label}.json")
    if record is None or record.edition != project.edition:
        raise OutputError(
            f"version {version.label} is not built in edition {project.edition}",
            "build it, or say where it was built: --out DIR",
        )
    if is_current(folder, version.label, record.build_key) is None:
        raise OutputError(
            f"a file of version {version.label} is not the one that was built", "build it again"
        )
    settings = version.script.settings
    silent = replace(options, engines=without_voices(options.engines, "an excerpt"))
    studio = studio_of(project, settings, engines=silent.engines, is_usable=begins_whole)
    sounds = ElementSounds(studio, settings)
    build = VersionBuild(project, silent, version, sounds, record.build_key, folder)
    build.refuse_bad_sounds()
    build.voice()
    return build, record


def _cut(line: Timeline, version: Version, choice: Choice, slate: ExcerptSlate) -> _Cut:
    told = chosen(version.steps, choice, version.script.path, ())
    at = [index for index, one in enumerate(line.placed) if any(one.step is s for s in told)]
    first, last = at[0], at[-1] + 1
    while first and isinstance(line.placed[first - 1].step, Mark):
        first -= 1
    while last < len(line.placed) and _goes_on(line.placed[last]):
        last += 1
    while isinstance(line.placed[last - 1].step, Mark):
        last -= 1
    inside = line.placed[first:last]
    start, end = inside[0].start_sample, inside[-1].end_sample
    clock = Clock(line.rate_hz)
    head, out = slate.line(), clock.samples(RUN_OUT_S)
    lead = head.n_samples
    shifted = [
        Placed(one.step, one.start_sample - start + lead, one.end_sample - start + lead)
        for one in inside
    ]
    end_here = end - start + lead
    placed = (
        *head.placed,
        *shifted,
        Placed(Wait("run-out", RUN_OUT_S), end_here, end_here + out),
    )
    return _Cut(Timeline(line.rate_hz, placed), start, end, lead)


def _goes_on(one: Placed) -> bool:
    return isinstance(one.step, Mark) or (isinstance(one.step, Wait) and one.step.kind not in _ENDS)


def _written(
    build: VersionBuild,
    record: BuildRecord,
    cut: _Cut,
    slate: ExcerptSlate,
    targets: tuple[Path, Path],
    questions: str,
    folder: Path,
) -> ExcerptMade:
    target, sheet = targets
    settings = build.version.script.settings
    title = f"{settings.title}, {_name(questions)}"
    rate_hz, line = cut.line.rate_hz, cut.line
    marks = chapters(line, 0, line.n_samples)
    label, edition = record.version_label, record.edition
    tags = Tags(title, edition, label, settings.language, marks, state=EXCERPT)
    part = part_beside(target)
    blocks = lay(line, slate.take, channels=settings.channels)
    kind = cast("Format", target.suffix[1:].lower())
    try:
        write_track(
            blocks, part, format=kind, rate_hz=rate_hz, channels=settings.channels, tags=tags
        )
        compared = _compared(part, record, cut, folder)
        if not compared.is_same:
            raise OutputError(
                f"{compared.n_differing} samples are not those of the delivered track",
                "build the script again, then make the excerpt",
            )
        checked = measure_track(part)
        if not checked.is_good:
            raise OutputError(
                f"the excerpt is not good: {checked.errors[0].sentence}",
                "build the script again, then make the excerpt",
            )
        from_s, to_s = (Fraction(s, rate_hz) for s in (cut.start_sample, cut.end_sample))
        length_s, slate_s = (Fraction(n, rate_hz) for n in (line.n_samples, cut.lead_samples))
        found = ExcerptMade(
            target, sheet, label, edition, from_s, to_s, length_s, slate_s, compared, checked
        )
        paper = StaffPaper(TEMPLATE, "Excerpt sheet", _sheet_data(found, cut, questions), Look(11))
        pdf = paper.compiled(build.version.script, label, edition).pdf
        keep_private(part)
        put_new(part, target)
        write_file(sheet, pdf, private=True)
    except OSError as error:
        raise unwritable(target, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
    return found


def _compared(part: Path, record: BuildRecord, cut: _Cut, folder: Path) -> SameStretch:
    """Compare what was written with the delivered track; an exact file of it, if there is one."""
    tracks = sorted(path for path, _ in record.paths("track"))
    exact = [path for path in tracks if not path.endswith(".mp3")]
    n_pad = int(LONGEST_PAD_S * cut.line.rate_hz)
    n_samples = cut.end_sample - cut.start_sample - n_pad
    track = folder / (exact or tracks)[0]
    return same_stretch((part, cut.lead_samples), (track, cut.start_sample), n_samples)


def _name(questions: str) -> str:
    return f"questions {questions}" if "-" in questions else f"question {questions}"


def _sheet_data(found: ExcerptMade, cut: _Cut, questions: str) -> dict[str, object]:
    return {
        "what": _name(questions),
        "file": found.file.name,
        "from": minutes_seconds(found.from_s),
        "to": minutes_seconds(found.to_s),
        "length": minutes_seconds(found.length_s),
        "rows": _rows(cut.line.placed, cut.line.rate_hz),
        "compared": compared_sentence(found.compared),
        "checked": checked_sentence(found.checked),
    }


def _rows(placed: Sequence[Placed], rate_hz: int) -> list[list[str]]:
    """Return when each question begins in the excerpt, and when its answer time does."""
    rows: list[list[str]] = []
    for one in placed:
        at = minutes_seconds(Fraction(one.start_sample, rate_hz))
        if isinstance(one.step, Mark):
            rows.append([one.step.title, at, ""])
        elif isinstance(one.step, Wait) and one.step.kind == "answer-time" and rows:
            rows[-1][2] = rows[-1][2] or at
        elif isinstance(one.step, Wait) and one.step.kind == "hold":
            rows.append(["Stop: press pause, go on when the room is ready", at, ""])
        elif isinstance(one.step, Say) and not rows:
            rows.append(["Beginning: what is heard again", at, ""])
    return rows


def checked_sentence(found: CheckResult) -> str:
    """Return what was measured on the whole file, in a sentence."""
    n_warnings = sum(one.severity == "warning" for one in found.findings)
    warned = f", {n_warnings} warning{'s' * (n_warnings != 1)}" if n_warnings else ""
    level = "" if found.loudness_lufs is None else f", {found.loudness_lufs:.1f} LUFS"
    peak = "" if found.true_peak_dbtp is None else f", true peak {found.true_peak_dbtp:.1f} dBTP"
    return f"read whole by two decoders{level}{peak}: no fault of the file{warned}"


def compared_sentence(found: SameStretch) -> str:
    """Return what a comparison found, in a sentence."""
    if found.is_exact:
        return f"{found.n_samples:,} samples, every one as on the delivered track"
    return (
        f"{found.n_samples:,} samples, as on the delivered track but for what coding loses "
        f"({found.below_db:.0f} dB below the sound)"
    )
