"""`pausewright voices`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from pausewright.cli.late import Late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.shared_options import JsonOption

if TYPE_CHECKING:
    from pausewright.voice import voice_list
else:
    voice_list = Late("pausewright.voice.voice_list")

SHOWN: Final = ("language", "engine", "licence", "origin")
"""Fields of a voice, in their order."""
ADD_A_VOICE: Final = """
To add a voice, put its model files (.onnx and .onnx.json) beside your script and describe it in
a file NAME.voice.yaml there:
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
    as_json: JsonOption = False,
) -> None:
    """List the voices that this machine has, with language, licence and origin."""
    found = voice_list.all_profiles(script.parent if script is not None else Path())
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
            tell(f"    {field:<9} {value}")
    tell(ADD_A_VOICE)
