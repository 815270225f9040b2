"""The page on which a made track is listened to, noted on and signed for."""

from __future__ import annotations

import asyncio
import re
import secrets
from fractions import Fraction
from typing import TYPE_CHECKING, Final, cast

from starlette.responses import JSONResponse
from starlette.routing import Route

from pausewright.deliver.heard import note_heard
from pausewright.deliver.listening_notes import add_note, read_notes, remove_note
from pausewright.desk.day_messages import HeardSoFar, NotePlayed, ShowTrack, Sign, TrackShown
from pausewright.desk.frame import form_of, moved
from pausewright.desk.jobs import Job
from pausewright.desk.messages import Heard, HearLines, Refused
from pausewright.desk.sent import sent_form
from pausewright.desk.shelf import file_id
from pausewright.frozen import frozen
from pausewright.pages.strip import Mark, Stretch, strip
from pausewright.papers.timed.day_time import read_place
from pausewright.problems import OutputError
from pausewright.records.note_shapes import ListeningNote
from pausewright.records.signed_shapes import TRACK_NEEDS

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame
    from pausewright.desk.messages import Looked, Version
    from pausewright.desk.shelf import Shelved
    from pausewright.pages.strip import Kind, Strip

_WAIT_S: Final = 0.1
_PLAYED: Final = (".mp3", ".wav", ".flac")
_SPAN: Final = re.compile(r"(\d{1,6}(?:\.\d{1,3})?)-(\d{1,6}(?:\.\d{1,3})?)")
_MOST_SPANS: Final = 500
SIGNED_FOR: Final = {
    "sound": "the sound: I have heard the whole track",
    "wording": "the wording: everything is said as it should be",
    "timing": "the timing: silences and times are as they should be",
    "papers": "the papers: I have read them",
}
"""What is signed for, in the words of who signs."""


@frozen
class Line:
    """One entry of the list beside the strip."""

    time: str
    at_s: int
    words: str
    length: str
    notes: tuple[str, ...]


class ListenPages:
    """Answers about listening."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of these pages."""
        test = "/test/{test_id}/listen"
        return [
            Route(test, self.listen),
            Route(test, self.hear, methods=["POST"]),
            Route(f"{test}/played", self.played, methods=["POST"]),
            Route(f"{test}/note", self.note, methods=["POST"]),
            Route(f"{test}/sign", self.sign, methods=["POST"]),
            Route("/job/{job_id}/heard", self.heard, methods=["POST"]),
        ]

    async def listen(self, request: Request) -> Response:
        """Show a track on its strip, what of it was heard, notes, signing."""
        test = self._frame.test(request)
        looked = await self._room.looked(test, _WAIT_S)
        tracks = _tracks(looked)
        label = request.query_params.get("version", "")
        label = label if label in tracks else next(iter(tracks), "")
        shown: object = None
        if label:
            shown = await self._room.ask(self._track(test, label, looked))
        track = shown if isinstance(shown, TrackShown) else None
        notes = read_notes(test.script) if track else ()
        own = [(n, one) for n, one in enumerate(notes) if one.version_label == label]
        drawn = None if track is None else drawn_strip(track, [one for _, one in own])
        return self._frame.of_test(
            "listen.html",
            test,
            looked,
            page_of="listen",
            labels=list(tracks),
            label=label,
            track=track,
            refused=shown if isinstance(shown, Refused) else None,
            audio=tracks.get(label, ""),
            drawn=drawn,
            lines=[] if drawn is None else strip_lines(drawn),
            notes=[(n, _clock(one.at_s), one.words) for n, one in own],
            missing=[] if track is None else _missing(track.missing),
            starts=[] if track is None else _missing(track.starts),
            signed_for=SIGNED_FOR,
            needs=_still_needed(track),
            note_at=request.query_params.get("at", ""),
            what="1",
        )

    def _track(self, test: Shelved, label: str, looked: Looked | None) -> ShowTrack:
        edition = looked.edition if looked else ""
        return ShowTrack(str(test.script), str(self._room.shelf.out), label, edition)

    async def hear(self, request: Request) -> Response:
        """Let lines be heard as on the track."""
        test = self._frame.test(request)
        form = await form_of(request)
        sound = self._room.held() / f"{secrets.token_hex(8)}.wav"
        ask = HearLines(
            str(test.script),
            form.one("what").strip(),
            str(sound),
            form.one("arrangement"),
            form.one("tried").strip(),
        )
        return moved(f"/job/{self._room.jobs.begin_sound(Job('hear', test.id, ask, sound)).id}")

    async def played(self, request: Request) -> Response:
        """Note what the player played, and say what is not heard yet."""
        test = self._frame.test(request)
        form = await form_of(request)
        spans = tuple((one[1], one[2]) for one in _SPAN.finditer(form.one("spans")))
        whole = tuple(one for one in spans[:_MOST_SPANS] if Fraction(one[0]) < Fraction(one[1]))
        label, out = form.one("version"), str(self._room.shelf.out)
        shown = await self._room.ask(self._track(test, label, self._room.known(test)))
        if not isinstance(shown, TrackShown):
            return JSONResponse({"message": "this version is no longer there"}, 409)
        ask = NotePlayed(str(test.script), out, label, form.one("edition"), whole, shown.starts)
        answer = await self._room.ask(ask)
        if not isinstance(answer, HeardSoFar):
            message = answer.message if isinstance(answer, Refused) else ""
            return JSONResponse({"message": message}, 409)
        missing = [(number, at_s) for number, at_s, _ in _missing(answer.missing)]
        return JSONResponse({"sentence": answer.sentence, "missing": missing})

    async def heard(self, request: Request) -> Response:
        """Note that a sound that was asked for was played to its end, as `hear` does."""
        job = self._room.jobs.get(request.path_params["job_id"])
        test = self._room.shelf.test(job.test) if job is not None and job.test else None
        if job is None or test is None or not isinstance(job.answer, Heard):
            return JSONResponse({}, 409)
        if isinstance(job.ask, HearLines) and not job.ask.tried:
            played = [(one.take, one.n_samples, (0, one.n_samples)) for one in job.answer.sounds]
            await asyncio.to_thread(note_heard, test.script, played)
        return JSONResponse({})

    async def note(self, request: Request) -> Response:
        """Add a note, or remove one."""
        test = self._frame.test(request)
        form = await form_of(request)
        label = form.one("version")
        if form.has("remove"):
            notes = dict(enumerate(read_notes(test.script)))
            found = notes.get(int(form.one("remove")) if form.one("remove").isdigit() else -1)
            if found is not None and found.words == form.one("words"):
                await asyncio.to_thread(remove_note, test.script, found)
        else:
            at_s = read_place(form.one("at").strip() or "0:00")
            words = " ".join(form.one("words").split())
            if not words:
                raise OutputError("the note is empty", "go back and write what you heard")
            one = ListeningNote(form.one("edition") or "-", label, str(at_s), words)
            await asyncio.to_thread(add_note, test.script, one)
        return moved(f"/test/{test.id}/listen?version={label}#notes")

    async def sign(self, request: Request) -> Response:
        """Sign for versions."""
        test = self._frame.test(request)
        form, files = await sent_form(request, self._room)
        labels = form.all("version")
        if not labels:
            raise OutputError("no version is chosen", "go back and choose one")
        ask = Sign(
            str(test.script),
            str(self._room.shelf.out),
            form.one("name"),
            form.one("for"),
            labels,
            str(files["key"]) if "key" in files else "",
        )
        onwards = (
            (f"/test/{test.id}/listen?version={labels[0]}", "Back to listening and signing"),
            (f"/test/{test.id}/rooms", "Rooms and sticks"),
        )
        return moved(f"/job/{self._room.jobs.begin(Job('sign', test.id, ask, None, onwards)).id}")


def _tracks(looked: Looked | None) -> dict[str, str]:
    """Return the versions that can be played, by label, each with the id of its file."""
    found = {}
    for one in looked.versions if looked else ():
        file = _played(one)
        if file:
            found[one.label] = file_id(file)
    return found


def _played(version: Version) -> str:
    files = [one.path for one in version.files if one.kind == "track"]
    return next((path for end in _PLAYED for path in files if path.endswith(end)), "")


def drawn_strip(track: TrackShown, notes: list[ListeningNote]) -> Strip:
    """Return a track as it is drawn, with a mark for each note."""
    stretches = [
        Stretch(
            cast("Kind", one.kind),
            Fraction(one.start),
            Fraction(one.length),
            one.words,
            one.number,
        )
        for one in track.pieces
    ]
    return strip(stretches, [Mark(Fraction(one.at_s), one.words, is_grave=False) for one in notes])


def strip_lines(drawn: Strip) -> list[Line]:
    """Return the list that says what a drawing shows."""
    return [
        Line(one.time, _seconds(one.time), one.words, one.length, tuple(m.words for m in one.marks))
        for one in drawn.entries
    ]


def _seconds(time: str) -> int:
    minutes, _, seconds = time.partition(":")
    return int(minutes) * 60 + int(seconds)


def _clock(at_s: str) -> str:
    whole = int(Fraction(at_s))
    return f"{whole // 60}:{whole % 60:02d}"


def _missing(rows: tuple[tuple[str, str], ...]) -> list[tuple[str, str, str]]:
    """Return questions with their seconds, a little early, and the same on the player's counter."""
    return [
        (number, f"{max(0.0, float(Fraction(at_s)) - 0.5):.2f}", _clock(at_s))
        for number, at_s in rows
    ]


def _still_needed(track: TrackShown | None) -> list[str]:
    """Return what nobody has signed for yet of what a track needs."""
    if track is None:
        return []
    held = {line.partition(":")[0] for line in track.holding}
    return [one for one in TRACK_NEEDS if one not in held]
