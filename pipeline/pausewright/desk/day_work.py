"""Work of a worker for listening, signing, rooms and the day, by the commands' functions."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.checker.report.lines import counted
from pausewright.deliver import excerpt as excerpts
from pausewright.deliver import pack as packing
from pausewright.deliver import sign as signing
from pausewright.deliver.build_options import Options
from pausewright.deliver.day_papers import recorded_times
from pausewright.deliver.differs import difference, shape, told
from pausewright.deliver.differs.consequences import GROUP_NAMES
from pausewright.deliver.heard import heard_questions, numbers_of, read_heard
from pausewright.deliver.heard_log import take_heard_log
from pausewright.deliver.interrupted import Stop, where_stopped
from pausewright.deliver.needed_rooms import make_rooms, rooms_text
from pausewright.deliver.needs_list import read_needs
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.project import open_project
from pausewright.deliver.rooms import plan_rooms
from pausewright.deliver.recorded_strip import question_starts, recorded_strip
from pausewright.deliver.signed import signatures_for
from pausewright.deliver.sticks import (
    laid_out_folders,
    packing_list,
    read_stick,
    sticks,
    write_stick,
)
from pausewright.desk.day_messages import (
    Compared,
    CopyFound,
    Differ,
    HeardSoFar,
    Laid,
    LayOut,
    LookAtRooms,
    MakeExcerpt,
    NotePlayed,
    Pack,
    Piece,
    ReadStick,
    ShowTrack,
    Sign,
    SignedLine,
    StickRead,
    Stopped,
    TrackShown,
    Where,
    WriteStick,
)
from pausewright.desk.messages import Ran, RoomsLooked, Step
from pausewright.desk.told import rows_of
from pausewright.files.stage import settle
from pausewright.files.writing import make_folder
from pausewright.papers.timed.incident_sheet import sentences
from pausewright.papers.timed.interruption import minutes_seconds
from pausewright.problems import OutputError, Problems
from pausewright.records.record_files import read_record
from pausewright.records.shapes import ListeningLog
from pausewright.tasks.outlines import open_script

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from pausewright.deliver.differs.difference import Difference
    from pausewright.deliver.sticks import Copied
    from pausewright.desk.messages import Answer, DayAsk

_DRAFT: Final = "draft"


def do_day(ask: DayAsk, tell: Callable[[Step], None]) -> Answer:
    """Do what is asked; raises as the function does that the command calls."""
    match ask:
        case ShowTrack():
            return _show_track(ask)
        case NotePlayed():
            return _note_played(ask)
        case Sign():
            return _sign(ask, tell)
        case Where():
            return _where(ask)
        case MakeExcerpt():
            return _excerpt(ask)
        case Differ():
            return _differ(ask)
        case LookAtRooms():
            return _look_at_rooms(ask)
        case LayOut():
            return _lay_out(ask)
        case WriteStick():
            written = write_stick(Path(ask.laid_out), Path(ask.stick), replace=ask.replace)
            return _stick(ask.stick, (written,), was_written=True)
        case ReadStick():
            found = read_stick(Path(ask.rooms), Path(ask.stick))
            return _stick(ask.stick, found, was_written=False)
        case Pack():
            return _pack(ask)
    raise TypeError(f"{type(ask).__name__} is no work of the day")


# ---- listening and signing ----------------------------------------------------------------


def _show_track(ask: ShowTrack) -> TrackShown:
    script, folder = Path(ask.script), Path(ask.out) / Path(ask.script).stem
    settle(folder)
    record = read_record(folder / CONFIDENTIAL / f"build-record_{ask.label}.json")
    if record is None:
        raise OutputError(f"version {ask.label} is not made", "make it first")
    times = recorded_times(record, folder)
    heard = heard_questions(times.places, times.rate_hz, read_heard(script))
    starts = tuple((about, str(at_s)) for about, at_s in question_starts(times).items())
    return TrackShown(
        ask.label,
        record.edition,
        open_project(script).edition == record.edition,
        tuple(
            Piece(one.kind, str(one.start_s), str(one.length_s), one.words, one.number)
            for one in recorded_strip(times)
        ),
        starts,
        heard.sentence,
        _places(heard.missing, starts),
        record.signed,
        record.state or _DRAFT,
        tuple(
            SignedLine(one.signed_for, one.signed_by, one.signed_on, one.edition)
            for one in signatures_for(script, ask.label)
        ),
    )


def _note_played(ask: NotePlayed) -> HeardSoFar:
    log = ListeningLog(
        listening_log=1, edition=ask.edition, version_label=ask.label, played_s=ask.played_s
    )
    found = take_heard_log(Path(ask.script), Path(ask.out), log)[ask.label]
    return HeardSoFar(found.sentence, _places(found.missing, ask.starts))


def _places(
    numbers: tuple[str, ...], starts: tuple[tuple[str, str], ...]
) -> tuple[tuple[str, str], ...]:
    """Return questions with where each begins."""
    at: dict[str, str] = {}
    for about, start_s in starts:
        for number in numbers_of(about):
            at.setdefault(number, start_s)
    return tuple((number, at.get(number, "0")) for number in numbers)


def _sign(ask: Sign, tell: Callable[[Step], None]) -> Ran:
    options = Options(
        Path(ask.out), progress=lambda one: tell(Step(one.stage, one.n_done, one.n_all))
    )
    day = datetime.now().astimezone().date()
    word = signing.Word(ask.name, ask.signed_for, day, Path(ask.key) if ask.key else None)
    found = signing.sign(Path(ask.script), word, options, ask.labels)
    return Ran(
        f"Signed for {ask.signed_for} by {' '.join(ask.name.split())}: "
        f"version {', '.join(found.labels)}.",
        files=tuple(file.name for file in (found.file, *found.detached)),
        notes=("Rooms that were laid out before hold drafts: lay them out again.",),
    )


# ---- the day ------------------------------------------------------------------------------


def _where(ask: Where) -> Stopped:
    stop = Stop(ask.place, ask.start, ask.clock, ask.again, ask.waited)
    sheet = Path(ask.sheet) if ask.sheet else None
    if sheet is not None:
        make_folder(sheet.parent, private=True)
    found = where_stopped(Path(ask.script), Path(ask.out), ask.version, stop, sheet)
    return Stopped(
        found.label,
        found.edition,
        minutes_seconds(found.found.at_s),
        found.found.what,
        sentences(found.found),
        minutes_seconds(found.found.resume_s),
        minutes_seconds(found.found.to_come_s),
        found.found.n_stops,
        found.day.end(found.found),
        found.warnings,
        sheet.name if sheet is not None else "",
    )


def _excerpt(ask: MakeExcerpt) -> Ran:
    target = Path(ask.target)
    make_folder(target.parent, private=True)
    found = excerpts.make_excerpt(
        Path(ask.script), ask.questions, ask.version, target, Options(Path(ask.out))
    )
    return Ran(
        f"Version {found.label}, from {minutes_seconds(found.from_s)} to "
        f"{minutes_seconds(found.to_s)}: {excerpts.compared_sentence(found.compared)}.",
        files=(found.file.name, found.sheet.name),
        notes=("Whether a part may be heard again is for your awarding body's rules.",),
    )


# ---- what changed -------------------------------------------------------------------------


def _differ(ask: Differ) -> Compared:
    options = Options(Path(ask.out))
    old, new = Path(ask.old), Path(ask.new)
    if ask.by_shape:
        alike = shape.shapes(old, new, options)
        text = told.shape_text(alike)
        empty: tuple[str, ...] = ()
        rows = tuple(text.splitlines())
        return Compared(
            is_same=alike.is_alike,
            holds=True,
            changed=rows,
            make=empty,
            reprint=empty,
            withdraw=empty,
            stays=empty,
            rooms=(),
            hear=empty,
            text=text,
        )
    found = difference.differ(old, new, options, Path(ask.rooms) if ask.rooms else None)
    hear: dict[str, list[str]] = {}
    for one in found.versions:
        if one.to_hear:
            what = ", ".join(change.name for change in one.to_hear)
            hear.setdefault(what, []).append(one.label)
    changed = dict.fromkeys(
        told.sentence(change) for one in found.versions for change in one.compared.changes
    )
    return Compared(
        found.is_same,
        found.holds,
        (
            *changed,
            *(f"version {label}: new" for label in found.only_new),
            *(f"version {label}: no longer declared" for label in found.only_old),
        ),
        _of(found, "build", "reprint"),
        _of(found, "reprint"),
        _of(found, "withdraw"),
        _of(found, "stays"),
        tuple((one.room, _replaced(one.files)) for one in found.rooms),
        tuple(f"version {', '.join(labels)}: {what}" for what, labels in hear.items()),
        told.difference_text(found),
    )


def _of(found: Difference, *verdicts: str) -> tuple[str, ...]:
    """Return the outputs of some verdicts, each once with the versions that it is of."""
    labels: dict[str, list[str]] = {}
    for one in found.outputs:
        if one.verdict in verdicts:
            labels.setdefault(GROUP_NAMES[one.group], []).append(one.version_label)
    return tuple(f"{name}: version {', '.join(held)}" for name, held in labels.items())


def _replaced(files: tuple[str, ...]) -> tuple[str, ...]:
    """Return what of a room is to be replaced: a whole stick for each player, papers by name."""
    players: dict[str, int] = {}
    others: list[str] = []
    for name in files:
        folder, slash, _ = name.partition("/")
        if slash and folder.startswith("player-"):
            players[folder] = players.get(folder, 0) + 1
        else:
            others.append(name)
    sticks = [f"the stick {one} ({counted(n, 'file')})" for one, n in players.items()]
    return (*sticks, *others)


# ---- rooms and sticks ---------------------------------------------------------------------


def _look_at_rooms(ask: LookAtRooms) -> RoomsLooked:
    needs, rooms = Path(ask.needs), Path(ask.rooms)
    project = open_project(Path(ask.script))
    rows, problems = (), Problems()
    if needs.exists():
        rows, problems = read_needs(needs, project.arrangements)
        plan_rooms(rows, {}, needs, problems)
    settle(rooms)
    shown, n_left_out = rows_of(problems.all, needs)
    return RoomsLooked(
        tuple((one.label, one.name) for one in project.arrangements),
        shown,
        n_left_out,
        len(rows),
        tuple(_laid(rooms)),
        project.edition,
        tuple((str(one.path), one.free_bytes) for one in sticks()),
    )


def _laid(rooms: Path) -> Iterator[Laid]:
    for folder in laid_out_folders(rooms):
        found = packing_list(folder)
        if found is None:
            continue
        files = tuple(one.name for one in found.files)
        players = found.players if found.player else ()
        yield Laid(
            folder.relative_to(rooms).as_posix(),
            found.room,
            found.player,
            tuple(one.version_label for one in players),
            any(one.loudspeaker for one in players),
            found.edition,
            files,
            sum(one.n_bytes for one in found.files),
        )


def _lay_out(ask: LayOut) -> Ran:
    found = make_rooms(
        open_script(Path(ask.script)), Path(ask.needs), Path(ask.out), Path(ask.rooms), ask.start
    )
    return Ran(
        f"{counted(len(found.rooms), 'room')} laid out. Next: write the sticks.",
        text=rooms_text(found),
        problems=rows_of(found.warnings, Path(ask.needs))[0],
    )


def _stick(stick: str, copies: tuple[Copied, ...], *, was_written: bool) -> StickRead:
    return StickRead(
        stick,
        tuple(CopyFound(one.name, one.what, one.edition, one.n_files, one.wrong) for one in copies),
        was_written,
    )


def _pack(ask: Pack) -> Ran:
    found = packing.pack(Path(ask.room), Path(ask.target), ask.password)
    how = "encrypted" if found.is_encrypted else "not encrypted: whoever has it can open it"
    notes = []
    if found.sha256:
        notes.append(f"SHA-256 {found.sha256}")
    if found.is_encrypted:
        notes.append("Tell the password by another way than the pack, never in the same message.")
    return Ran(
        f"Packed: {found.n_files} files, {found.n_bytes / 1e6:.1f} MB, {how}.",
        files=(found.target.name,),
        notes=tuple(notes),
    )
