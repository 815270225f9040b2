"""`pausewright forget`."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import counted, tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption, ScriptArgument
from pausewright.problems import OutputError

with loaded_late():
    from pausewright.tasks import kept


def forget(
    script: ScriptArgument,
    *,
    out: OutOption = Path("out"),
    rooms: Annotated[
        Path, typer.Option("--rooms", metavar="DIR", help="Folder that the rooms were laid out in.")
    ] = Path("rooms"),
    yes: Annotated[bool, typer.Option("--yes", help="Remove without asking.")] = False,
    as_json: JsonOption = False,
) -> None:
    """List what was kept of voiced sound beside a script, and remove it.

    What commands that were stopped left beside the script, the results and the rooms is listed and
    removed with it. Results themselves stay.
    """
    found = kept.kept_beside(script, out, rooms)
    if as_json:
        data = {
            "kept": len(found.sounds),
            "n_bytes": found.n_bytes,
            "removed": kept.remove_kept(found) if yes else 0,
            "left": [{"path": str(one.path), "note": one.note} for one in found.left],
        }
        tell_json(data)
        return
    if not found.sounds and not found.left:
        tell(f"nothing is kept beside {script}")
        return
    if found.sounds:
        n_files = counted(len(found.sounds), "file")
        tell(f"{n_files} of voiced sound, {found.n_bytes / 1e6:.1f} MB, are kept in")
        tell(f"  {found.folder / '.pausewright'}")
        tell("They hold the sound of every script in that folder; a new build voices them again.")
    if found.left:
        tell("Commands that were stopped left:")
    for one in found.left:
        tell(f"  {one.path}, {one.n_bytes / 1e6:.1f} MB{one.note and ': '}{one.note}")
    if not yes and not _agreed("Remove them?"):
        tell("left as they are")
        return
    kept.remove_kept(found)
    tell("removed")


def _agreed(question: str) -> bool:
    if not sys.stdin.isatty():
        raise OutputError("nothing was removed", "add --yes to remove without asking")
    try:
        return input(f"{question} [y/N] ").strip().lower() in {"y", "yes"}
    except EOFError:
        return False
