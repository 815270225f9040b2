"""`pausewright voices`."""

import sys
from pathlib import Path
from typing import Annotated, Final

import typer

from pausewright.cli.hearing import let_hear
from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, QuietOption
from pausewright.problems import OutputError

with loaded_late():
    from pausewright.tasks import added_voices, heard_voice
    from pausewright.voice import voice_list

SHOWN: Final = ("language", "engine", "licence", "origin", "caution")
"""Fields of a voice, in their order."""
ADD_A_VOICE: Final = """
Hear one:  pausewright voices --hear emma
A script that names no voice gets the first one of its language; speakers get one each.

To add a voice from the network (the one command that connects):
    pausewright voices --add emma-small              8 MB, British, very fast
    pausewright voices --add en_GB-cori-medium       or another Piper model, about 60 MB
It shows licence and size first. For a whole centre give --folder DIR on the shared drive, and set
PAUSEWRIGHT_VOICES to that folder on every machine.

To use a model or recordings of your own, describe them in NAME.voice.yaml beside your script:
    name: NAME
    engine: piper
    model: NAME.onnx
    language: en-GB
    licence: as its makers state it
    origin: where you have it from
Then write voice: NAME in the settings of the script. Read the licence before you use a voice."""


def voices(
    *,
    script: Annotated[
        Path | None,
        typer.Option("--script", metavar="SCRIPT", help="Also list the voices beside this script."),
    ] = None,
    hear: Annotated[
        str, typer.Option("--hear", metavar="NAME", help="Let a voice say a neutral sentence.")
    ] = "",
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="With --hear: write this WAV, play nothing."),
    ] = None,
    add: Annotated[
        str, typer.Option("--add", metavar="NAME", help="Fetch a voice from the network.")
    ] = "",
    remove: Annotated[
        str, typer.Option("--remove", metavar="NAME", help="Remove a voice that was added.")
    ] = "",
    folder: Annotated[
        Path | None,
        typer.Option("--folder", metavar="DIR", help="Folder of added voices."),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Add or remove without asking.")] = False,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """List the voices that this machine has, with language, licence and origin.

    One of them can be heard; others can be added from the network and removed.
    """
    place = folder or (script.parent if script is not None else Path())
    if sum(map(bool, (hear, add, remove))) > 1:
        raise OutputError("--hear, --add and --remove are three calls", "give one of them")
    if hear:
        _hear(hear, place, out)
    elif add:
        _add(add, place, yes=yes, quiet=quiet)
    elif remove:
        _remove(remove, place, yes=yes)
    else:
        _list(place, as_json=as_json)


def _list(place: Path, *, as_json: bool) -> None:
    found = voice_list.all_profiles(place)
    rows = [
        {"name": one.name, **{field: getattr(one, field) for field in SHOWN}}
        for one in found.values()
    ]
    if as_json:
        tell_json(rows)
        return
    for row in rows:
        tell(row.pop("name"))
        for field, value in row.items():
            if value:
                tell(f"    {field:<9} {value}")
    tell(ADD_A_VOICE)


def _hear(name: str, place: Path, out: Path | None) -> None:
    file = out or Path(f"{name}.wav")
    caution = heard_voice.sample(name, place, file)
    tell(f"{name} speaks in {file}")
    if caution:
        tell(f"caution  {caution}")
    if out is None:
        let_hear(file)


def _add(name: str, place: Path, *, yes: bool, quiet: bool) -> None:
    offer = added_voices.offered(name)
    tell(f"{offer.name}: {offer.language}, {offer.n_bytes / 1e6:.1f} MB, into {place.resolve()}")
    tell(f"licence  {offer.licence}")
    tell(f"origin   {offer.origin}\n")
    tell(offer.card)
    if not _agreed("Read that. Fetch it?", "nothing was fetched", yes=yes):
        tell("nothing was fetched")
        return
    with meter(silent=quiet) as shown:
        profile = added_voices.add(
            offer, place, lambda file, done, n_all: shown.counter(file)(done, n_all)
        )
    tell(f"added: {profile}")
    tell(f"hear it: pausewright voices --hear {offer.name} --folder {place}")


def _remove(name: str, place: Path, *, yes: bool) -> None:
    what = added_voices.removal(name, place)
    for file in what.files:
        tell(f"  {file}")
    for one in what.scripts:
        tell(f"{one} names this voice: name another one there, or it cannot be built")
    if not _agreed("Remove it?", "nothing was removed", yes=yes):
        tell("left as it is")
        return
    added_voices.remove(what)
    tell("removed")


def _agreed(question: str, undone: str, *, yes: bool) -> bool:
    if yes:
        return True
    if not sys.stdin.isatty():
        raise OutputError(undone, "add --yes to go on without asking")
    try:
        return input(f"{question} [y/N] ").strip().lower() in {"y", "yes"}
    except EOFError:
        return False
