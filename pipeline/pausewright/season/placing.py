"""The one place where results of a season take their places: a test at once, whole or not at all.

Only the machine that makes the season does it, so no worker's end leaves a test half-written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.build import files_to_keep
from pausewright.deliver.output_folder import staged
from pausewright.problems import OutputError
from pausewright.season.inputs import own_mark
from pausewright.season.parts import link_files

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.season.asks import TestRead
    from pausewright.season.parts import Parts


def place_test(read: TestRead, parts: Parts, names: Mapping[str, str]) -> None:
    """Put the versions of a test that were made in place, beside those that stay.

    Parameters
    ----------
    read : the test
    parts : where the versions are kept
    names : of the whole parts, by label of the version

    Raises
    ------
    OutputError
        If the script was changed meanwhile, a part is gone, or something cannot be written.
    """
    if own_mark(read.ask.script) != read.ask.inputs:
        raise OutputError(
            f"‘{read.ask.script.name}’ was changed while the season was made",
            "run this again: all else is kept",
        )
    folder = read.ask.where.out / read.ask.name
    stay = set(read.declared) - set(names)
    with staged(folder, lambda: files_to_keep(folder, read.edition, stay)) as stage:
        for name in names.values():
            kept = parts.kept(name)
            if kept is None:
                raise OutputError(f"a part of ‘{read.ask.name}’ is gone", "run this again")
            link_files(kept.folder, stage, kept.part)
