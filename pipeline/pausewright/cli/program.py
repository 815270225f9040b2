"""The program: which commands there are, and how it ends, whatever happens."""

from __future__ import annotations

import errno
import gc
import os
import sys
from typing import TYPE_CHECKING, Annotated, Final

import typer
from typer.core import TyperGroup

from pausewright import __version__
from pausewright.cli.command_table import COMMANDS, load_command
from pausewright.cli.exit_codes import GOOD, INTERRUPTED
from pausewright.cli.last_resort import guarded, say_stopped
from pausewright.cli.messages import print_error, without_content
from pausewright.cli.printing import tell, use_utf8
from pausewright.offline import connections_refused
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from typer._click import Command, Context

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""Read when numpy is loaded. Our products of matrices are small: a second thread would wait for
them in a loop, on a processor that the voice needs."""

_OBJECTS_BETWEEN_COLLECTIONS: Final = 100_000
"""Loading modules makes many objects that all stay: Python would look through them in vain."""


class _Commands(TyperGroup):
    """The commands; the one that is called is loaded then."""

    def resolve_command(
        self, ctx: Context, args: list[str]
    ) -> tuple[str | None, Command | None, list[str]]:
        """Return the command that is called, with the arguments that are left for it."""
        name, listed, rest = super().resolve_command(ctx, args)
        return name, listed if name is None else load_command(name), rest

    def invoke(self, ctx: Context) -> object:
        """Run a command; what the library would end without a word comes out another way."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            say_stopped()
            raise typer.Exit(INTERRUPTED) from None
        except EOFError as error:  # the library takes it for a user who gives up
            raise RuntimeError from error


app = typer.Typer(
    name="pausewright",
    cls=_Commands,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help=(
        "Tests given by ear: one script becomes a voiced, exactly timed track with captions, and "
        "an independent check measures the delivered file.\n\n"
        "Start with:  pausewright new test.md   then   pausewright outline test.md   and   "
        "pausewright build test.md\n\n"
        "Nothing leaves this machine. Exit codes: 0 good, 1 the check found something wrong, "
        "2 the input or the call was wrong, 70 a fault of Pausewright itself, 130 interrupted."
    ),
)


def _listed() -> None:
    """Stand for a command in the list of commands; what runs is what `load_command` returns."""


for _name, _sentence in COMMANDS.items():
    app.command(_name, help=_sentence)(_listed)


def _print_version(*, value: bool) -> None:
    if value:
        tell(f"pausewright {__version__}")
        raise typer.Exit


@app.callback()
def _global(
    *,
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    """Keep options that stand before the command."""
    del version


@connections_refused()
def main() -> None:
    """Run the command line; neither a user's mistake nor a fault of ours shows a traceback."""
    gc.set_threshold(_OBJECTS_BETWEEN_COLLECTIONS)
    use_utf8()
    try:
        raise SystemExit(guarded(_run))
    finally:
        # all is over: looking for what could be freed took a fifteenth of a check
        gc.freeze()


def _run() -> int:
    is_blind = "--blind" in sys.argv[1:]
    try:
        app(prog_name="pausewright")
    except PausewrightError as error:
        print_error(without_content(error) if is_blind else error)
        return error.exit_code
    except BrokenPipeError:
        raise
    except OSError as error:
        where = f" ‘{error.filename}’" if error.filename and not is_blind else ""
        why = error.strerror or error.errno or (type(error).__name__ if is_blind else error)
        what = f"the system refused{where}: {why}"
        if error.errno == errno.ENAMETOOLONG:
            what = f"the name{where} is too long for this file system"
        refused = PausewrightError(what)
        print_error(refused)
        return refused.exit_code
    return GOOD
