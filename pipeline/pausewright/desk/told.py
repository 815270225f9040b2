"""Values of the product as the desk's processes tell them to each other."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from pausewright.deliver.build_options import Options
from pausewright.desk.messages import Choices, Step
from pausewright.desk.try_messages import Row
from pausewright.shown_text import first_problems, one_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from pausewright.problems import Problem
    from pausewright.sound.track_files import Format
    from pausewright.video.video_kinds import VideoKind


def options_of(out: Path, choices: Choices, tell: Callable[[Step], None] | None = None) -> Options:
    """Return how to build, as `build` takes it; `tell` is called with steps on the way."""
    return Options(
        out,
        cast("tuple[Format, ...]", choices.formats),
        progress=None if tell is None else lambda one: tell(Step(one.stage, one.n_done, one.n_all)),
        screen="inline" if choices.is_inline else "beside",
        videos=cast("tuple[VideoKind, ...]", choices.videos),
        split_at_stops=choices.splits,
        text_papers=choices.text_papers,
        mark_scheme=choices.mark_scheme,
    )


def rows_of(problems: Iterable[Problem], script: Path) -> tuple[tuple[Row, ...], int]:
    """Return problems as rows for a page, and how many are left out."""
    shown, n_left_out = first_problems(tuple(problems))
    rows = tuple(
        Row(
            one.severity,
            one_line(one.message),
            one_line(one.hint),
            one_line(one.place.file.name),
            one.place.line,
            one.place.column,
            one.place.length,
            is_own=one.place.file == script,
            code=one.code,
            choices=one.choices,
        )
        for one in shown
    )
    return rows, n_left_out
