"""Everything that the command line can do with one test can be done on the desk."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from pausewright.cli.command_table import COMMANDS, load_command
from pausewright.desk.forms import FORMS
from pausewright.desk.run_work import RUNNERS
from support.desks.made import NEEDS
from support.desks.offers import OFFERS

if TYPE_CHECKING:
    from support.desks.folder import Place


def parameters(command: str) -> set[str]:
    """Return the arguments and options of a command as its `--help` lists them."""
    return {str(one.name) for one in load_command(command).params if one.name != "help"}


def test_every_command_and_option_has_its_place() -> None:
    """A new command or option fails this until somebody says where the desk has it, or why not."""
    assert list(OFFERS.keys() ^ COMMANDS.keys()) == []
    assert {
        command: sorted(parameters(command) ^ set(known))
        for command, known in OFFERS.items()
        if parameters(command) ^ set(known)
    } == {}


def test_each_place_holds_the_field(made: Place) -> None:
    """On the page that the table names there is a field, or a form, of that name."""
    client = made.client
    test = made.id_of("lantern.md")
    rooms = made.folder / "lantern.needs.csv"
    rooms.write_text(NEEDS, encoding="utf-8")
    assert "laid out" in client.done(f"/test/{test}/rooms/lay", {"start": ""})
    pages: dict[str, str] = {}
    missing = []
    for command, known in OFFERS.items():
        for option, offer in known.items():
            if isinstance(offer, str):
                continue
            address, field = offer[0].format(id=test), offer[1]
            if address not in pages:
                pages[address] = client.read(address)
            text = pages[address]
            what, _, name = field.partition(":")
            pattern = rf'action="[^"]*/{name}"' if name else rf'name="{what}"'
            if not re.search(pattern, text):
                missing.append(f"{command} {option}: {field} is not on {offer[0]}")

    assert missing == []


def test_every_form_is_done_by_something() -> None:
    """Each form has its runner, and each runner its form; what follows is offered by a form."""
    assert sorted(FORMS) == sorted(RUNNERS)
    assert {one.follows for one in FORMS.values() if one.follows} <= set(FORMS)
