"""Work of a worker that a page waits for: tracks, rooms and sticks; it loads nothing heavy."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

from pausewright.deliver.day_papers import recorded_times
from pausewright.deliver.heard import heard_questions, numbers_of, read_heard
from pausewright.deliver.heard_log import take_heard_log
from pausewright.deliver.needs_list import read_needs
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.recorded_strip import question_starts, recorded_strip
from pausewright.deliver.rooms import plan_rooms
from pausewright.deliver.signed import signatures_for
from pausewright.deliver.sticks import (
    laid_out_folders,
    packing_list,
    read_stick,
    sticks,
    write_stick,
)
from pausewright.desk.day_messages import (
    CopyFound,
    HeardSoFar,
    Laid,
    LookAtRooms,
    NotePlayed,
    Piece,
    ReadStick,
    ShowTrack,
    SignedLine,
    StickRead,
    TrackShown,
    WriteStick,
)
from pausewright.desk.messages import RoomsLooked
from pausewright.desk.told import rows_of
from pausewright.files.stage import settle
from pausewright.problems import OutputError, Problems
from pausewright.records.record_files import read_record
from pausewright.records.signed_shapes import ListeningLog

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.deliver.needs_list import Need
    from pausewright.deliver.sticks import Copied
    from pausewright.desk.messages import Answer

LightAsk: TypeAlias = ShowTrack | NotePlayed | LookAtRooms | WriteStick | ReadStick
"""What `do_light` does."""
_DRAFT: Final = "draft"


class _Declared(NamedTuple):
    label: str
    name: str


def do_light(ask: LightAsk) -> Answer:
    """Do what is asked; raises as the function does that the command calls."""
    match ask:
        case ShowTrack():
            return _show_track(ask)
        case NotePlayed():
            return _note_played(ask)
        case LookAtRooms():
            return _look_at_rooms(ask)
        case WriteStick():
            written = write_stick(Path(ask.laid_out), Path(ask.stick), replace=ask.replace)
            return _stick(ask.stick, (written,), was_written=True)
        case ReadStick():
            found = read_stick(Path(ask.rooms), Path(ask.stick))
            return _stick(ask.stick, found, was_written=False)


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
        ask.edition == record.edition,
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


def _look_at_rooms(ask: LookAtRooms) -> RoomsLooked:
    needs, rooms = Path(ask.needs), Path(ask.rooms)
    rows: tuple[Need, ...] = ()
    problems = Problems()
    if needs.exists():
        rows, problems = read_needs(needs, [_Declared(*one) for one in ask.arrangements])
        plan_rooms(rows, {}, needs, problems)
    settle(rooms)
    shown, n_left_out = rows_of(problems.all, needs)
    return RoomsLooked(
        shown,
        n_left_out,
        len(rows),
        tuple(_laid(rooms)),
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


def _stick(stick: str, copies: tuple[Copied, ...], *, was_written: bool) -> StickRead:
    return StickRead(
        stick,
        tuple(CopyFound(one.name, one.what, one.edition, one.n_files, one.wrong) for one in copies),
        was_written,
    )
