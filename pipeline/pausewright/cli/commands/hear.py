"""`pausewright hear`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.hearing import let_hear
from pausewright.cli.late import loaded_late
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, QuietOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import heard
    from pausewright.tasks import heard_lines


def hear(
    script: ScriptArgument,
    what: Annotated[
        str,
        typer.Argument(metavar="WHAT", help="17, 17b, 4-7, practice:1, announcement:3 or line:42."),
    ],
    *,
    arrangement: Annotated[
        str, typer.Option("--arrangement", metavar="NAME", help="Name or label of a version.")
    ] = "",
    tried: Annotated[
        str,
        typer.Option(
            "--try",
            metavar="WORD=SAID",
            help="Say a word in another way: a respelling, or /sounds in IPA/.",
        ),
    ] = "",
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Write this WAV, play nothing."),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Let a question, some questions, an announcement or a line be heard as on the track.

    Readings and the silences between them are those of the version. What is voiced is kept, and a
    build finds it. What was played to its end counts as heard. The script is not changed by --try:
    the line to write into it is printed.
    """
    wanted = heard_lines.Wanted(what, arrangement, tried, out)
    with meter(silent=quiet or as_json) as shown:
        found = heard_lines.hear_lines(script, wanted, shown.counter("voicing"))
    if as_json:
        tell_json(
            {
                "file": str(found.file),
                "length_s": round(float(found.length_s), 3),
                "sounds": [
                    {
                        "start_s": round(float(one.start_s), 3),
                        "words": one.words,
                        "voice": one.voice,
                        "line": one.line,
                    }
                    for one in found.sounds
                ],
                "entry": found.entry,
            }
        )
    else:
        for one in found.sounds:
            tell(f"{float(one.start_s):7.1f} s  {one.words or '(a tone or a recording)'}")
        tell(f"{float(found.length_s):7.1f} s  in all: {found.file}")
        if found.entry:
            tell(f"To keep it, write into the settings:\n    words:\n      {found.entry}")
    if out is None and not as_json and let_hear(found.file) and not tried:
        sounds = [(one.take, one.n_samples, (0, one.n_samples)) for one in found.sounds]
        heard.note_heard(script, sounds)
