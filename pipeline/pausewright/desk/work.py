"""What a worker does: each ask is answered by the function that its command calls."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import msgspec

from pausewright.deliver.build_key import build_key
from pausewright.deliver.heard import heard_sentence
from pausewright.deliver.output_folder import CONFIDENTIAL, is_current
from pausewright.deliver.project import open_project
from pausewright.deliver.room_places import PLACES
from pausewright.deliver.version import made_versions
from pausewright.desk.messages import (
    Built,
    Choices,
    Look,
    Looked,
    Refused,
    Version,
)
from pausewright.desk.said import in_force, sentences
from pausewright.desk.told import options_of, rows_of
from pausewright.desk.track_work import LightAsk, do_light
from pausewright.desk.tried_work import try_text
from pausewright.desk.try_messages import TryText
from pausewright.fault_report import fault_report, write_fault_report
from pausewright.files.stage import settle
from pausewright.intake.plain_file import openings_noted
from pausewright.problems import PausewrightError, Problems, ScriptError
from pausewright.records.record_files import read_as, read_record
from pausewright.records.shapes import RunningTimes
from pausewright.script.source.markdown import forget_paragraphs
from pausewright.shown_text import one_line
from pausewright.wording.kept_readings import forget_readings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version as DeliveredVersion
    from pausewright.desk.messages import Answer, Ask, Step
    from pausewright.records.shapes import BuildRecord

_PLACES: Final = {str(kind): str(place) for kind, place in PLACES.items()}


def answer(ask: Ask, tell: Callable[[Step], None]) -> Answer:
    """Do what is asked; `tell` is called with steps on the way.

    What a user can mend comes back as `Refused` in the words of the command line; so does a fault
    of this program, with a report that holds nothing of the test.
    """
    try:
        return _answer(ask, tell)
    except ScriptError as error:
        where = getattr(ask, "script", "")
        return Refused(one_line(error.message), "", rows_of(error.problems, Path(where))[0])
    except PausewrightError as error:
        return Refused(one_line(error.message), one_line(error.hint))
    except OSError as error:
        return Refused(f"the system refused: {error.strerror or error.errno}")
    except Exception as fault:  # noqa: BLE001  what nobody foresaw ends here, whatever it is
        report = write_fault_report(fault_report(fault, ["desk"], {"desk": ()}))
        hint = f"pass on the report {report}: it holds nothing of your test" if report else ""
        return Refused(
            "a fault of Pausewright itself stopped this, and nothing half-written was left", hint
        )


def _answer(ask: Ask, tell: Callable[[Step], None]) -> Answer:
    if isinstance(ask, Look):
        return look(ask)
    if isinstance(ask, TryText):
        return try_text(ask)
    if isinstance(ask, LightAsk):
        return do_light(ask)
    from pausewright.desk import long_work  # noqa: PLC0415  what reads tests needs nothing heavy

    return long_work.do(ask, tell)


# ---- the state of a test ------------------------------------------------------------------


def look(ask: Look) -> Looked:
    """Return the state of a test: what is wrong with it, its versions, what there is of each.

    What was read of equal texts before is used, unless all is to be read anew.
    """
    if ask.is_whole:
        forget_readings()
        forget_paragraphs()
    with openings_noted() as noted:
        looked = _looked(ask)
    return msgspec.structs.replace(looked, opened=tuple(str(one) for one in noted))


def _looked(ask: Look) -> Looked:
    script = Path(ask.script)
    folder = Path(ask.out) / script.stem
    try:
        project = open_project(script)
    except ScriptError as error:
        rows, n_left_out = rows_of(error.problems, script)
        return Looked("", 0, "", rows, n_left_out, (), Choices())
    problems = Problems()
    problems.extend(project.problems)
    versions: tuple[DeliveredVersion, ...] = ()
    if not project.has_errors:
        with problems.collected():
            versions = made_versions(project)
        for version in versions:
            problems.extend(version.problems)
    records = {
        version.label: read_record(folder / CONFIDENTIAL / f"build-record_{version.label}.json")
        for version in versions
    }
    choices = _choices([record for record in records.values() if record is not None])
    if versions:
        settle(folder)
    rows, n_left_out = rows_of(problems.all, script)
    return Looked(
        one_line(project.script.settings.title),
        sum(1 for question in project.script.questions() if not question.practice),
        project.edition,
        rows,
        n_left_out,
        tuple(
            _version(project, version, records[version.label], ask, choices) for version in versions
        ),
        choices,
        sentences(project.worded, script),
        in_force(project.script),
        tuple((one.label, one.name) for one in project.arrangements),
    )


def _version(
    project: Project,
    version: DeliveredVersion,
    record: BuildRecord | None,
    ask: Look,
    choices: Choices,
) -> Version:
    label, name = version.label, version.arrangement.name
    if record is None:
        return Version(label, name, "new")
    folder = Path(ask.out) / Path(ask.script).stem
    if record.edition != project.edition:
        state = "changed"
    elif record.build_key != build_key(project, options_of(Path(ask.out), choices), version):
        state = "other"
    else:
        state = "made" if is_current(folder, label, record.build_key) is not None else "spoiled"
    own = Built(f"{CONFIDENTIAL}/build-record_{label}.json", "record", "office")
    files = [Built(one.path, one.kind, _PLACES.get(one.kind, "office")) for one in record.files]
    length_s = record.track.n_samples / record.track.rate_hz
    heard, is_signed = _heard(project, record, folder), record.state == "signed"
    return Version(label, name, state, length_s, (*files, own), heard, is_signed)


def _heard(project: Project, record: BuildRecord, folder: Path) -> str:
    """Return what of a built version was heard, as `build` says it."""
    if record.signed:
        return record.heard_by
    paths = record.paths("running-times")
    times = read_as(folder / paths[0][0], RunningTimes) if paths else None
    return heard_sentence(project.script.path, times)


def _choices(records: Iterable[BuildRecord]) -> Choices:
    """Return how a test was made before, as far as its files tell."""
    files = [file for record in records for file in record.files]
    if not files:
        return Choices()
    kinds = {file.kind for file in files}
    endings = [
        one
        for one in ("mp3", "wav", "flac")
        if any(file.kind == "track" and file.path.endswith(f".{one}") for file in files)
    ]
    videos = [
        one
        for one in ("burned-in", "switchable")
        if any(file.kind == "video" and f"_{one}" in file.path for file in files)
    ]
    return Choices(
        formats=tuple(endings) or ("mp3",),
        videos=tuple(videos),
        splits="piece" in kinds,
        text_papers="answer-sheet-text" in kinds,
        mark_scheme="mark-scheme" in kinds,
    )
