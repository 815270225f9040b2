"""`pausewright schemas`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell

with loaded_late():
    from pausewright.deliver import editor_schemas


def schemas(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Beside the script.")] = Path(),
) -> None:
    """Write JSON Schemas into a folder, so that an editor completes settings and arrangements."""
    for name, is_new in editor_schemas.write_schemas(folder).items():
        comment = editor_schemas.COMMENT.format(name=name)
        tell(f"{'wrote' if is_new else 'left as it is:'} {folder / name}")
        tell(f"  to use it, begin the settings or the file with: {comment}")
