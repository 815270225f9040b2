"""`pausewright wording`."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Final

import typer

from pausewright.cli.exit_codes import BAD_INPUT, FOUND_WRONG
from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_first_problems, print_problems
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, QuietOption, ScriptArgument
from pausewright.problems import PausewrightError

with loaded_late():
    from pausewright.tasks import recogniser_at_hand, sentences
    from pausewright.wording import plain_lines, table

PIPE: Final = Path("-")


def wording(
    script: ScriptArgument,
    *,
    language: Annotated[
        str, typer.Option("--language", metavar="TAG", help="Language of lines from a pipe.")
    ] = "",
    chosen: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="NAME=VALUE", help="A way of reading for them (repeat)."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Also list sentences that are said as written.")
    ] = False,
    recognise: Annotated[
        bool,
        typer.Option("--recognise", help="Voice every sentence, and have a recogniser hear it."),
    ] = False,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show how every sentence is written, spoken and shown, for signing off; warnings first.

    With - in place of SCRIPT and --language en-GB, lines from standard input are put into words:
    one spoken line for each. With --recognise every distinct sentence is voiced, and what a
    recogniser on this machine hears in it stands beside its words (English).
    """
    if script == PIPE:
        if recognise:
            raise PausewrightError(
                "lines from a pipe are put into words, not voiced", "put them into a script"
            )
        _word_lines(language, chosen or [], as_json=as_json, quiet=quiet)
        return
    if language or chosen:
        raise PausewrightError(
            "--language and --set are for lines from a pipe",
            "write them into the script's settings",
        )
    if recognise:
        with meter(silent=quiet or as_json) as progress:
            found = recogniser_at_hand.sentences_heard(
                script, voicing=progress.counter("voicing"), hearing=progress.counter("hearing")
            )
    else:
        found = sentences.sentences_of(script)
    if as_json:
        tell_json(table.table_data(found.rows, found.problems, found.heard))
    else:
        if not quiet:
            print_problems(found.problems)
        tell(table.table_text(found.rows, everything=everything, heard=found.heard), end="")
    if found.has_errors:
        raise typer.Exit(BAD_INPUT)
    if found.is_heard_otherwise:
        raise typer.Exit(FOUND_WRONG)


def _word_lines(language: str, chosen: Sequence[str], *, as_json: bool, quiet: bool) -> None:
    """Print one spoken line for each line of standard input."""
    if not language:
        raise PausewrightError(
            "lines need a language", "write: pausewright wording --language en-GB -"
        )
    pairs = dict(one.partition("=")[::2] for one in chosen)
    worder = plain_lines.LineWorder(PIPE, language, pairs)
    text: list[str] = []
    reconfigure = getattr(sys.stdin, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(encoding="utf-8-sig", errors="replace")
    for number, line in enumerate(sys.stdin, start=1):
        written = line.rstrip("\r\n")
        text.append(written)
        spoken = worder.spoken(written, number)
        if as_json:
            shown = worder.shown(written, number)
            row = {"line": number, "written": written, "spoken": spoken, "shown": shown}
            tell_json(row, indent=None)
        else:
            tell(spoken)
    sys.stdout.flush()
    if not quiet:
        print_first_problems(worder.problems.all, {PIPE: text})
    if worder.problems.errors:
        raise typer.Exit(BAD_INPUT)
