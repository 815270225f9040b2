"""`pausewright compare`."""

from pathlib import Path
from typing import Annotated

import typer

from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.shared_options import JsonOption, OutOption, QuietOption, ScriptArgument

with loaded_late():
    from pausewright.deliver import comparison as forms
    from pausewright.papers.timed import day_time
    from pausewright.tasks import arrangements


def compare(
    script: ScriptArgument,
    *,
    out: OutOption = Path("out"),
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Also write a page with bars.")
    ] = None,
    start: Annotated[
        str,
        typer.Option("--start", metavar="HH:MM", help="When the tracks start, for times of day."),
    ] = "",
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show all arrangements of a script side by side, with the sums. Confidential."""
    at = day_time.read_day_time(start) if start else None
    found = arrangements.compare_versions(script, out)
    if html is not None:
        arrangements.write_comparison_page(found, html)
    if as_json:
        tell_json(forms.compare_data(found.title, found.edition, found.columns))
        return
    tell(forms.compare_text(found.title, found.edition, found.columns, at), end="")
    if html is not None:
        tell(f"wrote {html}")
    if not quiet:
        print_problems(found.warnings)
