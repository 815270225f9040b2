"""What a season can be asked: which tests and versions are this or that."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.deliver.day_papers import recorded_times
from pausewright.deliver.heard import heard_questions, read_heard
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.files.stage import settle
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import CONTENTS
from pausewright.intake.plain_file import resolved
from pausewright.problems import OutputError, PausewrightError, nearest
from pausewright.records.record_files import read_as, read_record
from pausewright.records.season_shapes import Ledger
from pausewright.records.shapes import NOT_HEARD
from pausewright.season.inputs import find_scripts, path_of
from pausewright.season.ledger import FILE
from pausewright.season.run import WORK

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from pausewright.records.season_shapes import KeptTest
    from pausewright.records.shapes import BuildRecord

QUESTIONS: Final = ("voice=NAME", "unheard", "unsigned", "length", "touched-by FILE")


@frozen
class Listed:
    """A version that a list names."""

    test: str
    version_label: str
    what: str
    """What the list is about: a length, what was heard, which voices."""


def ask_season(folder: Path, out: Path, question: str, about: Path | None) -> tuple[Listed, ...]:
    """Return the versions that lie in the folder of results and answer a question.

    Parameters
    ----------
    folder : of the season
    out : of its results
    question : one of `QUESTIONS`, without FILE
    about : the file of "touched-by", None for others

    Raises
    ------
    OutputError
        If the question is none, or the season was never made there.
    """
    results = resolved(out)
    found = read_as(results / WORK / FILE, Ledger, CONTENTS)
    if found is None:
        raise OutputError(f"no season was made in {out}", "make it first, or say where: --out DIR")
    scripts = {script.stem: script for script in find_scripts(folder, results)}
    tests = {name: one for name, one in sorted(found.tests.items()) if name in scripts}
    kind, _, value = question.partition("=")
    if kind == "touched-by":
        return tuple(_touched(tests, resolved(folder), about))
    if kind not in {"voice", "unheard", "unsigned", "length"} or (kind == "voice") != bool(value):
        close = nearest(kind, ("voice", "unheard", "unsigned", "length", "touched-by"))
        hint = f"did you mean {close}?" if close and close != kind else ", ".join(QUESTIONS)
        raise OutputError(f"‘{question}’ is nothing that a season can be asked", hint)
    listed = []
    for name, test in tests.items():
        for label, record in _records(results / name, test):
            said = _answer(kind, value, scripts[name], results / name, record)
            if said:
                listed.append(Listed(name, label, said))
    if kind == "length":
        listed.sort(key=lambda one: float(one.what.split(" ")[0]), reverse=True)
    return tuple(listed)


def _answer(kind: str, value: str, script: Path, folder: Path, record: BuildRecord) -> str:
    """Return what is to be said of a version, "" if it does not belong to the list."""
    if kind == "length":
        return f"{record.track.n_samples / record.track.rate_hz:.1f} s"
    if kind == "unsigned":
        return "" if record.state == "signed" else "; ".join(record.signed) or "nobody signed"
    if kind == "voice":
        voices = [one.name for one in record.voices]
        return ", ".join(voices) if value in voices else ""
    if any(line.startswith("sound:") for line in record.signed):
        return ""
    try:
        times = recorded_times(record, folder)
    except PausewrightError:
        return NOT_HEARD
    heard = heard_questions(times.places, times.rate_hz, read_heard(script))
    return "" if heard.n_heard == heard.n_all and heard.n_all else heard.sentence


def _records(folder: Path, test: KeptTest) -> Iterator[tuple[str, BuildRecord]]:
    settle(folder)
    for version in test.versions:
        file = folder / CONFIDENTIAL / f"build-record_{version.label}.json"
        record = read_record(file)
        if record is not None:
            yield version.label, record


def _touched(tests: Mapping[str, KeptTest], folder: Path, about: Path | None) -> Iterator[Listed]:
    """Give the versions of tests for which a file was read when they were made."""
    if about is None:
        raise OutputError("a file is missing", "write --list touched-by FILE")
    file = resolved(about)
    if not file.is_relative_to(folder):
        raise OutputError(
            f"‘{about}’ does not lie in the season’s folder, so nothing reads it",
            "name a file in it",
        )
    path = file.relative_to(folder).as_posix()
    for name, test in tests.items():
        if path == test.script or path in map(path_of, test.opened):
            for version in test.versions:
                yield Listed(name, version.label, f"reads {path}")
