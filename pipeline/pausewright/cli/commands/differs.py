"""`pausewright differs`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.exit_codes import FOUND_WRONG
from pausewright.cli.late import loaded_late
from pausewright.cli.printing import say, tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption

with loaded_late():
    from pausewright.deliver import build_options as builder
    from pausewright.deliver.differs import difference, shape, told


def differs(
    old: Annotated[
        Path, typer.Argument(metavar="OLD", help="A script, or the folder that a build made.")
    ],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="The same, as it is now.")],
    *,
    out: OutOption = Path("out"),
    rooms: Annotated[
        Path | None,
        typer.Option("--rooms", metavar="DIR", help="Folder of the rooms that needs laid out."),
    ] = None,
    by_shape: Annotated[
        bool,
        typer.Option(
            "--shape", help="Compare the shape of two scripts: may one stand in for the other?"
        ),
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Show what differs between two states of a test, prove it, and say what follows. Confidential.

    Questions and everything else that changed in sound, in words, on paper, in the key. Where
    both tracks are at hand, they are decoded, and all else must be the same at its new place.
    With --shape readings, silences, words, pace and length are compared, and not what is asked.
    """
    options = builder.Options(out)
    if by_shape:
        alike = shape.shapes(old, new, options)
        if as_json:
            tell_json(told.shape_data(alike))
        else:
            tell(told.shape_text(alike), end="")
        if not alike.is_alike:
            raise typer.Exit(FOUND_WRONG)
        return
    found = difference.differ(old, new, options, rooms)
    if as_json:
        tell_json(told.difference_data(found))
    else:
        tell(told.difference_text(found), end="")
    if not found.holds:
        say("error: the tracks differ in more than the scripts do; build both again")
        raise typer.Exit(FOUND_WRONG)
