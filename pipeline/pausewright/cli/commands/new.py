"""`pausewright new`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell

with loaded_late():
    from pausewright.tasks import new_script


def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The script to write, e.g. test.md")],
) -> None:
    """Write a small commented script to start from. A file that exists is never overwritten."""
    new_script.write_new_script(file)
    tell(f"wrote {file}")
    tell(f"next: change it in any text editor, then run: pausewright outline {file}")
