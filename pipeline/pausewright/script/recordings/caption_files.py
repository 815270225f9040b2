"""Caption files that an author supplies: WebVTT and SRT, read strictly, every problem at its place.

WebVTT after the W3C's editor's draft (repository w3c/webvtt, 92a85cc). SRT has no published
grammar; its common form is required: numbers from 1, a comma before the milliseconds. What is
read can be written again with other times and nothing else changed.
"""

from __future__ import annotations

import codecs
import re
from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import CAPTIONS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import PausewrightError, Place
from pausewright.script.limits import CAPTION_FILE_ENDINGS
from pausewright.script.recordings.cue_readers import LINE_END, SrtReader, WebVttReader, place_in
from pausewright.script.recordings.supplied_cues import CaptionFile

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problems

MOST_IN_BLOCK: Final = 2_000
"""Characters that stand together without an empty line."""


def read_caption_file(file: Path, problems: Problems, inside: Path | None = None) -> CaptionFile:
    """Return what a `.vtt` or `.srt` file holds; `problems` takes everything that is wrong in it.

    `inside` is the folder that it must lie in where a script names it.

    Raises
    ------
    PausewrightError
        If it has another ending, or is no plain file in its place that can be read.
    """
    if file.suffix.lower() not in CAPTION_FILE_ENDINGS:
        raise PausewrightError(
            f"‘{file.name}’ is no caption file", "give a file that ends in .vtt or .srt"
        )
    return parsed(file, file_bytes(file, CAPTIONS, inside), problems)


def parsed(file: Path, raw: bytes, problems: Problems) -> CaptionFile:
    """Return the captions in the bytes of a file, as `read_caption_file` does."""
    text = _decoded(file, raw, problems)
    if text is None:
        return CaptionFile(file, ())
    lines = LINE_END.split(text)
    _take_out_long(file, lines, problems)
    reader = WebVttReader if file.suffix.lower() == ".vtt" else SrtReader
    return CaptionFile(file, tuple(reader(file, lines, problems).blocks()))


def _take_out_long(file: Path, lines: list[str], problems: Problems) -> None:
    """Blank out what stands between empty lines where that is too long to be read; say so."""
    start = 0
    for end in (*(at for at, row in enumerate(lines) if not row), len(lines)):
        n_characters = sum(map(len, lines[start:end]))
        if n_characters > MOST_IN_BLOCK:
            _refuse(
                problems,
                Place(file, start + 1, 1),
                f"{n_characters:,} characters stand here without an empty line, and "
                f"{MOST_IN_BLOCK:,} are read at most",
                "a caption is a few lines: put an empty line between them",
            )
            lines[start:end] = [""] * (end - start)
        start = end + 1


def _decoded(file: Path, raw: bytes, problems: Problems) -> str | None:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        _refuse(problems, Place(file, 1, 1), "this file is UTF-16, not UTF-8")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        _tell_encoding(file, raw, problems)
        return None
    nul = text.find("\0")
    if nul >= 0:
        _refuse(problems, place_in(file, text, nul), "a NUL character stands here")
    return text


def _tell_encoding(file: Path, raw: bytes, problems: Problems) -> None:
    """Report each line that is not UTF-8, with the letter that Windows means by its byte."""
    for number, row in enumerate(re.split(rb"\r\n|\n|\r", raw), 1):
        try:
            row.decode("utf-8")
        except UnicodeDecodeError as error:
            column = len(row[: error.start].decode("utf-8", "replace")) + 1
            byte = row[error.start : error.start + 1]
            sign = byte.decode("cp1252", "replace")
            what = f", ‘{sign}’ in a Windows encoding" if sign.isprintable() else ""
            message = f"this file is not UTF-8: the byte {byte[0]:02X} stands here{what}"
            _refuse(problems, Place(file, number, column), message)


def _refuse(
    problems: Problems,
    place: Place,
    message: str,
    hint: str = "save it as UTF-8 in the editor that made it",
) -> None:
    problems.error(place, message, hint, code="caption-file")
