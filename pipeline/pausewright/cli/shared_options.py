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
