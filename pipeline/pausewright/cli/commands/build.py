"""`pausewright build`."""

import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from pausewright.cli.exit_codes import FOUND_WRONG
from pausewright.cli.late import loaded_late
from pausewright.cli.messages import print_problems
from pausewright.cli.printing import minutes, say, tell, tell_json
from pausewright.cli.progress import meter
from pausewright.cli.shared_options import (
    FormatOption,
    JsonOption,
    MarkSchemeOption,
    QuietOption,
    ScreenOption,
    SplitOption,
    TextPapersOption,
    VideoOption,
)
from pausewright.intake.plain_file import resolved
from pausewright.problems import OutputError
from pausewright.shown_text import problems_data

with loaded_late():
    from pausewright.checker.report import report
    from pausewright.deliver import build as builder
    from pausewright.deliver import proofs, script_set
    from pausewright.screen import screen_files
    from pausewright.video import video_kinds
    from pausewright.voice import store

if TYPE_CHECKING:
    from pausewright.arrange.arrangement import TrackFormat
    from pausewright.deliver.build import Built
    from pausewright.deliver.proofs import Proofs
    from pausewright.deliver.script_set import SetBuilt

NOT_HEARD: Final = "Not heard by a person yet"
FORMATS: Final[dict[str, "TrackFormat"]] = {"mp3": "mp3", "wav": "wav", "flac": "flac"}


def build(
    script: Annotated[
        list[Path],
        typer.Argument(
            metavar="SCRIPT...", help="The script, a .md file; or several, or a folder of them."
        ),
    ],
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the results.")
    ] = Path("out"),
    formats: FormatOption = "mp3",
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
    screen: ScreenOption = "beside",
    video: VideoOption = "",
    split_at_stops: SplitOption = False,
    text_papers: TextPapersOption = False,
    mark_scheme: MarkSchemeOption = False,
    proof: Annotated[
        bool,
        typer.Option(
            "--proof", help="A short proof to listen to in place of the build, not for use."
        ),
    ] = False,
    all_readings: Annotated[
        bool, typer.Option("--all-readings", help="With --proof: leave no second reading out.")
    ] = False,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Voice, lay and write a script in all its arrangements, then check what was written.

    The results appear in DIR/(name of the script): version-A with the track and captions,
    print with papers, confidential with the records. Nothing appears if the check fails.
    What several scripts of a folder say in one voice is voiced once.
    """
    started_s = time.monotonic()
    track_formats = formats_of(formats)
    if not as_json:
        _warn_of_sync(script, out)
    with meter(silent=quiet or as_json) as progress:
        options = builder.Options(
            out,
            track_formats,
            workers=workers,
            progress=progress.show,
            screen=screen_files.sound_of(screen),
            videos=video_kinds.videos_of(video),
            split_at_stops=split_at_stops,
            text_papers=text_papers,
            mark_scheme=mark_scheme,
        )
        if proof or all_readings:
            _refuse_beside_proof(proof=proof, others=(video, split_at_stops, mark_scheme))
            made = [
                proofs.build_proofs(one, options, arrangement or (), all_readings=all_readings)
                for one in script_set.scripts_of(script)
            ]
            _tell_proofs(made, as_json=as_json)
            return
        found = script_set.build_scripts(script_set.scripts_of(script), options, arrangement or ())
    if as_json:
        _tell_data(found)
    else:
        _print_all(found, time.monotonic() - started_s, quiet=quiet)
    if any(one.failed for one in found.scripts):
        raise typer.Exit(FOUND_WRONG)


def _refuse_beside_proof(*, proof: bool, others: tuple[object, ...]) -> None:
    if not proof:
        raise OutputError("--all-readings belongs to a proof", "write --proof --all-readings")
    if any(others):
        raise OutputError(
            "a proof is one file for each version, and nothing beside it",
            "leave --video, --split-at-stops and --mark-scheme to the build",
        )


def _tell_proofs(made: "Sequence[Proofs]", *, as_json: bool) -> None:
    if as_json:
        data = [
            {
                "folder": str(one.folder),
                "edition": one.edition,
                "is_proof": True,
                "version_label": proof.label,
                "length_s": float(proof.length_s),
                "track_length_s": float(proof.track_s),
                "left_out": [
                    {"question": str(row.question or ""), "reading": row.reading}
                    for row in proof.left_out
                ],
                "files": [str(file) for file in proof.files],
            }
            for one in made
            for proof in one.proofs
        ]
        tell_json(data[0] if len(data) == 1 else data)
        return
    for one in made:
        print_problems(one.warnings)
        for proof in one.proofs:
            tell(
                f"proof of version {proof.label}, edition {one.edition}: "
                f"{minutes(proof.length_s)} for a track of {minutes(proof.track_s)}"
            )
            for file in proof.files:
                tell(f"  {'read  ' if file.suffix == '.txt' else 'listen'}   {file}")
            if proof.left_out:
                tell(f"  {len(proof.left_out)} readings left out: the same sound once more")
    tell("A proof is not for use: it is listened to once, and the check refuses it.")


def _print_all(found: "SetBuilt", took_s: float, *, quiet: bool) -> None:
    built = [one for script in found.scripts for one in script.built]
    print_problems(tuple(dict.fromkeys(problem for one in built for problem in one.warnings)))
    for one in built:
        _print_built(one, took_s, counts_voiced=not found.is_several)
        if not quiet:
            _print_files(one)
            _print_measured(one)
    if found.is_several:
        tell(
            f"{len(found.scripts)} scripts: {found.n_voiced} utterances voiced, {found.n_kept} "
            f"kept, {took_s:.1f} s"
        )
    for script in found.scripts:
        for result in script.failed:
            tell(report.as_text(result))
        if script.failed:
            whose = f" of {script.script}" if found.is_several else ""
            say(
                f"error: the check found something wrong on what was built{whose}; "
                "nothing was delivered"
            )
    if built:
        _tell_heard(built)


def _tell_heard(built: "list[Built]") -> None:
    """Say of all versions alike, or of each, what a person has heard of it."""
    told = {one.heard_by for one in built}
    if told == {NOT_HEARD}:
        tell(f"{NOT_HEARD}: listen to the whole track before it is used.")
        return
    for one in built:
        tell(f"version {one.label}, {one.heard_by}: what nobody heard is listened to before use.")


def _tell_data(found: "SetBuilt") -> None:
    data: list[object] = []
    for one in found.scripts:
        data += [_data(version) for version in one.built]
        checks = [report.as_data(result) for result in one.failed]
        if checks and found.is_several:
            data.append({"script": str(one.script), "is_delivered": False, "checks": checks})
        else:
            data += checks
    tell_json(data[0] if len(data) == 1 else data)


def formats_of(text: str) -> tuple["TrackFormat", ...]:
    """Return the formats of a list as it is typed; raises OutputError for one that is none."""
    found = dict.fromkeys(part.strip().lower() for part in text.split(",") if part.strip())
    for one in found or ("",):
        if one not in FORMATS:
            raise OutputError(
                f"‘{one}’ is not a format that can be written", "write --format mp3,wav,flac"
            )
    return tuple(FORMATS[one] for one in found)


def _warn_of_sync(scripts: Sequence[Path], out: Path) -> None:
    beside = [one if one.is_dir() else resolved(one).parent for one in scripts]
    for folder in dict.fromkeys((*map(resolved, beside), resolved(out))):
        warning = store.sync_warning(folder)
        if warning:
            say(f"warning: {warning}")


def _print_built(built: "Built", took_s: float, *, counts_voiced: bool) -> None:
    length = minutes(built.length_s)
    if built.is_fresh:
        counts = f" ({built.n_voiced} voiced, {built.n_kept} kept, {took_s:.1f} s)"
        tell(
            f"built {built.folder}: {length}, version {built.label}, edition {built.edition}"
            + (counts if counts_voiced else "")
        )
    else:
        tell(f"{built.folder} is up to date: {length}, edition {built.edition}")


def _print_files(built: "Built") -> None:
    """Print what a person would open: first what is heard and seen, then what is read."""
    for file in built.files:
        if file.name.endswith("_room-screen.html"):
            tell(f"  play     {file}")
        elif file.suffix.removeprefix(".") in FORMATS and not _is_sound_check(file):
            tell(f"  listen   {file}")
        elif file.suffix == ".mp4":
            tell(f"  watch    {file}")
    for file in built.files:
        if file.name.endswith(("_reader-screen.html", "_staff-notes.html")):
            tell(f"  open     {file}")
        elif file.parent.name in {"candidates", "staff"}:
            tell(f"  print    {file}")
        elif file.name.startswith("check-report") and file.suffix == ".txt":
            tell(f"  read     {file}")


def _is_sound_check(file: Path) -> bool:
    return file.stem.endswith(screen_files.SOUND_CHECK)


def _print_measured(built: "Built") -> None:
    for result in built.checks:
        if result.loudness_lufs is not None and result.true_peak_dbtp is not None:
            tell(
                f"  measured on {result.track}: {result.loudness_lufs:.1f} LUFS, "
                f"true peak {result.true_peak_dbtp:.1f} dBTP"
            )
        if result.extra_time is not None:
            tell(f"  extra time: {result.extra_time.sentence}")
    for note in built.notes:
        tell(f"  {note}")
    if built.checks:
        tell("The check found the files good. It measures; it does not judge how the words sound.")


def _data(built: "Built") -> dict[str, object]:
    return {
        "folder": str(built.folder),
        "version_label": built.label,
        "edition": built.edition,
        "is_fresh": built.is_fresh,
        "length_s": float(built.length_s),
        "n_voiced": built.n_voiced,
        "n_kept": built.n_kept,
        "files": [str(file) for file in built.files],
        "checks": [report.as_data(result) for result in built.checks],
        **problems_data("warnings", built.warnings),
        "notes": list(built.notes),
        "heard_by": built.heard_by,
    }
