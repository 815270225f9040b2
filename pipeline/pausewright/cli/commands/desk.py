"""`pausewright desk`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell

with loaded_late():
    from pausewright.desk import shortcut, start


def desk(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Where the tests lie; this folder without it.")
    ] = Path(),
    *,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
    launcher: Annotated[
        bool,
        typer.Option("--launcher", help="Write a file that opens this desk by a double click."),
    ] = False,
) -> None:
    """Open the desk of a folder in the browser: the whole job without a terminal.

    Only this machine can reach it. What is open already is shown again; it ends by its button, by
    Ctrl+C, or by itself when nobody has used it for 45 minutes and nothing is being made.
    """
    if launcher:
        tell(f"wrote {shortcut.write_launcher(folder)}")
        return
    start.open_desk(folder, opens_browser=browser, told=_told)


def _told(page: Path, found: str) -> None:
    if found == "new":
        tell("the desk is open; end it by its button or with Ctrl+C", flush=True)
    else:
        tell("the desk of this folder is open already", flush=True)
    tell(f"if no browser shows it, open this file: {page}", flush=True)
