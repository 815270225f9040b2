"""`pausewright sign`."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, OutOption, QuietOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import build_options
    from pausewright.deliver import sign as signing


def sign(
    script: ScriptArgument,
    *,
    name: Annotated[str, typer.Option("--as", metavar="NAME", help="Who signs.")],
    signed_for: Annotated[
        str, typer.Option("--for", metavar="WHAT", help="wording, sound, timing or papers.")
    ],
    arrangement: Annotated[
        list[str] | None,
        typer.Option(
            "--arrangement", metavar="NAME", help="Name or label of a version (repeat); else all."
        ),
    ] = None,
    key: Annotated[
        Path | None,
        typer.Option("--key", metavar="FILE", help="Also sign with this Ed25519 key (PEM)."),
    ] = None,
    out: OutOption = Path("out"),
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Sign for words, sound, times or papers of what was built, so that it is no draft any more.

    A track is no draft once somebody signed for wording, sound and timing; a paper, for papers. A
    change voids only what it touches. Signatures lie beside the script; nothing is voiced, and
    what says "draft" is written again. Lay rooms out again afterwards (needs).
    """
    with meter(silent=quiet or as_json) as shown:
        options = build_options.Options(out, progress=shown.show)
        day = datetime.now().astimezone().date()
        word = signing.Word(name, signed_for, day, key)
        found = signing.sign(script, word, options, arrangement or ())
    if as_json:
        tell_json(
            {
                "signatures": str(found.file),
                "versions": list(found.labels),
                "detached": [str(file) for file in found.detached],
            }
        )
        return
    tell(f"signed for {signed_for} by {name}: version {', '.join(found.labels)}")
    for file in (found.file, *found.detached):
        tell(f"wrote {file}")
    tell("Rooms that were laid out before hold drafts: lay them out again (needs).")
