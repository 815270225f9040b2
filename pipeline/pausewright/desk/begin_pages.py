"""Ways to begin a test: answers to a few questions, a page that is pasted, a document."""

from __future__ import annotations

import secrets
import shutil
from typing import TYPE_CHECKING, Final

from starlette.routing import Route

from pausewright.desk.frame import form_of, moved
from pausewright.desk.messages import PaperRead, ReadPaper, Refused
from pausewright.desk.uploads import Upload
from pausewright.drafting.interview import Group, Interview, script_of_interview
from pausewright.drafting.paper_script import Manner
from pausewright.files.writing import make_folder, write_file
from pausewright.problems import OutputError, PausewrightError
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame

LANGUAGES: Final = (
    ("en-GB", "English, British"),
    ("en-US", "English, American"),
    ("es-ES", "Spanish"),
    ("fr-FR", "French"),
)
"""For which there are voices; the text can name any other."""
_ENGLISH: Final = LANGUAGES[:2]
_MOST_READINGS: Final = 5
_READ_S: Final = 180.0
"""A second where nothing else runs; the reader may just be starting on a busy machine."""


class BeginPages:
    """Answers for new tests."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of these pages."""
        return [
            Route("/new", self.ways),
            Route("/new/questions", self.of_questions, methods=["POST"]),
            Route("/new/paste", self.of_paste, methods=["POST"]),
            Route("/new/file", self.of_file, methods=["POST"]),
        ]

    async def ways(self, request: Request) -> Response:
        """Show the ways to begin."""
        del request
        return self._ways()

    def _ways(
        self, status: int = 200, refused: PausewrightError | None = None, pasted: str = ""
    ) -> Response:
        told = None
        if refused is not None:
            message = one_line(refused.message[:1].upper() + refused.message[1:])
            told = {"message": message, "hint": one_line(refused.hint)}
        return self._frame.show(
            "begin.html",
            status,
            here="/",
            refused=told,
            pasted=pasted,
            languages=LANGUAGES,
            english=_ENGLISH,
            readings=range(1, _MOST_READINGS + 1),
        )

    async def of_questions(self, request: Request) -> Response:
        """Begin a test from answers to questions."""
        form = await form_of(request)
        try:
            rows = [one.strip() for one in form.one("groups").splitlines() if one.strip()]
            n = _whole(form.one("n_questions"), "how many questions")
            groups = _groups(rows, n)
            asked = Interview(
                _manner(form.fields()),
                groups,
                _whole(form.one("n_practice") or "0", "how many practice questions"),
                stop_at_start=form.has("stop_at_start"),
                stop_between=form.has("stop_between"),
                turn_between=form.has("turn_between"),
            )
            test = self._room.shelf.begin(form.one("title"), script_of_interview(asked))
        except PausewrightError as refused:
            return self._ways(400, refused)
        return moved(f"/test/{test.id}/words")

    async def of_paste(self, request: Request) -> Response:
        """Begin a test from a page that is pasted."""
        form = await form_of(request)
        place = self._place()
        try:
            html, text = form.one("html").strip(), form.one("pasted")
            if not html and not text.strip():
                raise OutputError(
                    "nothing is pasted", "copy the page in its program, paste it here"
                )
            paper = place / ("pasted.html" if html else "pasted.txt")
            content = f'<meta charset="utf-8">{html}' if html else text
            write_file(paper, content.encode("utf-8", "replace"), private=True)
            return await self._of_paper(paper, form.fields())
        except PausewrightError as refused:
            return self._ways(400, refused, form.one("pasted"))
        finally:
            shutil.rmtree(place, ignore_errors=True)

    async def of_file(self, request: Request) -> Response:
        """Begin a test from a document."""
        place = self._place()
        upload = Upload(place)
        try:
            await upload.take(request)
            if upload.file is None:
                raise OutputError("no file is chosen", "choose one first")
            return await self._of_paper(upload.file, upload.fields)
        except PausewrightError as refused:
            return self._ways(400, refused)
        finally:
            shutil.rmtree(place, ignore_errors=True)

    def _place(self) -> Path:
        place = self._room.held() / secrets.token_hex(8)
        make_folder(place, private=True)
        return place

    async def _of_paper(self, paper: Path, fields: Mapping[str, str]) -> Response:
        manner = _manner(fields)
        ask = ReadPaper(
            str(paper),
            manner.title,
            manner.language,
            manner.readings,
            manner.between,
            manner.answer_time,
            manner.announce,
        )
        answer = await self._room.ask(ask, _READ_S)
        if isinstance(answer, Refused):
            raise OutputError(answer.message, answer.hint)
        if not isinstance(answer, PaperRead):
            raise OutputError("the paper could not be read", "save it as .docx or .txt")
        test = self._room.shelf.begin(manner.title, answer.text)
        return self._frame.show("begun.html", here="/", test_id=test.id, found=answer)


def _manner(fields: Mapping[str, str]) -> Manner:
    """Return how the questions are read, as a form says."""
    language = fields.get("language", "")
    if language not in dict(LANGUAGES):
        raise OutputError("this language is not known here", "choose it from the list")
    readings = _whole(fields.get("readings", "2"), "how often each is read")
    if not 1 <= readings <= _MOST_READINGS:
        raise OutputError(f"each is read 1 to {_MOST_READINGS} times", "change the number")
    announce = "Question {number}." if "announce" in fields and language[:2] == "en" else ""
    return Manner(
        fields.get("title", "").strip(),
        language,
        readings,
        _time(fields.get("between", ""), "2 s"),
        _time(fields.get("answer_time", ""), "10 s"),
        announce,
    )


def _time(text: str, usual: str) -> str:
    """Return a time; bare figures are seconds, as the field says."""
    plain = " ".join(text.split())
    if not plain:
        return usual
    return f"{plain} s" if plain.replace(".", "", 1).isdigit() else plain


def _groups(rows: list[str], n: int) -> tuple[Group, ...]:
    """Return the groups of a test: its questions shared out evenly, the first ones get more."""
    if not rows:
        return (Group("", n),)
    if n < len(rows):
        raise OutputError("there are more groups than questions", "write fewer groups")
    each, more = divmod(n, len(rows))
    return tuple(Group(row, each + (i < more)) for i, row in enumerate(rows))


def _whole(text: str, what: str) -> int:
    text = text.strip()
    if not (text.isascii() and text.isdigit() and len(text) < 5):
        raise OutputError(f"it is not said {what}", "write a number")
    return int(text)
