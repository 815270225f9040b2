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
from pausewright.deliver.differs import difference, shape, told
from pausewright.deliver.differs.consequences import GROUP_NAMES
from pausewright.deliver.interrupted import Stop, where_stopped
from pausewright.deliver.needed_rooms import make_rooms, rooms_text
from pausewright.desk.day_messages import (
    Compared,
    Differ,
    LayOut,
    MakeExcerpt,
    Pack,
    Sign,
    Stopped,
    Where,
)
from pausewright.desk.messages import Ran, Step
from pausewright.desk.told import rows_of
from pausewright.files.writing import make_folder
from pausewright.papers.timed.incident_sheet import sentences
from pausewright.papers.timed.interruption import minutes_seconds
from pausewright.tasks.outlines import open_script

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.deliver.differs.difference import Difference
    from pausewright.desk.messages import Answer, DayAsk

_DRAFT: Final = "draft"


def do_day(ask: DayAsk, tell: Callable[[Step], None]) -> Answer:
    """Do what is asked; raises as the function does that the command calls."""
    match ask:
        case Sign():
            return _sign(ask, tell)
        case Where():
            return _where(ask)
        case MakeExcerpt():
            return _excerpt(ask)
        case Differ():
            return _differ(ask)
        case LayOut():
            return _lay_out(ask)
        case Pack():
            return _pack(ask)
    raise TypeError(f"{type(ask).__name__} is no work of the day")


# ---- signing ----------------------------------------------------------------


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
        found.found.row.name,
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


def _lay_out(ask: LayOut) -> Ran:
    found = make_rooms(
        open_script(Path(ask.script)), Path(ask.needs), Path(ask.out), Path(ask.rooms), ask.start
    )
    return Ran(
        f"{counted(len(found.rooms), 'room')} laid out. Next: write the sticks.",
        text=rooms_text(found),
        problems=rows_of(found.warnings, Path(ask.needs))[0],
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
