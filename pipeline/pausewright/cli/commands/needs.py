"""`pausewright needs`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption, QuietOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import needed_rooms
    from pausewright.tasks import outlines


def needs(
    listed: Annotated[
        Path,
        typer.Argument(metavar="NEEDS.csv", help="candidate, arrangement, room and headphones."),
    ],
    script: ScriptArgument,
    *,
    out: OutOption = Path("out"),
    rooms: Annotated[
        Path, typer.Option("--rooms", metavar="DIR", help="Folder to lay the rooms out in.")
    ] = Path("rooms"),
    start: Annotated[
        str, typer.Option("--start", metavar="HH:MM", help="When the tracks start.")
    ] = "",
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Lay out a folder for each room: a track for each player, papers, a checklist, its list.

    Candidates are codes; they stand in each room's list and nowhere else.
    """
    found = needed_rooms.make_rooms(outlines.open_script(script), listed, out, rooms, start)
    if as_json:
        tell_json(needed_rooms.rooms_data(found))
        return
    print_problems(found.warnings)
    tell(needed_rooms.rooms_text(found), end="")
    if not quiet:
        tell(f"wrote {rooms}")
