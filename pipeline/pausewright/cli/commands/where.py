"""`pausewright where`."""

from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import interrupted
    from pausewright.papers.timed import incident_sheet, interruption


def where(
    script: ScriptArgument,
    place: Annotated[
        str, typer.Argument(metavar="PLACE", help="On the player's counter: 07:13, 1:02:03.")
    ] = "",
    *,
    version: Annotated[
        str, typer.Option("--version", metavar="NAME", help="Label or name of the version.")
    ] = "",
    start: Annotated[
        str, typer.Option("--start", metavar="HH:MM[:SS]", help="When the track started.")
    ] = "",
    clock: Annotated[
        str, typer.Option("--clock", metavar="HH:MM:SS", help="When it was stopped.")
    ] = "",
    waited: Annotated[
        str,
        typer.Option("--waited", metavar="M:SS", help="How long it stood before, at stops."),
    ] = "",
    again: Annotated[
        str, typer.Option("--again", metavar="HH:MM[:SS]", help="When it goes on.")
    ] = "",
    sheet: Annotated[
        Path | None,
        typer.Option("--sheet", metavar="FILE", help="Write a filled incident sheet, a PDF."),
    ] = None,
    out: OutOption = Path("out"),
    as_json: JsonOption = False,
) -> None:
    """Say what a stop at one place of a track meant: what was cut, where to go on, what is owed.

    Read from the record of what was built. Words that were cut are heard again from the silence
    before their reading; a silence goes on where it stopped. Whether the room may go on so is for
    your awarding body's rules.
    """
    stop = interrupted.Stop(place, start, clock, again, waited)
    told = interrupted.where_stopped(script, out, version, stop, sheet)
    found = told.found
    end = told.day.end(found)
    if as_json:
        tell_json(
            {
                "version_label": told.label,
                "edition": told.edition,
                "at_s": _seconds(found.at_s),
                "cut": found.cut,
                "part": found.row.part,
                "question": found.row.question,
                "reading": found.row.reading,
                "what": found.row.name,
                "told": interruption.told(found.row, int(found.at_s * 1000)),
                "resume_s": _seconds(found.resume_s),
                "back_s": _seconds(found.back_s),
                "back_to": found.row.back_to,
                "not_heard_in_full": found.unheard,
                "heard_s": _seconds(found.heard_s),
                "whole_s": _seconds(found.whole_s),
                "owed_s": _seconds(found.owed_s),
                "again_s": _seconds(found.again_s),
                "to_come_s": _seconds(found.to_come_s),
                "n_stops_to_come": found.n_stops,
                "end": end,
                "warnings": list(told.warnings),
                "sheet": None if sheet is None else str(sheet),
            }
        )
        return
    for warning in told.warnings:
        tell(f"warning: {warning}")
    tell(f"version {told.label}, edition {told.edition}, {_place(found.at_s)}: {found.row.name}")
    for sentence in incident_sheet.sentences(found):
        tell(sentence)
    tell(f"From there it plays {_place(found.to_come_s)} min{_stops(found.n_stops)}.")
    tell(f"Over at {end} at the earliest." if end else "Its new end: --again HH:MM:SS.")
    tell("Whether and how the room goes on is for your awarding body's rules.")
    if sheet is not None:
        tell(f"wrote {sheet}")


def _seconds(time_s: Fraction) -> float:
    return round(float(time_s), 3)


def _place(at_s: Fraction) -> str:
    return interruption.minutes_seconds(at_s)


def _stops(n_stops: int) -> str:
    return f", and the time at {n_stops} more stop{'s' * (n_stops != 1)}" if n_stops else ""
