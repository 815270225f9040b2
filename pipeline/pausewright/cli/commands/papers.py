"""`pausewright papers`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import (
    JsonOption,
    MarkSchemeOption,
    OutOption,
    QuietOption,
    ScriptArgument,
    TextPapersOption,
)
from pausewright.shown_text import problems_data

with loaded_late():
    from pausewright.deliver import build as builder
    from pausewright.deliver import papers_again
    from pausewright.tasks import paper_templates


def papers(
    script: ScriptArgument,
    *,
    arrangement: Annotated[
        list[str] | None,
        typer.Option(
            "--arrangement", metavar="NAME", help="Name or label of a version (repeat); else all."
        ),
    ] = None,
    start: Annotated[
        str,
        typer.Option("--start", metavar="HH:MM", help="When the track starts, for clock times."),
    ] = "",
    mark_scheme: MarkSchemeOption = False,
    text_papers: TextPapersOption = False,
    copy_templates: Annotated[
        Path | None,
        typer.Option(
            "--copy-templates", metavar="DIR", help="Write our templates there, to be changed."
        ),
    ] = None,
    out: OutOption = Path("out"),
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write the papers alone: before a build the answer sheet, after it all of them again.

    After a build the track stays as it is; papers and build record are renewed together. Lay rooms
    out again afterwards (needs).
    """
    if copy_templates is not None:
        for file in paper_templates.copy_templates(copy_templates):
            tell(f"wrote {file}")
        return
    with meter(silent=quiet or as_json) as progress:
        options = builder.Options(
            out,
            progress=progress.show,
            start=start,
            mark_scheme=mark_scheme,
            text_papers=text_papers,
        )
        found = papers_again.write_papers(script, options, arrangement or ())
    if as_json:
        data = {
            "folder": str(found.folder),
            "files": [str(file) for file in found.files],
            "is_timed": found.is_timed,
            **problems_data("warnings", found.warnings),
            "notes": list(found.notes),
        }
        tell_json(data)
        return
    print_problems(found.warnings)
    for file in found.files:
        tell(f"wrote {file}")
    if not quiet:
        for note in found.notes:
            tell(f"  {note}")
