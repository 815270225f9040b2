"""`pausewright check`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pausewright.cli.exit_codes import FOUND_WRONG
from pausewright.cli.freed_memory import keep_freed_memory
from pausewright.cli.late import loaded_late
from pausewright.cli.library_lines import library_lines_dropped
from pausewright.cli.printing import tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import JsonOption, PasswordOption, QuietOption

with loaded_late():
    from pausewright.checker.report import blind as blind_report
    from pausewright.checker.report import folder_report, page, report
    from pausewright.deliver import recheck
    from pausewright.tasks import passwords, recogniser_at_hand

if TYPE_CHECKING:
    from pausewright.checker.result.delivered import Delivered


def check(
    track: Annotated[
        Path,
        typer.Argument(metavar="PATH", help="A delivered file, or a folder as it was handed over."),
    ],
    *,
    script: Annotated[
        Path | None,
        typer.Option(
            "--script", metavar="SCRIPT", help="Its script; without it a track is only measured."
        ),
    ] = None,
    captions: Annotated[
        list[Path] | None,
        typer.Option("--captions", metavar="FILE", help="Caption file to check with it (repeat)."),
    ] = None,
    record: Annotated[
        Path | None,
        typer.Option("--record", metavar="FILE", help="Build record to compare a folder with."),
    ] = None,
    readers: Annotated[
        str | None,
        typer.Option(
            "--readers",
            metavar="PROFILE",
            help="adult or younger-readers, for captions; else as the script says.",
        ),
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Also write the report as a page.")
    ] = None,
    blind: Annotated[
        bool,
        typer.Option("--blind", help="Verdict, times, levels and counts; nothing of the content."),
    ] = False,
    recognise: Annotated[
        bool,
        typer.Option("--recognise", help="Have a recogniser hear every utterance (English)."),
    ] = False,
    arrangement: Annotated[
        str | None,
        typer.Option(
            "--arrangement",
            metavar="NAME",
            help="Name or label of its version; by the label in the file without it.",
        ),
    ] = None,
    standard: Annotated[
        Path | None,
        typer.Option(
            "--standard",
            metavar="FILE",
            help="The standard track: nothing but what is declared may differ from it.",
        ),
    ] = None,
    needs: Annotated[
        Path | None,
        typer.Option(
            "--needs", metavar="NEEDS.csv", help="Candidates' list to compare rooms with."
        ),
    ] = None,
    room: Annotated[
        str, typer.Option("--room", metavar="NAME", help="The room where you are.")
    ] = "",
    password_file: PasswordOption = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Measure what was delivered and compare it with its script, or with what was recorded.

    The check decodes the file, finds sound and silence by itself and knows nothing of how it was
    made. Caption files that lie beside the track under the same name are checked with it. A folder
    is compared with its packing list, and with the build record if that is at hand; rooms that
    `needs` laid out, or `pack` packed, also with the list of needs. A paper is judged by what it
    shows. A track without a script is measured: levels, silences and a drawing of its time
    (--html). With --recognise a recogniser on this machine hears every utterance, and its words
    are compared.
    """
    keep_freed_memory()
    with library_lines_dropped(), meter(silent=quiet or as_json) as progress:
        found = recheck.recheck(
            track,
            script=script,
            captions=captions or (),
            record=record,
            readers=readers,
            arrangement=arrangement,
            standard=standard,
            progress=progress.share,
            needs=needs,
            room=room,
            password="" if password_file is None else passwords.read_password(password_file),
            ear=recogniser_at_hand.bundled_ear(progress.counter("hearing")) if recognise else None,
        )
        text = page.as_page(found, is_blind=blind) if html is not None else ""
    if html is not None:
        page.write_page(text, html, is_blind=blind)
    if as_json:
        tell_json(_data(found, blind=blind))
    else:
        tell(_text(found, blind=blind, quiet=quiet), end="")
    if not found.is_good:
        raise typer.Exit(FOUND_WRONG)


def _data(found: "Delivered", *, blind: bool) -> dict[str, object]:
    if blind:
        return blind_report.as_blind_data(found)
    if found.is_folder:
        return folder_report.as_folder_data(found)
    return report.as_data(found.checks[0])


def _text(found: "Delivered", *, blind: bool, quiet: bool) -> str:
    if blind:
        return blind_report.as_blind_text(found)
    if found.is_folder:
        return folder_report.as_folder_text(found, is_short=quiet)
    return (report.as_short_text if quiet else report.as_text)(found.checks[0])
