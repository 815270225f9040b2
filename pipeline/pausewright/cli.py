"""The command line: reads arguments, calls, prints, chooses the exit code.

The only module that prints. Everything that takes time to load is imported inside the command
that needs it, so that `pausewright --help` answers at once.

Exit codes: 0 good; 1 the check found something wrong; 2 the input or the call was wrong;
70 a fault of the program itself; 130 interrupted.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, TypeAlias

import typer
from typer.core import TyperGroup

from pausewright import __version__
from pausewright.offline import connections_refused

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from pausewright.arrange.arrangement import TrackFormat
    from pausewright.checker.delivered import Delivered
    from pausewright.checker.ear.hearing import Ear
    from pausewright.checker.ear.recogniser import Recogniser
    from pausewright.checker.findings import CheckResult
    from pausewright.deliver.build import Built, Progress
    from pausewright.deliver.project import Project
    from pausewright.problems import PausewrightError, Problem
    from pausewright.wording.table import Heard, Row

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""Read when numpy is loaded. Our products of matrices are small: a second thread would wait for
them in a loop, on a processor that the voice needs."""

GOOD: Final = 0
FOUND_WRONG: Final = 1
BAD_INPUT: Final = 2
FAULT: Final = 70
INTERRUPTED: Final = 130


class _Commands(TyperGroup):
    """The commands; what the library would end without a word comes out another way."""

    def invoke(self, ctx: Any) -> object:  # noqa: ANN401  a class that the library keeps to itself
        """Run a command."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            _say(_STOPPED)
            raise typer.Exit(INTERRUPTED) from None
        except EOFError as error:  # the library takes it for a user who gives up
            raise RuntimeError from error


_STOPPED: Final = "\nstopped; nothing half-written was left"

app = typer.Typer(
    name="pausewright",
    cls=_Commands,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help=(
        "Tests given by ear: one script becomes a voiced, exactly timed track with captions, and "
        "an independent check measures the delivered file.\n\n"
        "Start with:  pausewright new test.md   then   pausewright outline test.md   and   "
        "pausewright build test.md\n\n"
        "Nothing leaves this machine. Exit codes: 0 good, 1 the check found something wrong, "
        "2 the input or the call was wrong, 70 a fault of Pausewright itself, 130 interrupted."
    ),
)

ScriptArgument = Annotated[Path, typer.Argument(metavar="SCRIPT", help="The script, a .md file.")]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print the result as JSON on standard output.")
]
QuietOption = Annotated[
    bool, typer.Option("--quiet", "-q", help="Print problems and results only, no progress.")
]


@connections_refused()
def main() -> None:
    """Run the command line; neither a user's mistake nor a fault of ours shows a traceback."""
    _use_utf8()
    code = _guarded(_run)
    raise SystemExit(code)


def _run() -> int:
    from pausewright.problems import PausewrightError  # noqa: PLC0415

    is_blind = "--blind" in sys.argv[1:]
    try:
        app(prog_name="pausewright")
    except PausewrightError as error:
        _print_error(_without_content(error) if is_blind else error)
        return error.exit_code
    except BrokenPipeError:
        raise
    except OSError as error:
        where = f" ‘{error.filename}’" if error.filename and not is_blind else ""
        what = f"the system refused{where}: {error.strerror or error.errno}"
        if error.errno == errno.ENAMETOOLONG:
            what = f"the name{where} is too long for this file system"
        refused = PausewrightError(what)
        _print_error(refused)
        return refused.exit_code
    return GOOD


def _guarded(run: Callable[[], int]) -> int:
    """Return the exit code of `run`, or that of a fault, which is told and reported.

    No text of an error is printed: it could quote a script.
    """
    try:
        return run()
    except KeyboardInterrupt:
        _say(_STOPPED)
        return INTERRUPTED
    except BrokenPipeError:
        return GOOD
    except Exception as fault:  # noqa: BLE001  what nobody foresaw ends here, whatever it is
        _print_fault(fault)
        return FAULT


def _print_fault(fault: Exception) -> None:
    from pausewright.fault_report import fault_report, write_fault_report  # noqa: PLC0415
    from pausewright.shown_text import json_text  # noqa: PLC0415

    commands = {
        name: frozenset(option for param in command.params for option in param.opts)
        for name, command in typer.main.get_group(app).commands.items()
    }
    file = write_fault_report(fault_report(fault, sys.argv[1:], commands))
    what = (
        "this machine has not enough free memory for it"
        if isinstance(fault, MemoryError)
        else "a fault of Pausewright itself stopped this, and nothing half-written was left"
    )
    hint = (
        f"pass on the report {file}: it holds nothing of your test"
        if file is not None
        else "no report of it could be written"
    )
    if "--json" in sys.argv[1:]:
        report = None if file is None else str(file)
        print(json_text({"error": what, "hint": hint, "report": report}))
        return
    _say(f"error: {what}\n  hint: {hint}")


def _use_utf8() -> None:
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")


def _say(text: str) -> None:
    """Print on standard error, with a sign for each control character."""
    from pausewright.shown_text import harmless  # noqa: PLC0415

    print(harmless(text), file=sys.stderr)


def _tell(text: str, *, end: str = "\n", flush: bool = False) -> None:
    """Print on standard output, with a sign for each control character."""
    from pausewright.shown_text import harmless  # noqa: PLC0415

    print(harmless(text), end=end, flush=flush)


def _tell_json(data: object) -> None:
    from pausewright.shown_text import json_text  # noqa: PLC0415

    print(json_text(data, indent=2))


# ---- problems -------------------------------------------------------------------------------


def _without_content(error: PausewrightError) -> PausewrightError:
    """Return an error that says nothing of a script and names no file, for `--blind`."""
    from pausewright.problems import ScriptError, TrackError  # noqa: PLC0415

    what = {ScriptError: "the script has errors", TrackError: "a file cannot be checked"}
    return TrackError(
        what.get(type(error), "this cannot be checked"),
        "run it without --blind where the test may be read, to see why",
    )


def _print_error(error: PausewrightError, *, wants_json: bool | None = None) -> None:
    from pausewright.problems import ScriptError  # noqa: PLC0415
    from pausewright.shown_text import json_text, one_line, problems_data  # noqa: PLC0415

    if wants_json is None:
        wants_json = "--json" in sys.argv[1:]
    if isinstance(error, ScriptError):
        if wants_json:
            print(json_text(problems_data("problems", error.problems)))
        else:
            _print_problems(error.problems)
    elif wants_json:
        found = {"error": one_line(error.message), "hint": one_line(error.hint)}
        print(json_text(found))
    else:
        _say(f"error: {one_line(error.message)}")
        if error.hint:
            _say(f"  hint: {one_line(error.hint)}")


def _print_problems(problems: Sequence[Problem]) -> None:
    """Print the first problems with their source lines, and how many there are."""
    from pausewright.shown_text import ROW_LIMIT, first_problems, shown_problem  # noqa: PLC0415

    shown, n_left_out = first_problems(problems)
    rows = _rows({p.place.file for p in shown})
    width = shutil.get_terminal_size((0, 0)).columns - 4 if sys.stderr.isatty() else 0
    for problem in shown:
        _say(shown_problem(problem, rows, Path.cwd(), width if width > 0 else ROW_LIMIT))
    if n_left_out:
        _say(f"and {n_left_out:,} more")
    n_errors = sum(1 for p in problems if p.severity == "error")
    n_warnings = len(problems) - n_errors
    if n_errors:
        _say(f"\n{_count(n_errors, 'error')}, {_count(n_warnings, 'warning')}; nothing was written")


def _count(n: int, word: str) -> str:
    return f"{n:,} {word}" if n == 1 else f"{n:,} {word}s"


def _rows(files: Iterable[Path]) -> dict[Path, list[str]]:
    """Return the lines of the files that may be shown.

    Rows of a list of needs are shown nowhere, and none of a file outside the folder of the
    script, to which a link leads.
    """
    from pausewright.intake.file_kinds import SCRIPT  # noqa: PLC0415
    from pausewright.intake.plain_file import file_text  # noqa: PLC0415
    from pausewright.problems import FileError  # noqa: PLC0415

    found: dict[Path, list[str]] = {}
    for file in files:
        ending = file.suffix.lower()
        if ending not in {".md", ".yaml", ".vtt", ".srt"}:
            continue
        try:
            text = file_text(file, SCRIPT, None if ending == ".md" else file.parent)
        except FileError:
            continue
        found[file] = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return found


# ---- commands -------------------------------------------------------------------------------


def _print_version(value: bool) -> None:  # noqa: FBT001  typer calls it so
    if value:
        _tell(f"pausewright {__version__}")
        raise typer.Exit


@app.callback()
def _global(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    """Keep options that stand before the command."""
    del version


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The script to write, e.g. test.md")],
) -> None:
    """Write a small commented script to start from. A file that exists is never overwritten."""
    from importlib import resources  # noqa: PLC0415

    from pausewright.files.writing import unwritable, write_new_file  # noqa: PLC0415
    from pausewright.problems import OutputError  # noqa: PLC0415

    if file.suffix != ".md":
        raise OutputError(
            f"‘{file.name}’ does not end in .md", f"write: pausewright new {file.stem}.md"
        )
    text = resources.files("pausewright.script").joinpath("new_script.md").read_text("utf-8")
    try:
        write_new_file(file, text)
    except FileExistsError:
        raise OutputError(
            f"‘{file}’ is there already and was left as it is", "choose another name"
        ) from None
    except OSError as error:
        raise unwritable(file, error, "choose a folder that you may write to") from None
    _tell(f"wrote {file}")
    _tell(f"next: change it in any text editor, then run: pausewright outline {file}")


@app.command()
def schemas(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Beside the script.")] = Path(),
) -> None:
    """Write JSON Schemas into a folder, so that an editor completes settings and arrangements."""
    from pausewright.deliver.editor_schemas import COMMENT, write_schemas  # noqa: PLC0415

    for name, is_new in write_schemas(folder).items():
        _tell(f"{'wrote' if is_new else 'left as it is:'} {folder / name}")
        _tell(f"  to use it, begin the settings or the file with: {COMMENT.format(name=name)}")


@app.command()
def outline(
    script: ScriptArgument,
    watch: Annotated[
        bool,
        typer.Option("--watch", help="Look again whenever the file is saved; stop with Ctrl+C."),
    ] = False,
    arrangement: Annotated[
        str | None,
        typer.Option("--arrangement", metavar="NAME", help="Name or label of a declared version."),
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show structure, spoken words, every silence and where its value came from, and totals.

    Nothing is voiced. Lengths of speech are exact if the script was built before, else estimated.
    With --watch only problems and totals are shown, again at every save.
    """
    if watch:
        _watch(script)
        return
    from pausewright.deliver.known_lengths import kept_lengths  # noqa: PLC0415
    from pausewright.deliver.outline import outline as make_outline  # noqa: PLC0415
    from pausewright.deliver.outline import outline_data, outline_text  # noqa: PLC0415

    project = _opened(script)
    version = None
    if arrangement is not None:
        from pausewright.deliver.version import made_versions  # noqa: PLC0415

        version = made_versions(project, [arrangement])[0]
    found = make_outline(project, kept_lengths(project, version), version)
    if as_json:
        _tell_json(outline_data(project, found))
        return
    _tell(outline_text(project, found), end="")
    if not quiet:
        _warn(project)


_LOOK_EVERY_S: Final = 0.4


def _watch(script: Path) -> None:
    """Show problems and totals now and at every save, until interrupted."""
    from pausewright.deliver.outline import outline as make_outline  # noqa: PLC0415
    from pausewright.deliver.project import open_project  # noqa: PLC0415
    from pausewright.problems import PausewrightError  # noqa: PLC0415

    def look() -> int:
        try:
            project = open_project(script)
            project.raise_errors()
            found = make_outline(project, lambda _: None)
        except PausewrightError as error:
            _print_error(error, wants_json=False)
            return error.exit_code
        except OSError as error:
            _say(f"error: the system refused: {error.strerror or error.errno}")
            return BAD_INPUT
        _warn(project)
        seconds = int(found.length_s)
        _tell(
            f"no errors; {_count(found.n_questions, 'question')}, "
            f"about {seconds // 60} min {seconds % 60} s",
            flush=True,
        )
        return GOOD

    seen: object = None
    _tell(f"watching {script}; stop with Ctrl+C", flush=True)
    while True:
        stamp = _saved(script)
        if stamp != seen:
            seen = stamp
            _tell(f"\n---- {time.strftime('%H:%M:%S')}", flush=True)
            if _guarded(look) == INTERRUPTED:
                raise typer.Exit(INTERRUPTED)
        time.sleep(_LOOK_EVERY_S)


def _saved(script: Path) -> tuple[tuple[str, int], ...]:
    """Return when each text file in the script's folder was saved last."""
    found = []
    for file in sorted({script, *script.parent.glob("*.md"), *script.parent.glob("*.yaml")}):
        try:
            found.append((str(file), file.stat().st_mtime_ns))
        except OSError:
            continue
    return tuple(found)


@app.command()
def tidy(
    script: ScriptArgument,
    out: Annotated[
        str,
        typer.Option(
            "--out", "-o", metavar="PATH", help="File to write, or - to print the text instead."
        ),
    ] = "",
    only_check: Annotated[
        bool,
        typer.Option("--check", help="Write nothing; show what would change and exit with 1."),
    ] = False,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write a script in its one form, without touching its meaning, to NAME.tidy.md beside it.

    The script itself is never changed. The new text is read again and compared before it appears.
    """
    from pausewright.deliver.tidy_file import tidy_data, tidy_file, tidy_text  # noqa: PLC0415
    from pausewright.shown_text import problems_data  # noqa: PLC0415

    found = tidy_file(script, out, only_check=only_check)
    if as_json:
        _tell_json({**tidy_data(found), **problems_data("warnings", found.warnings)})
    else:
        _print_exactly(tidy_text(found, quiet=quiet))
        if not quiet:
            _print_problems(found.warnings)
    if only_check and not found.is_tidy:
        raise typer.Exit(FOUND_WRONG)


def _print_exactly(text: str) -> None:
    """Print text that may be piped into a file: lines end in LF on every system."""
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(newline="\n")
    if sys.stdout.isatty():
        _tell(text, end="")
    else:
        print(text, end="")


@app.command()
def build(
    script: ScriptArgument,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the results.")
    ] = Path("out"),
    formats: Annotated[
        str, typer.Option("--format", metavar="LIST", help="mp3, wav, flac, or several: mp3,wav")
    ] = "mp3",
    arrangement: Annotated[
        list[str] | None,
        typer.Option(
            "--arrangement",
            metavar="NAME",
            help="Name or label of a version to build (repeat); all that are declared without it.",
        ),
    ] = None,
    workers: Annotated[
        int, typer.Option("--workers", min=1, max=16, help="Utterances voiced at the same time.")
    ] = 2,
    screen: Annotated[
        str,
        typer.Option(
            "--screen", metavar="HOW", help="Room screen: audio beside it, or inline in the page."
        ),
    ] = "beside",
    video: Annotated[
        str,
        typer.Option(
            "--video",
            metavar="LIST",
            help="MP4 with captions for a projector: burned-in, switchable, or both.",
        ),
    ] = "",
    split_at_stops: Annotated[
        bool,
        typer.Option(
            "--split-at-stops", help="Also one file per stretch: the next is started by hand."
        ),
    ] = False,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Voice, lay and write a script in all its arrangements, then check what was written.

    The results appear in DIR/(name of the script): version-A with the track and captions,
    print with papers, confidential with the records. Nothing appears if the check fails.
    """
    from pausewright.deliver.build import (  # noqa: PLC0415  # noqa: PLC0415
        CheckFailedError,
        Options,
        build_versions,
    )
    from pausewright.screen.screen_files import sound_of  # noqa: PLC0415
    from pausewright.video.video_kinds import videos_of  # noqa: PLC0415

    meter = _Meter(silent=quiet or as_json)
    started_s = time.monotonic()
    project_formats = _formats(formats)
    if not as_json:
        _warn_of_sync(script, out)
    try:
        options = Options(
            out, project_formats, workers=workers, progress=meter.show, screen=sound_of(screen),
            videos=videos_of(video), split_at_stops=split_at_stops,
        )  # fmt: skip
        built = build_versions(script, options, arrangement or ())
    except CheckFailedError as failed:
        meter.end()
        _print_checks(failed.checks, as_json=as_json)
        _say("error: the check found something wrong on what was built; nothing was delivered")
        raise typer.Exit(FOUND_WRONG) from None
    meter.end()
    if as_json:
        data = [_built_data(one) for one in built]
        body = data[0] if len(data) == 1 else data
        _tell_json(body)
        return
    warnings = tuple(dict.fromkeys(problem for one in built for problem in one.warnings))
    if warnings:
        _print_problems(warnings)
    took_s = time.monotonic() - started_s
    for one in built:
        _print_built(one, took_s, quiet=quiet)
    _tell(_NOT_HEARD)


@app.command()
def compare(
    script: ScriptArgument,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder of the results.")
    ] = Path("out"),
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="Also write a page with bars.")
    ] = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show all arrangements of a script side by side, with the sums. Confidential."""
    from pausewright.deliver.compare import compare as columns_of  # noqa: PLC0415
    from pausewright.deliver.compare import compare_data, compare_text  # noqa: PLC0415
    from pausewright.deliver.compare_page import compare_page  # noqa: PLC0415
    from pausewright.deliver.output_folder import write_new_text  # noqa: PLC0415
    from pausewright.deliver.version import made_versions  # noqa: PLC0415

    project = _opened(script)
    versions = made_versions(project)
    columns = columns_of(project, versions, out)
    settings = project.script.settings
    if html is not None:
        page = compare_page(settings.title, project.edition, settings.language, columns)
        write_new_text(html, page)
    if as_json:
        data = compare_data(settings.title, project.edition, columns)
        _tell_json(data)
        return
    _tell(compare_text(settings.title, project.edition, columns), end="")
    if html is not None:
        _tell(f"wrote {html}")
    if not quiet:
        warnings = (*project.warnings, *(p for one in versions for p in one.warnings))
        if warnings:
            _print_problems(tuple(dict.fromkeys(warnings)))


@app.command()
def retime(
    captions: Annotated[
        Path, typer.Argument(metavar="CAPTIONS", help="A .vtt or .srt file for the standard track.")
    ],
    script: ScriptArgument,
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
    from pausewright.deliver.build import Options  # noqa: PLC0415
    from pausewright.deliver.retime import retime as made  # noqa: PLC0415
    from pausewright.shown_text import problems_data  # noqa: PLC0415

    meter = _Meter(silent=quiet or as_json)
    options = Options(Path("out"), arrangement=arrangement, progress=meter.show)
    found = made(captions, script, options, out)
    meter.end()
    if as_json:
        data = {
            "written": str(found.written), "version_label": found.label, "captions": found.n_cues,
            **problems_data("warnings", found.warnings), "notes": list(found.notes),
        }  # fmt: skip
        _tell_json(data)
        return
    _print_problems(found.warnings)
    _tell(f"wrote {found.written}: {_count(found.n_cues, 'caption')} for version {found.label}")
    if quiet:
        return
    for note in found.notes:
        _tell(f"  {note}")
    _tell(f"next: pausewright check TRACK --script {script} --captions {found.written}")


@app.command()
def needs(
    listed: Annotated[
        Path,
        typer.Argument(metavar="NEEDS.csv", help="candidate, arrangement, room and headphones."),
    ],
    script: ScriptArgument,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder of the results of build.")
    ] = Path("out"),
    rooms: Annotated[
        Path, typer.Option("--rooms", metavar="DIR", help="Folder to lay the rooms out in.")
    ] = Path("rooms"),
    start: Annotated[
        str, typer.Option("--start", metavar="HH:MM", help="When the tracks start.")
    ] = "",
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Lay out a folder for each room: one track a player, papers, a checklist, the room's list.

    Candidates are codes; they stand in each room's list and nowhere else.
    """
    from pausewright.deliver.needed_rooms import make_rooms, rooms_data, rooms_text  # noqa: PLC0415

    found = make_rooms(_opened(script), listed, out, rooms, start)
    if as_json:
        _tell_json(rooms_data(found))
        return
    if found.warnings:
        _print_problems(found.warnings)
    _tell(rooms_text(found), end="")
    if not quiet:
        _tell(f"wrote {rooms}")


@app.command()
def check(
    track: Annotated[
        Path,
        typer.Argument(metavar="PATH", help="A delivered file, or a folder as it was handed over."),
    ],
    script: Annotated[
        Path | None,
        typer.Option("--script", metavar="SCRIPT", help="Its script; a folder can do without."),
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
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Measure what was delivered and compare it with its script, or with what was recorded.

    The check decodes the file, finds sound and silence by itself and knows nothing of how it was
    made. Caption files that lie beside the track under the same name are checked with it. A folder
    is compared with its packing list, and with the build record if that is at hand. With
    --recognise a recogniser on this machine hears every utterance, and its words are compared.
    """
    from pausewright.deliver.recheck import recheck  # noqa: PLC0415

    recogniser = _recogniser() if recognise else None
    meter = _Meter(silent=quiet or as_json)
    found = recheck(
        track, script=script, captions=captions or (), record=record, readers=readers,
        arrangement=arrangement, standard=standard, progress=meter.share,
        ear=_ear(recogniser, meter),
    )  # fmt: skip
    meter.end()
    if html is not None:
        from pausewright.checker.page import as_page, write_page  # noqa: PLC0415

        write_page(as_page(found, is_blind=blind), html, is_blind=blind)
    _print_delivered(found, blind=blind, as_json=as_json, quiet=quiet)
    if not found.is_good:
        raise typer.Exit(FOUND_WRONG)


@app.command()
def voices(
    script: Annotated[
        Path | None,
        typer.Option("--script", metavar="SCRIPT", help="Also list the voices beside this script."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """List the voices that this machine has, with language, licence and origin."""
    from pausewright.voice.voice_list import all_profiles  # noqa: PLC0415

    profiles = all_profiles(script.parent if script is not None else Path())
    if as_json:
        rows = [
            {
                "name": p.name, "engine": p.engine, "language": p.language,
                "licence": p.licence, "origin": p.origin,
            }
            for p in profiles.values()
        ]  # fmt: skip
        _tell_json(rows)
        return
    for profile in profiles.values():
        _tell(f"{profile.name}")
        _tell(f"    language  {profile.language}")
        _tell(f"    engine    {profile.engine}")
        _tell(f"    licence   {profile.licence}")
        _tell(f"    origin    {profile.origin}")
    _tell(_ADD_A_VOICE)


_ADD_A_VOICE: Final = """
To add a voice, put its model files (.onnx and .onnx.json) beside your script and describe it in
a file NAME.voice.yaml there:
    name: NAME
    engine: piper
    model: NAME.onnx
    language: en-GB
    licence: as its makers state it
    origin: where you have it from
Then write voice: NAME in the settings of the script. Read the licence before you use a voice."""


@app.command()
def wording(
    script: ScriptArgument,
    language: Annotated[
        str, typer.Option("--language", metavar="TAG", help="Language of lines from a pipe.")
    ] = "",
    chosen: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="NAME=VALUE", help="A way of reading for them (repeat)."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Also list sentences that are said as written.")
    ] = False,
    recognise: Annotated[
        bool,
        typer.Option("--recognise", help="Voice every sentence, and have a recogniser hear it."),
    ] = False,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Show how every sentence is written, spoken and shown, for signing off; warnings first.

    With - in place of SCRIPT and --language en-GB, lines from standard input are put into words:
    one spoken line for each. With --recognise every distinct sentence is voiced, and what a
    recogniser on this machine hears in it stands beside its words (English).
    """
    from pausewright.problems import PausewrightError  # noqa: PLC0415
    from pausewright.wording.table import table_data, table_text  # noqa: PLC0415

    if str(script) == "-":
        if recognise:
            raise PausewrightError(
                "lines from a pipe are put into words, not voiced", "put them into a script"
            )
        _word_lines(language, chosen or [], as_json=as_json, quiet=quiet)
        return
    if language or chosen:
        raise PausewrightError(
            "--language and --set are for lines from a pipe",
            "write them into the script's settings",
        )
    found, problems, heard = (
        _auditioned(script, silent=quiet or as_json) if recognise else _worded_rows(script)
    )
    if as_json:
        _tell_json(table_data(found, problems, heard))
    else:
        if not quiet:
            _print_problems(problems)
        _tell(table_text(found, everything=everything, heard=heard), end="")
    if any(problem.severity == "error" for problem in problems):
        raise typer.Exit(BAD_INPUT)
    if any(ear.verdict == "other" for ear in heard or ()):
        raise typer.Exit(FOUND_WRONG)


_Wording: TypeAlias = "tuple[Sequence[Row], Sequence[Problem], Sequence[Heard] | None]"
"""Rows of the table, problems, and what was heard in each row if anything was."""


def _worded_rows(script: Path) -> _Wording:
    from pausewright.script.reader import read  # noqa: PLC0415
    from pausewright.wording.table import rows  # noqa: PLC0415
    from pausewright.wording.worded import Worded  # noqa: PLC0415

    reading = read(script)
    worded = Worded(reading.script)
    problems = sorted(
        (*reading.problems, *worded.problems.all), key=lambda p: (p.place.line, p.place.column)
    )
    return rows(worded), problems, None


def _auditioned(script: Path, *, silent: bool) -> _Wording:
    recogniser = _recogniser()
    from pausewright.deliver.audition import audition  # noqa: PLC0415
    from pausewright.deliver.project import open_project  # noqa: PLC0415

    project = open_project(script)
    project.raise_errors()
    meter = _Meter(silent=silent)
    pairs = audition(project, recogniser, voicing=meter.voicing, hearing=meter.hearing)
    meter.end()
    return [row for row, _ in pairs], project.problems, [ear for _, ear in pairs]


def _word_lines(language: str, chosen: Sequence[str], *, as_json: bool, quiet: bool) -> None:
    """Print one spoken line for each line of standard input."""
    from pausewright.problems import PausewrightError  # noqa: PLC0415
    from pausewright.shown_text import first_problems, json_text, shown_problem  # noqa: PLC0415
    from pausewright.wording.plain_lines import LineWorder  # noqa: PLC0415

    if not language:
        raise PausewrightError(
            "lines need a language", "write: pausewright wording --language en-GB -"
        )
    pairs = dict(one.partition("=")[::2] for one in chosen)
    worder = LineWorder(Path("-"), language, pairs)
    text: list[str] = []
    reconfigure = getattr(sys.stdin, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(encoding="utf-8-sig", errors="replace")
    for number, line in enumerate(sys.stdin, start=1):
        written = line.rstrip("\r\n")
        text.append(written)
        spoken = worder.spoken(written, number)
        if as_json:
            shown = worder.shown(written, number)
            row = {"line": number, "written": written, "spoken": spoken, "shown": shown}
            print(json_text(row))
        else:
            _tell(spoken)
    sys.stdout.flush()
    if not quiet:
        first, n_left_out = first_problems(worder.problems.all)
        for problem in first:
            _say(shown_problem(problem, {Path("-"): text}))
        if n_left_out:
            _say(f"and {n_left_out:,} more")
    if worder.problems.errors:
        raise typer.Exit(BAD_INPUT)


@app.command()
def forget(
    script: ScriptArgument,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder of the results of build.")
    ] = Path("out"),
    rooms: Annotated[
        Path, typer.Option("--rooms", metavar="DIR", help="Folder that the rooms were laid out in.")
    ] = Path("rooms"),
    yes: Annotated[bool, typer.Option("--yes", help="Remove without asking.")] = False,
    as_json: JsonOption = False,
) -> None:
    """List what was kept of voiced sound beside a script, and remove it.

    What commands that were stopped left beside the script, the results and the rooms is listed and
    removed with it. Results themselves stay.
    """
    from pausewright.files.leftovers import leftovers, remove_leftovers  # noqa: PLC0415
    from pausewright.voice.store import forget as remove  # noqa: PLC0415
    from pausewright.voice.store import list_kept  # noqa: PLC0415

    folder = script.parent if script.suffix or not script.is_dir() else script
    kept = list_kept(folder)
    left = leftovers((folder, out, rooms.absolute().parent))
    n_bytes = sum(one.n_bytes for one in kept)
    if as_json:
        removed = remove(folder) if yes else ()
        remove_leftovers(left if yes else ())
        data = {
            "kept": len(kept), "n_bytes": n_bytes, "removed": len(removed),
            "left": [{"path": str(one.path), "note": one.note} for one in left],
        }  # fmt: skip
        _tell_json(data)
        return
    if not kept and not left:
        _tell(f"nothing is kept beside {script}")
        return
    if kept:
        _tell(f"{_count(len(kept), 'file')} of voiced sound, {n_bytes / 1e6:.1f} MB, are kept in")
        _tell(f"  {folder / '.pausewright'}")
        _tell("They hold the sound of every script in that folder; a new build voices them again.")
    if left:
        _tell("Commands that were stopped left:")
    for one in left:
        _tell(f"  {one.path}, {one.n_bytes / 1e6:.1f} MB{one.note and ': '}{one.note}")
    if not yes and not _agreed("Remove them?"):
        _tell("left as they are")
        return
    remove_leftovers(left)
    remove(folder)
    _tell("removed")


def _agreed(question: str) -> bool:
    from pausewright.problems import OutputError  # noqa: PLC0415

    if not sys.stdin.isatty():
        raise OutputError("nothing was removed: nobody is there to ask", "add --yes")
    try:
        return input(f"{question} [y/N] ").strip().lower() in {"y", "yes"}
    except EOFError:
        return False


# ---- helpers of the commands ----------------------------------------------------------------


def _opened(script: Path) -> Project:
    from pausewright.deliver.project import open_project  # noqa: PLC0415

    project = open_project(script)
    project.raise_errors()
    return project


def _warn(project: Project) -> None:
    if project.warnings:
        _print_problems(project.warnings)


def _formats(text: str) -> tuple[TrackFormat, ...]:
    from pausewright.problems import OutputError  # noqa: PLC0415

    known: dict[str, TrackFormat] = {"mp3": "mp3", "wav": "wav", "flac": "flac"}
    found = dict.fromkeys(part.strip().lower() for part in text.split(",") if part.strip())
    for one in found or ("",):
        if one not in known:
            raise OutputError(
                f"‘{one}’ is not a format that can be written", "write --format mp3,wav,flac"
            )
    return tuple(known[one] for one in found)


def _recogniser() -> Recogniser:
    from pausewright.checker.ear.recogniser import BundledRecogniser  # noqa: PLC0415

    return BundledRecogniser()


def _ear(recogniser: Recogniser | None, meter: _Meter) -> Ear | None:
    from pausewright.checker.ear.hearing import Ear  # noqa: PLC0415

    return None if recogniser is None else Ear(recogniser, meter.hearing)


def _warn_of_sync(script: Path, out: Path) -> None:
    from pausewright.voice.store import sync_warning  # noqa: PLC0415

    for folder in dict.fromkeys((script.resolve().parent, out.resolve())):
        warning = sync_warning(folder)
        if warning:
            _say(f"warning: {warning}")


def _print_checks(results: Sequence[CheckResult], *, as_json: bool) -> None:
    from pausewright.checker.report import as_json as report_json  # noqa: PLC0415
    from pausewright.checker.report import as_text  # noqa: PLC0415

    if as_json:
        reports = [json.loads(report_json(result)) for result in results]
        body = reports[0] if len(reports) == 1 else reports
        _tell_json(body)
        return
    for result in results:
        _tell(as_text(result))


def _print_delivered(found: Delivered, *, blind: bool, as_json: bool, quiet: bool) -> None:
    from pausewright.checker.blind import as_blind_data, as_blind_text  # noqa: PLC0415
    from pausewright.checker.folder_report import as_folder_data, as_folder_text  # noqa: PLC0415
    from pausewright.checker.report import as_data, as_short_text, as_text  # noqa: PLC0415

    if as_json:
        data = (
            as_blind_data(found)
            if blind
            else as_folder_data(found)
            if found.is_folder
            else as_data(found.checks[0])
        )
        _tell_json(data)
    elif blind:
        _tell(as_blind_text(found), end="")
    elif found.is_folder:
        _tell(as_folder_text(found, is_short=quiet), end="")
    else:
        _tell(as_short_text(found.checks[0]) if quiet else as_text(found.checks[0]), end="")


def _print_built(built: Built, took_s: float, *, quiet: bool) -> None:
    seconds = int(built.length_s)
    length = f"{seconds // 60} min {seconds % 60} s"
    if built.is_fresh:
        _tell(
            f"built {built.folder}: {length}, version {built.label}, edition {built.edition} "
            f"({built.n_voiced} voiced, {built.n_kept} kept, {took_s:.1f} s)"
        )
    else:
        _tell(f"{built.folder} is up to date: {length}, edition {built.edition}")
    for file in built.files:
        if not quiet and file.suffix in {".mp3", ".wav", ".flac"}:
            _tell(f"  listen   {file}")
        elif not quiet and file.suffix == ".mp4":
            _tell(f"  watch    {file}")
    if quiet:
        return
    for file in built.files:
        if file.parent.name in {"candidates", "staff"}:
            _tell(f"  print    {file}")
        elif file.name.startswith("check-report") and file.suffix == ".txt":
            _tell(f"  read     {file}")
    for result in built.checks:
        if result.loudness_lufs is not None and result.true_peak_dbtp is not None:
            _tell(
                f"  measured on {result.track}: {result.loudness_lufs:.1f} LUFS, "
                f"true peak {result.true_peak_dbtp:.1f} dBTP"
            )
        if result.extra_time is not None:
            _tell(f"  extra time: {result.extra_time.sentence}")
    for note in built.notes:
        _tell(f"  {note}")
    if built.checks:
        _tell("The check passed. It measures the file; it does not judge how the words sound.")


_NOT_HEARD: Final = "Not heard by a person yet: listen to the whole track before it is used."


def _built_data(built: Built) -> dict[str, object]:
    from pausewright.checker.report import as_data  # noqa: PLC0415
    from pausewright.shown_text import problems_data  # noqa: PLC0415

    return {
        "folder": str(built.folder),
        "version_label": built.label,
        "edition": built.edition,
        "is_fresh": built.is_fresh,
        "length_s": float(built.length_s),
        "n_voiced": built.n_voiced,
        "n_kept": built.n_kept,
        "files": [str(file) for file in built.files],
        "checks": [as_data(result) for result in built.checks],
        **problems_data("warnings", built.warnings),
        "notes": list(built.notes),
        "heard_by": "Not heard by a person yet",
    }


class _Meter:
    """Progress on standard error: one line that changes on a terminal, else a line a step."""

    def __init__(self, *, silent: bool) -> None:
        self._silent = silent
        self._changes = sys.stderr.isatty()
        self._last = ""
        self._told = (-1, "")

    def show(self, progress: Progress) -> None:
        tenth = progress.n_done * 10 // max(1, progress.n_all)
        self._print(f"{progress.stage} {progress.n_done}/{progress.n_all}", progress.stage, tenth)

    def share(self, done: float) -> None:
        self._print(f"checking {done:.0%}", "checking", int(done * 10))

    def voicing(self, n_done: int, n_all: int) -> None:
        self._print(f"voicing {n_done}/{n_all}", "voicing", n_done * 10 // max(1, n_all))

    def hearing(self, n_done: int, n_all: int) -> None:
        self._print(f"hearing {n_done}/{n_all}", "hearing", n_done * 10 // max(1, n_all))

    def _print(self, text: str, stage: str, tenth: int) -> None:
        if self._silent:
            return
        if self._changes:
            print(f"\r{text:<{len(self._last)}}", end="", file=sys.stderr, flush=True)
            self._last = text
        elif (tenth, stage) != self._told and tenth % 5 == 0:
            print(text, file=sys.stderr, flush=True)
        self._told = (tenth, stage)

    def end(self) -> None:
        if self._last:
            print("\r" + " " * len(self._last) + "\r", end="", file=sys.stderr, flush=True)
            self._last = ""


if __name__ == "__main__":
    main()
