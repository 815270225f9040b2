"""What nobody foresaw ends here: a sentence, an exit code, a report without a word of the test."""

from __future__ import annotations

import contextlib
import sys
from typing import TYPE_CHECKING

from pausewright.cli.command_table import COMMANDS, load_command
from pausewright.cli.exit_codes import FAULT, GOOD, INTERRUPTED
from pausewright.cli.late import loaded_late
from pausewright.cli.printing import say, tell_json

with loaded_late():
    from pausewright import fault_report

if TYPE_CHECKING:
    from collections.abc import Callable


def guarded(run: Callable[[], int]) -> int:
    """Return the exit code of `run`, or that of a fault, which is told and reported.

    No text of an error is printed: it could quote a script.
    """
    try:
        return run()
    except KeyboardInterrupt:
        say_stopped()
        return INTERRUPTED
    except BrokenPipeError:
        return GOOD
    except Exception as fault:  # noqa: BLE001  what nobody foresaw ends here, whatever it is
        _print_fault(fault)
        return FAULT


def say_stopped() -> None:
    """Print that the user stopped the command."""
    say("\nstopped; nothing half-written was left")


def _print_fault(fault: Exception) -> None:
    report = fault_report.fault_report(fault, sys.argv[1:], _known_options())
    file = fault_report.write_fault_report(report)
    what = (
        "this machine has not enough free memory for it"
        if isinstance(fault, MemoryError)
        else "a fault of Pausewright itself stopped this, and nothing half-written was left"
    )
    hint = (
        f"pass on the report {file}: it holds nothing of your test"
        if file is not None
        else "no report of it could be written"
    )
    if "--json" in sys.argv[1:]:
        path = None if file is None else str(file)
        tell_json({"error": what, "hint": hint, "report": path}, indent=None)
        return
    say(f"error: {what}\n  hint: {hint}")


def _known_options() -> dict[str, frozenset[str]]:
    """Return the options of the command that was called; of the others only the names count."""
    known: dict[str, frozenset[str]] = dict.fromkeys(COMMANDS, frozenset())
    called = next((word for word in sys.argv[1:] if word in COMMANDS), None)
    if called is not None:
        with contextlib.suppress(Exception):  # the command itself may be what cannot be loaded
            params = load_command(called).params
            known[called] = frozenset(option for one in params for option in one.opts)
    return known
