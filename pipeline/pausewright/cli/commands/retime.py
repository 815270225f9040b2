"""`pausewright retime`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import counted, tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, QuietOption, ScriptArgument
from pausewright.shown_text import problems_data

with loaded_late():
    from pausewright.deliver import build as builder
    from pausewright.deliver import caption_retime as retimer


def retime(
    captions: Annotated[
        Path, typer.Argument(metavar="CAPTIONS", help="A .vtt or .srt file for the standard track.")
    ],
    script: ScriptArgument,
    *,
    arrangement: Annotated[
        str,
        typer.Option("--arrangement", metavar="NAME", help="Name or label of the version."),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FILE", help="File to write; else NAME_LABEL beside."),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Read captions made for the standard track strictly, and write them for another version.

    Each caption keeps to the speech over which it stands. The given file is never changed. Words
    are not compared: check the new file with its track (check --captions).
    """
    with meter(silent=quiet or as_json) as progress:
        options = builder.Options(Path("out"), arrangement=arrangement, progress=progress.show)
        found = retimer.retime(captions, script, options, out)
    if as_json:
        data = {
            "written": str(found.written),
            "version_label": found.label,
            "captions": found.n_cues,
            **problems_data("warnings", found.warnings),
            "notes": list(found.notes),
        }
        tell_json(data)
        return
    print_problems(found.warnings)
    tell(f"wrote {found.written}: {counted(found.n_cues, 'caption')} for version {found.label}")
    if quiet:
        return
    for note in found.notes:
        tell(f"  {note}")
    tell(f"next: pausewright check TRACK --script {script} --captions {found.written}")
