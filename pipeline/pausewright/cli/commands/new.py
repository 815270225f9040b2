"""`pausewright new`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pausewright.cli.late import Late
from pausewright.cli.printing import tell

if TYPE_CHECKING:
    from pausewright.tasks import new_script
else:
    new_script = Late("pausewright.tasks.new_script")


def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The script to write, e.g. test.md")],
) -> None:
    """Write a small commented script to start from. A file that exists is never overwritten."""
    new_script.write_new_script(file)
    tell(f"wrote {file}")
    tell(f"next: change it in any text editor, then run: pausewright outline {file}")
