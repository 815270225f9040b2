"""The pure tasks of a season: voice one utterance, lay one version, its papers, its check.

Each answers with a value: what it made or what is at fault. What it made before is found and not
made again, so any task may be given twice, to any worker, at any time.
"""

from __future__ import annotations

import errno
import time
from dataclasses import replace
from typing import TYPE_CHECKING, Final, cast

from pausewright.checker.report.report import as_text
from pausewright.deliver.version_parts import (
    Part,
    check_parts,
    measured_tracks,
    standard_delivered,
    write_step,
)
from pausewright.intake.plain_file import openings_noted
from pausewright.problems import PausewrightError, ScriptError
from pausewright.season.asks import Fault, Made, Outcome, VersionAsk, Voiced
from pausewright.season.bench import SILENT, bench
from pausewright.season.carrying import landed, parcel_of
from pausewright.season.inputs import rows_below
from pausewright.season.parts import Kept, LostPartError, Parts, link_files
from pausewright.season.reading import read_test
from pausewright.season.rows import endings_of, rows_of, whole_files
from pausewright.season.store import StoreError
from pausewright.season.takes import is_kept, provide, take_files

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.judge.against_standard import MeasuredTrack
    from pausewright.deliver.version_parts import Step
    from pausewright.season.asks import Kind, TakeAsk, TestAsk

_MAY_PASS: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.ESTALE, errno.ENOMEM})
"""What the system refuses now and may not refuse to another worker or later."""


def do(kind: Kind, ask: object, given: Sequence[Outcome] = ()) -> Outcome:
    """Do one task.

    Parameters
    ----------
    kind : what to do
    ask : as the kind asks: `TakeAsk`, `VersionAsk`; a value that is handed on as it is
    given : what came of the tasks that it depends on, in their order
    """
    started_s = time.monotonic()
    for one in given:
        if one.fault is not None:
            return Outcome(fault=one.fault)
    try:
        with openings_noted() as opened:
            value = _value(kind, ask, given)
        return Outcome(value, None, time.monotonic() - started_s, _below(ask, opened))
    except ScriptError as error:
        fault = Fault(error.message, error.hint, error.problems, lacks_takes=_is_silent(error))
    except (LostPartError, StoreError) as error:
        fault = Fault(error.message, error.hint, may_pass=True)
    except PausewrightError as error:
        cause = error.__cause__
        fault = Fault(error.message, error.hint, may_pass=_may_pass(cause))
    except MemoryError:
        fault = Fault(
            "a worker has not enough memory", "give workers more, or start fewer", may_pass=True
        )
    except OSError as error:
        what = error.strerror or str(error)
        fault = Fault(f"the system refused: {what}", may_pass=_may_pass(error))
    return Outcome(None, fault, time.monotonic() - started_s)


def _is_silent(error: ScriptError) -> bool:
    """Return whether a version found a take gone: it is voiced again then."""
    return all(SILENT in one.message for one in error.problems if one.severity == "error")


def _may_pass(cause: BaseException | None) -> bool:
    return isinstance(cause, MemoryError) or (
        isinstance(cause, OSError) and cause.errno in _MAY_PASS
    )


def _value(kind: Kind, ask: object, given: Sequence[Outcome]) -> object:
    if kind == "voice":
        return _voice(cast("TakeAsk", ask), given)
    if kind == "read":
        return read_test(cast("TestAsk", ask))
    if kind in {"bundle", "kept"}:
        return ask
    version = cast("VersionAsk", ask)
    is_shared = version.test.where.is_shared
    if not is_shared:
        version = landed(version, given)
    parts = Parts(version.test.where.work)
    made = _check(version, parts) if kind == "check" else _write(version, kind, parts)
    if is_shared:
        return made
    files = [one.path for one in made.part.files]
    folder, where = parts.files_of(made.name), version.test.where
    return replace(made, parcel=parcel_of(folder, files, where, f"parts/{made.name}"))


def _voice(ask: TakeAsk, given: Sequence[Outcome]) -> Voiced:
    """Voice an utterance, unless it is kept; let the other folders that need it have it."""
    is_shared = ask.where.is_shared
    if not is_shared:
        ask = landed(ask, given)
    studio = bench().studio(ask.setting, voices=True)
    own = ask.setting.folder
    for folder in () if is_kept(own, ask.key) else ask.also:
        provide(studio, ask, folder, own)
    n_voiced = studio.record([ask.utterance]).n_voiced
    for folder in ask.also:
        provide(studio, ask, own, folder)
    if is_shared:
        return Voiced(n_voiced)
    files = take_files(studio, ask)
    return Voiced(n_voiced, parcel_of(own, files, ask.where, f"takes/{ask.key}"))


def _write(ask: VersionAsk, kind: Kind, parts: Parts) -> Made:
    """Lay a version, or write its papers, unless that is kept."""
    step: Step = "papers" if kind == "papers" else "lay"
    name = ask.name(kind)
    kept = parts.kept(name)
    if kept is not None:
        return Made(name, kept.part)
    laid = parts.kept(ask.name("lay")) if step == "papers" else None
    before = [laid.part] if laid is not None else []
    with parts.making(name) as stage:
        build, voiced = bench().build(ask, stage)
        part = write_step(build, voiced, step, before)
        parts.keep(name, Kept(stage, part))
    return Made(name, part)


def _check(ask: VersionAsk, parts: Parts) -> Made:
    """Put the parts of a version together and check it, unless that is kept."""
    name = ask.name("check")
    kept = parts.kept(name)
    if kept is not None:
        return Made(name, kept.part, (), kept.rows, kept.is_good, kept.report)
    before = [parts.kept(ask.name("lay")), parts.kept(ask.name("papers"))]
    with parts.making(name) as stage:
        build, voiced = bench().build(ask, stage)
        found = []
        for one in before:
            if one is None:
                raise LostPartError(
                    f"parts of ‘{ask.test.name}’ are gone from ‘{ask.test.where.work}’",
                    "run this again; nobody else may clear that folder meanwhile",
                )
            link_files(one.folder, stage, one.part)
            found.append(one.part)
        built = check_parts(
            build,
            voiced,
            found,
            lambda: _standard(ask, parts),
            lambda measured: bench().keep_standard(ask.part, measured),
        )
        whole = Part(whole_files(stage, ask.label), built.notes)
        rows = rows_of(ask.test.name, stage, ask.label, is_delivered=built.is_good)
        report = "" if built.is_good else "\n".join(as_text(one) for one in built.checks)
        parts.keep(name, Kept(stage, whole, rows, built.is_good, report))
    return Made(name, whole, (), rows, built.is_good, report)


def _standard(ask: VersionAsk, parts: Parts) -> Mapping[str, MeasuredTrack]:
    """Return the standard track, measured: of this season, or as it was delivered before."""
    test = bench().opened(ask.test)
    if ask.standard is None:
        folder = ask.test.where.out / ask.test.name
        key = f"{folder} {ask.test.inputs}"
        return bench().standard(key, lambda: standard_delivered(test.project, folder))
    label, part = ask.standard
    checked = parts.kept(f"{part}-check")
    if checked is None:
        raise LostPartError(
            f"the standard version of ‘{ask.test.name}’ is gone from ‘{ask.test.where.work}’",
            "run this again; nobody else may clear that folder meanwhile",
        )
    tracks = endings_of(checked.folder, label)
    return bench().standard(part, lambda: measured_tracks(test.project, tracks))


def _below(ask: object, opened: Mapping[Path, None]) -> tuple[str, ...]:
    """Return the files below the season's folder that a version was made from."""
    return rows_below(opened, ask.test.where) if isinstance(ask, VersionAsk) else ()
