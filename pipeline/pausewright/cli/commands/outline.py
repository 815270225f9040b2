"""`pausewright outline`."""

import time
from pathlib import Path
from typing import Annotated, Final

import typer

from pausewright.cli.exit_codes import BAD_INPUT, GOOD, INTERRUPTED
from pausewright.cli.last_resort import guarded
from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_error, print_problems
from pausewright.cli.printing import counted, minutes, say, tell, tell_json
from pausewright.cli.shared_options import JsonOption, QuietOption, ScriptArgument
from pausewright.problems import PausewrightError

with loaded_late():
    from pausewright.deliver import version_outline as forms
    from pausewright.tasks import arrangements, outlines

LOOK_EVERY_S: Final = 0.4


def outline(
    script: ScriptArgument,
    *,
    watch: Annotated[
        bool,
        typer.Option("--watch", help="Look again whenever the file is saved; stop with Ctrl+C."),
    ] = False,
    arrangement: Annotated[
        str | None,
        typer.Option("--arrangement", metavar="NAME", help="Name or label of a declared version."),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show structure, spoken words, every silence and where its value came from, and totals.

    Nothing is voiced. Lengths of speech are exact if the script was built before, else estimated.
    With --watch only problems and totals are shown, again at every save.
    """
    if watch:
        _watch(script)
        return
    found = (
        outlines.outline_of(script)
        if arrangement is None
        else arrangements.outline_of_version(script, arrangement)
    )
    if as_json:
        tell_json(forms.outline_data(found.project, found.outline))
        return
    tell(forms.outline_text(found.project, found.outline), end="")
    if not quiet:
        print_problems(found.project.warnings)


def _watch(script: Path) -> None:
    """Show problems and totals now and at every save, until interrupted."""
    seen: object = None
    tell(f"watching {script}; stop with Ctrl+C", flush=True)
    while True:
        stamp = outlines.saved(script)
        if stamp != seen:
            seen = stamp
            tell(f"\n---- {time.strftime('%H:%M:%S')}", flush=True)
            if guarded(lambda: _look(script)) == INTERRUPTED:
                raise typer.Exit(INTERRUPTED)
        time.sleep(LOOK_EVERY_S)


def _look(script: Path) -> int:
    try:
        found = outlines.estimate_of(script)
    except PausewrightError as error:
        print_error(error, wants_json=False)
        return error.exit_code
    except OSError as error:
        say(f"error: the system refused: {error.strerror or error.errno}")
        return BAD_INPUT
    print_problems(found.project.warnings)
    totals = found.outline
    tell(
        f"no errors; {counted(totals.n_questions, 'question')}, about {minutes(totals.length_s)}",
        flush=True,
    )
    return GOOD
