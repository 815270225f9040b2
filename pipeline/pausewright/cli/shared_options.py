"""Arguments and options that several commands take."""

from pathlib import Path
from typing import Annotated

import typer

ScriptArgument = Annotated[Path, typer.Argument(metavar="SCRIPT", help="The script, a .md file.")]
OutOption = Annotated[
    Path, typer.Option("--out", metavar="DIR", help="Folder of the results of build.")
]
PasswordOption = Annotated[
    Path | None,
    typer.Option("--password-file", metavar="FILE", help="The password is its first line."),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print the result as JSON on standard output.")
]
QuietOption = Annotated[
    bool, typer.Option("--quiet", "-q", help="Print problems and results only, no progress.")
]
FormatOption = Annotated[
    str, typer.Option("--format", metavar="LIST", help="mp3, wav, flac, or several: mp3,wav")
]
ScreenOption = Annotated[
    str,
    typer.Option(
        "--screen", metavar="HOW", help="Room screen: audio beside it, or inline in the page."
    ),
]
VideoOption = Annotated[
    str,
    typer.Option(
        "--video",
        metavar="LIST",
        help="MP4 with captions for a projector: burned-in, switchable, or both.",
    ),
]
SplitOption = Annotated[
    bool,
    typer.Option(
        "--split-at-stops", help="Also one file per stretch: the next is started by hand."
    ),
]
TextPapersOption = Annotated[bool, typer.Option("--text-papers", help="Also papers as plain text.")]
MarkSchemeOption = Annotated[
    bool, typer.Option("--mark-scheme", help="Also a mark scheme, confidential.")
]
