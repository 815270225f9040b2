"""`pausewright season`."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pausewright.cli.exit_codes import BAD_INPUT, FOUND_WRONG
from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import counted, say, tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import (
    FormatOption,
    JsonOption,
    MarkSchemeOption,
    QuietOption,
    ScreenOption,
    SplitOption,
    TextPapersOption,
    VideoOption,
)
from pausewright.problems import OutputError
from pausewright.shown_text import json_text, problems_data

with loaded_late():
    from pausewright.cli.commands import build as build_command
    from pausewright.deliver import output_folder
    from pausewright.records import record_files
    from pausewright.screen import screen_files
    from pausewright.season import asks, lists, run, start
    from pausewright.video import video_kinds
    from pausewright.voice import store

if TYPE_CHECKING:
    from pausewright.season.run import SeasonMade
    from pausewright.season.told import Told


def season(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="The scripts: in it and in folders below.")
    ],
    file: Annotated[
        Path | None, typer.Argument(metavar="[FILE]", help="With --list touched-by: the file.")
    ] = None,
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the results.")
    ] = Path("out"),
    scheduler: Annotated[
        str,
        typer.Option(
            "--scheduler",
            metavar="ADDRESS",
            help="A scheduler that runs, tls://HOST:PORT; without it this machine's own workers.",
        ),
    ] = "",
    workers: Annotated[
        int,
        typer.Option(
            "--workers", min=0, max=256, help="Processes of this machine; 0: one a processor."
        ),
    ] = 0,
    carried: Annotated[
        str,
        typer.Option(
            "--results",
            metavar="HOW",
            help="How results travel: folder (all workers see it), engine, auto, or a store’s URL.",
        ),
    ] = "auto",
    unencrypted: Annotated[
        bool,
        typer.Option(
            "--unencrypted", help="Allow tcp:// to another machine: others may read and change."
        ),
    ] = False,
    go_on: Annotated[
        bool, typer.Option("--go-on", help="Make the others although some scripts have errors.")
    ] = False,
    question: Annotated[
        str,
        typer.Option(
            "--list",
            metavar="WHAT",
            help="Make nothing; list voice=NAME, unheard, unsigned, length, or touched-by FILE.",
        ),
    ] = "",
    formats: FormatOption = "mp3",
    screen: ScreenOption = "beside",
    video: VideoOption = "",
    split_at_stops: SplitOption = False,
    text_papers: TextPapersOption = False,
    mark_scheme: MarkSchemeOption = False,
    measured: Annotated[
        Path | None,
        typer.Option(
            "--measured", metavar="FILE", help="Write what each task took, a line of JSON each."
        ),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Make all tests of a folder in all their arrangements, as build does, by many workers.

    All scripts are read first and every problem is told before anything is voiced. What many tests
    say is voiced once. What was made is kept after any stop, and only what changed is made again.
    A table of all tracks is written as season.csv, season.json and season.html into DIR.
    """
    if question:
        _list(folder, out, question, file, as_json=as_json)
        return
    if file is not None:
        raise OutputError("a second file belongs to --list touched-by", "name one folder")
    if measured is not None:
        output_folder.refuse_old(measured, "--measured")
    making = asks.Making(
        build_command.formats_of(formats),
        screen_files.sound_of(screen),
        video_kinds.videos_of(video),
        split_at_stops=split_at_stops,
        text_papers=text_papers,
        mark_scheme=mark_scheme,
    )
    video_kinds.refuse_unable(making.videos)
    by, store_url = start.carried_of(carried, is_unencrypted=unencrypted)
    how = run.SeasonAsk(folder, out, making, goes_on=go_on, carried=by, store=store_url)
    is_open = unencrypted and (bool(scheduler) or not store_url)
    engine_of = start.engine_of(scheduler, workers, is_unencrypted=is_open)
    if not as_json:
        for place in (folder, out):
            warning = store.sync_warning(place)
            if warning:
                say(f"warning: {warning}")
    with meter(silent=quiet or as_json) as progress:

        def told(one: "Told") -> None:
            progress.counter(one.stage)(one.n_done, one.n_all)

        made = run.make_season(how, engine_of, told)
    if measured is not None:
        lines = [json_text(asdict(one)) for one in made.measured]
        output_folder.write_new(measured, "".join(f"{line}\n" for line in lines), rights=0o600)
    if as_json:
        _tell_data(made)
    else:
        _print(made, quiet=quiet)
    if made.table.not_made:
        raise typer.Exit(BAD_INPUT)
    if not made.is_good:
        raise typer.Exit(FOUND_WRONG)


def _print(made: "SeasonMade", *, quiet: bool) -> None:
    print_problems(made.problems)
    for note in made.notes:
        say(f"note: {note}")
    counts = made.counts
    tell(
        f"season: {counted(counts.n_made, 'test')} made, {made.n_current} up to date, "
        f"{len(made.reports)} not good, {len(made.table.not_made)} not made, {made.took_s:.1f} s"
    )
    if not quiet and counts.n_made:
        tell(
            f"  {counted(counts.n_uses, 'use')} of {counted(counts.n_takes, 'utterance')}: "
            f"{counts.n_voiced} voiced, {counts.n_tasks} tasks"
        )
    for gap in made.table.not_made:
        say(f"not made: {gap.test}: {gap.why}" + (f" ({gap.hint})" if gap.hint else ""))
    for name, report in made.reports.items():
        say(f"not good, so not delivered: {name}")
        if not quiet:
            tell(report)
    if not quiet:
        for file in made.files:
            tell(f"  read     {file}")
    tell("Somebody listens to each track before it is used: season.html says where to begin.")


def _tell_data(made: "SeasonMade") -> None:
    counts = made.counts
    tell_json(
        {
            "files": [str(one) for one in made.files],
            "n_made": counts.n_made,
            "n_current": made.n_current,
            "n_not_good": len(made.reports),
            "n_uses": counts.n_uses,
            "n_utterances": counts.n_takes,
            "n_voiced": counts.n_voiced,
            "n_tasks": counts.n_tasks,
            "worked_s": round(counts.worked_s, 3),
            "took_s": round(made.took_s, 3),
            "notes": list(made.notes),
            **problems_data("problems", made.problems),
            "table": record_files.as_plain(made.table),
        }
    )


def _list(folder: Path, out: Path, question: str, file: Path | None, *, as_json: bool) -> None:
    found = lists.ask_season(folder, out, question, file)
    if as_json:
        tell_json(
            [
                {"test": one.test, "version_label": one.version_label, "what": one.what}
                for one in found
            ]
        )
        return
    for one in found:
        tell(f"{one.test}  {one.version_label}  {one.what}")
    tell(f"{counted(len(found), 'version')} of {question}")
