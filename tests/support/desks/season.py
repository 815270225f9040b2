"""A desk on a season that was made by the voice without a model: two tests, and one that cannot."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

import pytest
from make_season import write_season
from pausewright.season.asks import Making
from pausewright.season.run import SeasonAsk, make_season

from support.desks.client import let_in, started
from support.desks.folder import Place
from support.seasons.inline import InlineEngine
from support.seasons.kills import TWO
from support.seasons.voiceless import speak_without_models

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HOSTILE = "<b>bold"
"""Name of a test, as a file may have it."""


@contextlib.contextmanager
def season_place(folder: Path) -> Iterator[Place]:
    """Give an open desk on such a folder."""
    write_season(folder, 2, ["joe"], 1, TWO)
    for file in list(folder.glob("test-0002.*")):
        file.rename(folder / file.name.replace("test-0002", HOSTILE))
    (folder / "wrong.md").write_text("---\ntitle: Wrong\nreadings: x\n---\n", "utf-8")
    with pytest.MonkeyPatch.context() as patch:
        speak_without_models(patch)
        ask = SeasonAsk(folder, folder / "out", Making(), goes_on=True)
        assert make_season(ask, InlineEngine(), lambda _: None).counts.n_made == 2
    with started(folder) as process:
        yield Place(folder, process, let_in(folder))
