"""`pausewright heard`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import heard_log


def heard(
    script: ScriptArgument,
    log: Annotated[
        Path | None, typer.Argument(metavar="LOG", help="Of a listening page; none: only say it.")
    ] = None,
    *,
    out: OutOption = Path("out"),
    as_json: JsonOption = False,
) -> None:
    """Read the log of a listening page, and say which questions were heard.

    Played is not listened to: who heard the track says so with sign.
    """
    found = heard_log.read_heard_log(script, out, log)
    if as_json:
        tell_json(
            {
                label: {
                    "n_heard": one.n_heard,
                    "n_questions": one.n_all,
                    "missing": list(one.missing),
                }
                for label, one in found.items()
            }
        )
        return
    for label, one in found.items():
        tell(f"version {label}, {one.sentence}")
