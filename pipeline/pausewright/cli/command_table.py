"""The commands in the order of a person's work; the module of each is loaded when it is called."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final, cast

import typer

from pausewright.cli.given_once import OnceCommand

if TYPE_CHECKING:
    from collections.abc import Callable

    from typer.core import TyperCommand

COMMANDS: Final = {
    "desk": "Open the desk of a folder in the browser: the whole job without a terminal.",
    "new": "Write a small commented script to start from.",
    "draft": (
        "Write a first script for a recording: its readings found, silences measured, doubts told."
    ),
    "schemas": (
        "Write JSON Schemas into a folder, so that an editor completes settings and arrangements."
    ),
    "outline": (
        "Show structure, spoken words, every silence and where its value came from, and totals."
    ),
    "tidy": ("Tidy a script without touching its meaning, and write it to NAME.tidy.md beside it."),
    "hear": ("Let a question, some questions, an announcement or a line be heard as on the track."),
    "heard": ("Read the log of a listening page, and say which questions were heard."),
    "build": (
        "Voice, lay and write a script in all its arrangements, then check what was written."
    ),
    "season": (
        "Make all tests of a folder in all their arrangements, as build does, by many workers."
    ),
    "papers": (
        "Write the papers alone: before a build the answer sheet, after it all of them again."
    ),
    "compare": "Show all arrangements of a script side by side, with the sums.",
    "differs": "Show what differs between two states of a test, prove it, and say what follows.",
    "retime": (
        "Read captions made for the standard track strictly, and write them for another version."
    ),
    "needs": (
        "Lay out a folder for each room: a track for each player, papers, a checklist, its list."
    ),
    "pack": ("Pack what one room gets as one zip or folder, encrypted on request."),
    "check": (
        "Measure what was delivered and compare it with its script, or with what was recorded."
    ),
    "sign": (
        "Sign for words, sound, times or papers of what was built, so that it is no draft any more."
    ),
    "where": (
        "Say what a stop at one place of a track meant: what was cut, where to go on, what is owed."
    ),
    "excerpt": ("Write some questions of a built track as a file to be heard again, with a sheet."),
    "voices": "List the voices that this machine has, with language, licence and origin.",
    "wording": (
        "Show how every sentence is written, spoken and shown, for signing off; warnings first."
    ),
    "forget": "List what was kept of voiced sound beside a script, and remove it.",
}
"""Name and first sentence of the help; `NAME` in `pausewright.cli.commands.NAME` does the work."""


def load_command(name: str) -> TyperCommand:
    """Load a command with its arguments, its options and its whole help."""
    module = import_module(f"pausewright.cli.commands.{name}")
    function = cast("Callable[..., None]", getattr(module, name))
    one = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
    one.command(name, cls=OnceCommand)(function)
    return cast("TyperCommand", typer.main.get_command(one))
