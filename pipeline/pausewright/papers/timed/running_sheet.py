"""The running sheet: what whoever plays a track follows, with the time of everything on it.

No word of a question is on it, and nothing that tells a candidate's need.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.papers.timed.moments import Moment, StaffNote, happenings, own_notes
from pausewright.papers.timed.track_places import places_of
from pausewright.papers.typeset.paper_frame import UNMARKED
from pausewright.plan.clock import counter, exact_seconds
from pausewright.plan.pieces import pieces
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.records.shapes import RunningPiece, RunningRow, RunningTimes
from pausewright.script.model import Note, Question, Stop
from pausewright.script.references import QuestionSpan
from pausewright.script.silences import room_name
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.papers.timed.day_time import DayTime
    from pausewright.papers.timed.moments import Happening
    from pausewright.plan.timeline import Questions, Timeline
    from pausewright.records.shapes import WhereRow
    from pausewright.script.model import Script
    from pausewright.script.silences import SilenceKind
    from pausewright.wording.line_elements import SoundElement

TEMPLATE: Final = "running-sheet"
_LISTED: Final[frozenset[SilenceKind]] = frozenset({"page-turn-time", "look-time", "extra-time"})
"""Silences with a row of their own: those in which an invigilator sees candidates move or work."""
_EASY_S: Final = Fraction(60)
"""Lengths from here on are said in minutes."""


def running_times(
    script: Script,
    timeline: Timeline,
    *,
    track: str,
    in_pieces: bool = False,
    take_of: Callable[[SoundElement], str] = lambda _: "",
    where: Sequence[WhereRow] = (),
    sound_check: str = "",
) -> RunningTimes:
    """Return what is on a track and when, as the sheet has it.

    Parameters
    ----------
    script : as this version has it
    timeline : of the delivered track
    track : name of its file
    in_pieces : whether the track is also there cut at its stops
    take_of : gives the mark of a sound as it is laid, "" where that is not known
    where : what a stop at any place means
    sound_check : name of the file beside the track by which the sound is tested; "" for none
    """
    files = pieces(timeline) if in_pieces else ()
    rows = _Rows(happenings(script, timeline, "invigilator"), len(files)).rows()
    length_s = Fraction(timeline.n_samples, timeline.rate_hz)
    stem, _, ending = track.rpartition(".")
    return RunningTimes(
        running_times=1,
        track=track,
        length_s=exact_seconds(length_s),
        sound_test_s=_sound_test(timeline),
        rows=(*rows, RunningRow("end", "End of the track", exact_seconds(length_s))),
        pieces=tuple(
            RunningPiece(
                f"{stem}_{one.mark}.{ending}",
                exact_seconds(Fraction(one.start_sample, timeline.rate_hz)),
                exact_seconds(Fraction(one.n_samples, timeline.rate_hz)),
            )
            for one in files
        ),
        rate_hz=timeline.rate_hz,
        places=places_of(timeline, take_of),
        sound_check=sound_check,
        where=tuple(where),
    )


def running_sheet_data(
    times: RunningTimes, start: DayTime | None = None, room: str = ""
) -> dict[str, object]:
    """Return what the template of the running sheet is given.

    Parameters
    ----------
    times : of the delivered track
    start : when the track starts; None: the sheet has a line for it
    room : where; "": likewise
    """
    length_s = Fraction(times.length_s)
    first = times.sound_test_s
    return {
        "length": counter(length_s),
        "n_pauses": sum(row.kind == "stop" for row in times.rows),
        "has_sound_check": bool(times.sound_check),
        "sound_test": None if first is None else {"from": _at(first[0]), "to": _at(first[1])},
        "rows": [_shown(row) for row in times.rows],
        "files": [
            {
                "number": str(number),
                "at": _at(one.start_s),
                "length": _at(one.length_s),
            }
            for number, one in enumerate(times.pieces, 1)
        ],
        UNMARKED: {
            "track": times.track,
            "sound_check": times.sound_check,
            "room": room,
            "names": [one.name for one in times.pieces],
            "day": None if start is None else _day(times, start),
        },
    }


def _day(times: RunningTimes, start: DayTime) -> dict[str, object]:
    clocks = ["" if row.at_s is None else start.after(Fraction(row.at_s)) for row in times.rows]
    end = start.after(Fraction(times.length_s))
    return {"start": start.after(Fraction(0)), "end": end, "clocks": clocks}


def _at(at_s: str) -> str:
    return counter(Fraction(at_s))


def _shown(row: RunningRow) -> dict[str, object]:
    """Return a row as it is printed."""
    shown: dict[str, object] = {"kind": row.kind, "what": row.what, "detail": row.detail}
    shown["at"] = "" if row.at_s is None else _at(row.at_s)
    if row.answer_at_s is not None and row.answer_s is not None:
        lasts = length_words(Fraction(row.answer_s))
        shown["answer"] = {"from": _at(row.answer_at_s), "length": lasts}
    return shown


def notes_of(script: Script) -> list[Note]:
    """Return the notes of a script that can stand on the sheet."""
    found: list[Note] = []
    for _, _, block in script.blocks():
        if isinstance(block, Note) and block.kind == "staff-note":
            found.append(block)
        elif isinstance(block, Question):
            found += own_notes(block)
    return found


def length_words(length_s: Fraction) -> str:
    """Return a length as people say it: "14 s", "1 min 30 s"; exact."""
    if length_s < _EASY_S:
        return f"{exact_seconds(length_s)} s"
    minutes, rest_s = divmod(length_s, 60)
    return f"{minutes} min {exact_seconds(rest_s)} s" if rest_s else f"{minutes} min"


@dataclass(slots=True)
class _Row:
    """A row while it is made."""

    kind: str
    what: str
    at_s: Fraction | None
    detail: str
    answer_at_s: Fraction | None = None
    answer_s: Fraction | None = None

    def finished(self) -> RunningRow:
        """Return it as it is kept."""
        at_s, answer_at_s, answer_s = (
            None if one is None else exact_seconds(one)
            for one in (self.at_s, self.answer_at_s, self.answer_s)
        )
        return RunningRow(self.kind, self.what, at_s, answer_at_s, answer_s, self.detail)


class _Rows:
    def __init__(self, happened: Sequence[Happening], n_files: int) -> None:
        self._happened = happened
        self._n_files = n_files
        self._rows: list[_Row] = []
        self._question: int | None = None
        """Which row is that of the question that is asked."""
        self._asked: Questions | None = None
        """What it asks: known with its first words."""
        self._group = ""
        self._stop = ""
        self._n_holds = 0
        self._passage: object = None
        self._n_played: Counter[Excerpt] = Counter()
        self._n_playings = Counter(
            played
            for one in happened
            if isinstance(one, Moment)
            and isinstance(one.step, Say)
            and (played := _played(one.step)) is not None
        )

    def rows(self) -> list[RunningRow]:
        """Return all rows in order of time."""
        self._walk()
        return [row.finished() for row in self._rows]

    def _walk(self) -> None:
        for one in self._happened:
            if isinstance(one, StaffNote):
                for line in one.lines:
                    self._add("note", None, line)
            elif isinstance(one.step, Mark):
                self._mark(one, one.step)
            else:
                self._enter_group(one)
                if isinstance(one.step, Say):
                    self._say(one, one.step)
                else:
                    self._wait(one, one.step)

    def _add(self, kind: str, at_s: Fraction | None, what: str, detail: str = "") -> int:
        """Add a row, and return which it is."""
        self._rows.append(_Row(kind, what, at_s, detail))
        return len(self._rows) - 1

    def _enter_group(self, one: Moment) -> None:
        """Write the heading of a group above the mark or words with which it begins."""
        title = one.group.title if one.group else ""
        if title and title != self._group:
            self._add("group", None, title)
        self._group = title

    def _mark(self, one: Moment, step: Mark) -> None:
        self._passage = None
        if step.kind == "question":
            self._enter_group(one)
            is_withdrawn = isinstance(one.block, Question) and one.block.withdrawn
            what = f"{step.title}, withdrawn" if is_withdrawn else step.title
            self._question = self._add("question", one.start_s, what)
            self._asked = None
            return
        self._question = None
        if step.kind == "part":
            self._add("part", one.start_s, step.title)
        else:
            self._stop = step.title

    def _say(self, one: Moment, step: Say) -> None:
        is_begun = self._question is not None and self._asked is None
        self._asked = step.question if is_begun else self._asked
        played = _played(step)
        reading = (id(one.block), step.question, step.reading)
        if step.role == "passage" and reading != self._passage:
            self._passage = reading
            if played is None and not is_begun:  # a row that begins here says enough
                self._add("passage", one.start_s, _passage_name(step))
        if played is not None:
            self._n_played[played] += 1
            of = self._n_playings[played]
            playing = f", playing {self._n_played[played]} of {of}" if of > 1 else ""
            seconds = length_words(Fraction(round(one.length_s)))
            self._add("recording", one.start_s, f"A recording plays for {seconds}{playing}")

    def _wait(self, one: Moment, step: Wait) -> None:
        if step.kind == "hold":
            self._hold(one, step)
        elif step.kind == "answer-time":
            at = self._question
            if at is None or step.question != self._asked:
                # of a passage, or of words at the margin
                at = self._add("answer", one.start_s, "Time to write")
            self._answer(at, one.start_s, step.wait_s)
        elif step.kind in _LISTED:
            name = room_name(step.kind).capitalize()
            self._add("time", one.start_s, f"{name}, {length_words(step.wait_s)}")

    def _answer(self, at: int, start_s: Fraction, wait_s: Fraction) -> None:
        """Note an answer time in a row; a time cue parts it in two."""
        row = self._rows[at]
        row.answer_at_s = start_s if row.answer_at_s is None else row.answer_at_s
        row.answer_s = wait_s if row.answer_s is None else row.answer_s + wait_s

    def _hold(self, one: Moment, step: Wait) -> None:
        self._n_holds += 1
        lasts = length_words(step.wait_s)
        block = one.block
        if isinstance(block, Stop) and block.is_timed_rest:
            self._add(
                "rest",
                one.start_s,
                f"Rest of {lasts}, timed",
                detail="It ends by itself with a tone. Do not press pause for it.",
            )
            return
        name = (self._stop or "Stop") if isinstance(block, Stop) else "Time to write, ended by you"
        detail = (
            f"The silence lasts {lasts}, then a tone comes. Press pause in it, and play when the "
            "room is ready."
        )
        if self._n_files:
            detail += f" In files: file {self._n_holds} ends; start file {self._n_holds + 1}."
        self._add("stop", one.start_s, name, detail=detail)


def _passage_name(step: Say) -> str:
    about = step.question
    name = "Passage"
    if isinstance(about, QuestionSpan):
        name = f"Passage for question{'s' if about.first != about.last else ''} {about}"
    return f"{name}, reading {max(1, step.reading)}"


def _played(step: Say) -> Excerpt | None:
    """Return a recording without words, or the part of it that is played; None for all else."""
    element = step.element
    return element if isinstance(element, Excerpt) and not element.sound.words else None


def _sound_test(timeline: Timeline) -> tuple[str, str] | None:
    """Return from where to where the first instructions are heard; None if a question is first."""
    found: list[tuple[int, int]] = []
    for one in timeline.placed:
        if not isinstance(one.step, Say):
            continue
        if one.step.role != "instruction" or not isinstance(one.step.element, Utterance):
            break
        found.append((one.start_sample, one.end_sample))
    if not found:
        return None
    ends = (found[0][0], found[-1][1])
    start_s, end_s = (exact_seconds(Fraction(at, timeline.rate_hz)) for at in ends)
    return start_s, end_s
