"""What a season knows of the run before: which tests need not even be read."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from typing import TYPE_CHECKING, Final

from pausewright.deliver.build_key import (
    PACKAGES,
    PROGRAM,
    VOICES,
    installed_versions,
    program_digest,
)
from pausewright.deliver.output_folder import is_current
from pausewright.files.stage import settle
from pausewright.files.writing import write_file
from pausewright.intake.file_kinds import CONTENTS
from pausewright.records.record_files import read_as, record_text
from pausewright.records.season_shapes import Ledger
from pausewright.season.inputs import is_as_before
from pausewright.voice.store import digest
from pausewright.voice.voice_folders import centre_folder

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.records.season_shapes import KeptTest
    from pausewright.season.asks import Making, Where

FILE: Final = "ledger.json"
_AT_ONCE: Final = 4
"""Files that are hashed at the same time; more wait for one disk."""


def making_mark(making: Making) -> str:
    """Return the mark of what all tests of a season have in common: options, program, voices."""
    centre = centre_folder()
    rows = []
    if centre is not None:
        for file in sorted(centre.rglob("*")):
            state = file.stat()
            rows.append(f"{file} {state.st_size} {state.st_mtime_ns}")
    return digest(
        {
            "making": asdict(making),
            "program": [program_digest(PROGRAM), program_digest(VOICES)],
            "versions": installed_versions(PACKAGES),
            "centre": rows,
        }
    )


def read_ledger(where: Where, mark: str) -> Mapping[str, KeptTest]:
    """Return what is known of tests, by name; nothing if all was made in another way."""
    found = read_as(where.work / FILE, Ledger, CONTENTS)
    return found.tests if found is not None and found.making == mark else {}


def write_ledger(where: Where, mark: str, tests: Mapping[str, KeptTest]) -> None:
    """Write what is known; raises OSError."""
    ordered = dict(sorted(tests.items()))
    write_file(
        where.work / FILE,
        record_text(Ledger(ledger=1, making=mark, tests=ordered)),
        private=True,
    )


def current_tests(
    where: Where, known: Mapping[str, KeptTest], marks: Mapping[Path, str]
) -> dict[str, KeptTest]:
    """Return the tests that are current: made from the same files, and whole where they lie.

    Parameters
    ----------
    where : the season
    known : as the ledger has them
    marks : of all scripts of the season: `inputs.inputs_mark`
    """
    asked: list[tuple[str, KeptTest]] = []
    for script, mark in marks.items():
        one = known.get(script.stem)
        own = script.relative_to(where.folder).as_posix()
        if (
            one is not None
            and one.inputs == mark
            and one.script == own
            and is_as_before(one.opened, where.folder)
        ):
            asked.append((script.stem, one))
    with ThreadPoolExecutor(_AT_ONCE, thread_name_prefix="hash") as pool:
        whole = list(pool.map(lambda pair: _is_whole(where, *pair), asked))
    return {name: one for (name, one), is_whole in zip(asked, whole, strict=True) if is_whole}


def _is_whole(where: Where, name: str, one: KeptTest) -> bool:
    folder = where.out / name
    settle(folder)
    return all(is_current(folder, two.label, two.key) is not None for two in one.versions)
