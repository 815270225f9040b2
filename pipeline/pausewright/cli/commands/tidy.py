"""`pausewright tidy`."""

from typing import Annotated

import typer

from pausewright.cli.exit_codes import FOUND_WRONG
from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import tell_exactly, tell_json
from pausewright.cli.shared_options import JsonOption, QuietOption, ScriptArgument
from pausewright.shown_text import problems_data

with loaded_late():
    from pausewright.deliver import tidy_file


def tidy(
    script: ScriptArgument,
    *,
    out: Annotated[
        str,
        typer.Option(
            "--out", "-o", metavar="PATH", help="File to write, or - to print the text instead."
        ),
    ] = "",
    only_check: Annotated[
        bool,
        typer.Option("--check", help="Write nothing; show what would change and exit with 1."),
    ] = False,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Tidy a script without touching its meaning, and write it to NAME.tidy.md beside it.

    The script itself is never changed. The new text is read again and compared before it appears.
    """
    found = tidy_file.tidy_file(script, out, only_check=only_check)
    if as_json:
        tell_json({**tidy_file.tidy_data(found), **problems_data("warnings", found.warnings)})
    else:
        tell_exactly(tidy_file.tidy_text(found, quiet=quiet))
        if not quiet:
            print_problems(found.warnings)
    if only_check and not found.is_tidy:
        raise typer.Exit(FOUND_WRONG)
