"""Work of a worker for the season's page: by the functions that the command `season` calls."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

from pausewright.checker.report.lines import counted
from pausewright.desk.messages import Ran, Step
from pausewright.desk.told import rows_of
from pausewright.season.asks import Making
from pausewright.season.lists import ask_season
from pausewright.season.run import SeasonAsk, make_season
from pausewright.season.start import engine_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.desk.day_messages import Run
    from pausewright.season.told import Told
    from pausewright.sound.track_files import Format
    from pausewright.video.video_kinds import VideoKind

_STAGES: Final = {"work": "tasks"}
"""Names of steps for the page where the season's own could mean anything."""


def make(ask: Run, tell: Callable[[Step], None]) -> Ran:
    """Make what of all tests of the folder is not there; raises as `make_season`."""
    making = Making(
        cast("tuple[Format, ...]", ask.values.get("format", ("mp3",))[:1]),
        "inline" if "inline" in ask.values else "beside",
        cast("tuple[VideoKind, ...]", tuple(one for one in ask.values.get("video", ()) if one)),
        split_at_stops="splits" in ask.values,
        text_papers="text_papers" in ask.values,
        mark_scheme="mark_scheme" in ask.values,
    )
    how = SeasonAsk(Path(ask.folder), Path(ask.out), making, goes_on="go_on" in ask.values)

    def told(one: Told) -> None:
        if one.stage != "tests":  # tasks say it in smaller steps
            tell(Step(_STAGES.get(one.stage, one.stage), one.n_done, one.n_all))

    made = make_season(how, engine_of("", 0), told)
    gaps = made.table.not_made
    return Ran(
        f"{counted(made.counts.n_made, 'test')} made, {made.n_current} up to date, "
        f"{len(made.reports)} not good, {len(gaps)} not made.",
        made.is_good and not gaps,
        "\n\n".join(made.reports.values()),
        tuple(f"{Path(ask.out).name}/{file.name}" for file in made.files),
        (
            *(f"Not made: {one.test}: {one.why}" for one in gaps),
            *(f"Not good, so not delivered: {name}" for name in made.reports),
            "Somebody listens to each track before it is used.",
        ),
        rows_of(made.problems, Path(ask.folder))[0],
    )


def ask_it(ask: Run, _: Callable[[Step], None]) -> Ran:
    """List the versions that answer a question; raises as `ask_season`."""

    def one(name: str) -> str:
        return (ask.values.get(name) or ("",))[0].strip()

    question, about = one("question"), None
    if question == "voice":
        question = f"voice={one('voice')}"
    elif question == "touched-by" and one("touched"):
        about = Path(ask.folder) / one("touched")  # compared with names, never opened
    found = ask_season(Path(ask.folder), Path(ask.out), question, about)
    lines = [f"{row.test}  {row.version_label}  {row.what}" for row in found]
    return Ran(f"{counted(len(found), 'version')} in this list.", text="\n".join(lines))
