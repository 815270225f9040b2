"""Caption files that an author supplies: WebVTT and SRT, read strictly, every problem at its place.

WebVTT after the W3C's editor's draft (repository w3c/webvtt, 92a85cc). SRT has no published
grammar; its common form is required: numbers from 1, a comma before the milliseconds. What is
read can be written again with other times and nothing else changed.
"""

from __future__ import annotations

import codecs
import html
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import CAPTIONS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import PausewrightError, Place
from pausewright.script.recordings.cue_grammar import (
    REFERENCE,
    SETTINGS,
    SRT_STAMP,
    STAMP,
    TAG,
    TAG_NAMES,
    clock_time,
    milliseconds,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pausewright.problems import Problems

ENDINGS: Final = (".vtt", ".srt")
MOST_IN_BLOCK: Final = 2_000
"""Characters that stand together without an empty line."""
MOST_ERRORS: Final = 5_000
"""What is wrong in one file beyond this is not told."""
_UTF_8: Final = "save it as UTF-8 in the editor that made it"


@dataclass(frozen=True, slots=True)
class SuppliedCue:
    """One caption as it was supplied: the half-open range [start_ms, end_ms)."""

    start_ms: int
    end_ms: int
    identifier: str
    """In WebVTT, where one is given."""
    settings: str
    """In WebVTT, as written."""
    payload: tuple[str, ...]
    """Its lines as written, with tags and character references."""
    place: Place
    """Its times."""


@dataclass(frozen=True, slots=True)
class CaptionFile:
    """A caption file: its cues, and in WebVTT header, notes, styles and regions as written."""

    file: Path
    blocks: tuple[SuppliedCue | tuple[str, ...], ...]

    @property
    def is_webvtt(self) -> bool:
        """Whether it is WebVTT; else SRT."""
        return self.file.suffix.lower() == ".vtt"

    @property
    def cues(self) -> tuple[SuppliedCue, ...]:
        """The captions in order."""
        return tuple(block for block in self.blocks if isinstance(block, SuppliedCue))

    def words(self, cue: SuppliedCue) -> str:
        """Return what a cue shows, its lines joined by LF: without tags, references resolved."""
        text = "\n".join(cue.payload)
        if self.is_webvtt:
            return html.unescape(TAG.sub("", text))
        return _SRT_TAG.sub("", text).replace("\u200b", "")


def read_caption_file(file: Path, problems: Problems, inside: Path | None = None) -> CaptionFile:
    """Return what a `.vtt` or `.srt` file holds; `problems` takes everything that is wrong in it.

    `inside` is the folder that it must lie in where a script names it.

    Raises
    ------
    PausewrightError
        If it has another ending, or is no plain file in its place that can be read.
    """
    if file.suffix.lower() not in ENDINGS:
        raise PausewrightError(
            f"‘{file.name}’ is no caption file", "give a file that ends in .vtt or .srt"
        )
    return parsed(file, file_bytes(file, CAPTIONS, inside), problems)


def parsed(file: Path, raw: bytes, problems: Problems) -> CaptionFile:
    """Return the captions in the bytes of a file, as `read_caption_file` does."""
    text = _decoded(file, raw, problems)
    if text is None:
        return CaptionFile(file, ())
    lines = _LINE_END.split(text)
    _take_out_long(file, lines, problems)
    reader = _WebVtt if file.suffix.lower() == ".vtt" else _Srt
    return CaptionFile(file, tuple(reader(file, lines, problems).blocks()))


def _take_out_long(file: Path, lines: list[str], problems: Problems) -> None:
    """Blank out what stands between empty lines where that is too long to be read; say so."""
    start = 0
    for end in (*(at for at, row in enumerate(lines) if not row), len(lines)):
        n_characters = sum(map(len, lines[start:end]))
        if n_characters > MOST_IN_BLOCK:
            problems.error(
                Place(file, start + 1, 1),
                f"{n_characters:,} characters stand here without an empty line, and "
                f"{MOST_IN_BLOCK:,} are read at most",
                "a caption is a few lines: put an empty line between them",
                code="caption-file",
            )
            lines[start:end] = [""] * (end - start)
        start = end + 1


def written(captions: CaptionFile, blocks: Sequence[SuppliedCue | tuple[str, ...]]) -> str:
    """Return the text of a file of the same kind with these blocks; UTF-8, lines end in LF."""
    rows: list[str] = []
    n_cues = 0
    for block in blocks:
        if not isinstance(block, SuppliedCue):
            rows += [*block, ""]
            continue
        n_cues += 1
        point = "." if captions.is_webvtt else ","
        times = f"{clock_time(block.start_ms, point)} --> {clock_time(block.end_ms, point)}"
        head = [block.identifier] * bool(block.identifier) if captions.is_webvtt else [str(n_cues)]
        rows += [*head, f"{times} {block.settings}".rstrip(), *block.payload, ""]
    return "\n".join(rows)


def with_inner_times(cue: SuppliedCue, start_ms: int, end_ms: int) -> SuppliedCue:
    """Return a cue at another time; times inside its text keep their share of it."""
    was_ms, now_ms = cue.end_ms - cue.start_ms, end_ms - start_ms
    last_ms = start_ms

    def moved(found: re.Match[str]) -> str:
        nonlocal last_ms
        at_ms = start_ms + (milliseconds(*found.groups()) - cue.start_ms) * now_ms // was_ms
        last_ms = max(at_ms, last_ms + 1)
        return f"<{clock_time(last_ms, '.')}>" if last_ms < end_ms else ""

    payload = tuple(_INNER.sub(moved, line) for line in cue.payload)
    return replace(cue, start_ms=start_ms, end_ms=end_ms, payload=payload)


# ---- both -------------------------------------------------------------------------------------

_LINE_END: Final = re.compile(r"\r\n|\n|\r")
_SRT_TAG: Final = re.compile(r"</?(?:[ibu]|font)(?:\s[^<>]*)?>|\{\\[^{}]*\}", re.IGNORECASE)
_INNER: Final = re.compile(rf"<{STAMP}>", re.ASCII)
_ARROW: Final = re.compile(r"[ \t]*(\S*?)([ \t]*)-->([ \t]*)(\S*)(.*)", re.DOTALL)


def _decoded(file: Path, raw: bytes, problems: Problems) -> str | None:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        problems.error(
            Place(file, 1, 1), "this file is UTF-16, not UTF-8", _UTF_8, code="caption-file"
        )
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        _tell_encoding(file, raw, problems)
        return None
    nul = text.find("\0")
    if nul >= 0:
        problems.error(
            _at(file, text, nul), "a NUL character stands here", _UTF_8, code="caption-file"
        )
    return text


def _tell_encoding(file: Path, raw: bytes, problems: Problems) -> None:
    """Report each line that is not UTF-8, with the letter that Windows means by its byte."""
    for number, row in enumerate(re.split(rb"\r\n|\n|\r", raw), 1):
        try:
            row.decode("utf-8")
        except UnicodeDecodeError as error:
            column = len(row[: error.start].decode("utf-8", "replace")) + 1
            byte = row[error.start : error.start + 1]
            meant = byte.decode("cp1252", "replace")
            what = f", ‘{meant}’ in a Windows encoding" if meant.isprintable() else ""
            problems.error(
                Place(file, number, column),
                f"this file is not UTF-8: the byte {byte[0]:02X} stands here{what}",
                _UTF_8,
                code="caption-file",
            )


def _at(file: Path, text: str, at: int, length: int = 1, first_line: int = 1) -> Place:
    """Return the place of a character of a text that begins in line `first_line`."""
    ends = list(_LINE_END.finditer(text, 0, at))
    column = at - (ends[-1].end() if ends else 0) + 1
    return Place(file, first_line + len(ends), column, max(1, length))


class _Reader:
    """What the readers of both kinds share; lines are counted from 1."""

    stamp: re.Pattern[str]
    example: str

    def __init__(self, file: Path, lines: Sequence[str], problems: Problems) -> None:
        self.file = file
        self.lines = lines
        self._problems = problems
        self._last: SuppliedCue | None = None
        self._n_errors = 0

    def error(self, line: int, column: int, message: str, hint: str, length: int = 1) -> None:
        self._n_errors += 1
        if self._n_errors > MOST_ERRORS:
            return
        place = Place(self.file, line, column, max(1, length))
        self._problems.error(place, message, hint, code="caption-file")

    def warn(self, line: int, column: int, message: str, hint: str, length: int = 1) -> None:
        place = Place(self.file, line, column, max(1, length))
        self._problems.warn(place, message, hint, code="caption-file")

    def runs(self, first: int) -> Iterator[tuple[int, Sequence[str]]]:
        """Give runs of lines that are not empty, each with the number of its first line."""
        start = first
        for number in range(first, len(self.lines) + 2):
            line = self.lines[number - 1] if number <= len(self.lines) else ""
            if not line:
                if number > start:
                    yield start, self.lines[start - 1 : number - 1]
                start = number + 1

    def timed(self, number: int, row: str) -> tuple[int, int, str] | None:
        """Return start, end and the rest of a line with times; None, and problems, if it is bad."""
        found = _ARROW.fullmatch(row)
        if found is None:
            return None
        if not (found[2] and found[3]):
            column = found.start(2) + 1
            self.error(
                number,
                column,
                "a blank is missing beside the arrow",
                f"write {self.example} --> {self.example}",
                3,
            )
        times = [self._time(number, found.start(group) + 1, found[group]) for group in (1, 4)]
        start_ms, end_ms = times
        if start_ms is None or end_ms is None:
            return None
        if end_ms <= start_ms:
            self.error(
                number,
                found.start(4) + 1,
                f"this caption ends at {found[4]}, which is not after its start",
                "give it a later end",
                len(found[4]),
            )
            return None
        return start_ms, end_ms, found[5]

    def _time(self, number: int, column: int, text: str) -> int | None:
        found = self.stamp.fullmatch(text)
        if found is None:
            self.error(
                number, column, f"‘{text}’ is not a time", f"write it as {self.example}", len(text)
            )
            return None
        return milliseconds(*found.groups())

    def placed(self, cue: SuppliedCue) -> SuppliedCue:
        """Compare a cue with the one before it."""
        last, line = self._last, cue.place.line
        if last is not None and cue.start_ms < last.start_ms:
            self.error(
                line,
                cue.place.column,
                "this caption begins before an earlier one",
                f"put it before line {last.place.line}",
                cue.place.length,
            )
        elif last is not None and cue.start_ms < last.end_ms:
            self.warn(
                line,
                cue.place.column,
                f"this caption begins while the one of line {last.place.line} still stands",
                "end the earlier one first, unless both shall be read",
                cue.place.length,
            )
        if not any(line.strip() for line in cue.payload):
            self.warn(
                line,
                cue.place.column,
                "this caption has no text",
                "write its words, or take it out",
                cue.place.length,
            )
        if last is None or cue.end_ms > last.end_ms or cue.start_ms >= last.start_ms:
            self._last = cue
        return cue

    def times_of(self, number: int, row: str) -> Place:
        """Return the place of the times in a line."""
        lead = len(row) - len(row.lstrip())
        return Place(self.file, number, lead + 1, max(1, len(row.strip())))


# ---- WebVTT -----------------------------------------------------------------------------------


class _WebVtt(_Reader):
    stamp = re.compile(STAMP, re.ASCII)
    example = "00:00:01.000"

    def blocks(self) -> Iterator[SuppliedCue | tuple[str, ...]]:
        head = self.lines[0]
        if not re.fullmatch(r"WEBVTT(?:[ \t].*)?", head):
            self.error(
                1, 1, "the first line is not WEBVTT", "begin the file with a line WEBVTT", len(head)
            )
        if "-->" in head:
            self.error(
                1, head.index("-->") + 1, "an arrow stands in the first line", "take it out", 3
            )
        if len(self.lines) > 1 and self.lines[1]:
            self.error(
                2, 1, "an empty line is missing after WEBVTT", "put one in", len(self.lines[1])
            )
        yield (head,)
        seen: dict[str, int] = {}
        for number, rows in self.runs(2):
            block = self._block(number, rows, seen)
            if block is not None:
                yield block

    def _block(
        self, number: int, rows: Sequence[str], seen: dict[str, int]
    ) -> SuppliedCue | tuple[str, ...] | None:
        if re.fullmatch(r"(NOTE(?:[ \t].*)?|STYLE[ \t]*|REGION[ \t]*)", rows[0]):
            if self._last is not None and not rows[0].startswith("NOTE"):
                self.error(
                    number,
                    1,
                    f"{rows[0].strip()} stands after the first caption",
                    "put it before all captions",
                    len(rows[0]),
                )
            for at, row in enumerate(rows):
                if "-->" in row:
                    self.error(
                        number + at,
                        row.index("-->") + 1,
                        "an arrow stands in a note",
                        "write → or take it out",
                        3,
                    )
            return tuple(rows)
        named = "-->" not in rows[0]
        if named and (len(rows) < 2 or "-->" not in rows[1]):
            self.error(
                number,
                1,
                "these lines have no times",
                "write 00:00:01.000 --> 00:00:02.000 above them, or NOTE for a remark",
                len(rows[0]),
            )
            return None
        identifier = rows[0] if named else ""
        if named and identifier in seen:
            self.error(
                number,
                1,
                f"the name ‘{identifier}’ stands above line {seen[identifier]} already",
                "give each caption another name",
                len(identifier),
            )
        seen.setdefault(identifier, number)
        at = number + named
        timed = self.timed(at, rows[named])
        payload = tuple(rows[1 + named :])
        times_ms = None if timed is None else timed[:2]
        self._text(at + 1, "\n".join(payload), times_ms)
        if timed is None:
            return None
        settings = timed[2].strip(" \t")
        self._settings(at, rows[named])
        place = self.times_of(at, rows[named])
        return self.placed(SuppliedCue(timed[0], timed[1], identifier, settings, payload, place))

    def _settings(self, number: int, row: str) -> None:
        seen: set[str] = set()
        for at, found in enumerate(re.finditer(r"\S+", row)):
            name, _, value = found[0].partition(":")
            if at < 3:  # two times and an arrow
                continue
            rule = SETTINGS.get(name)
            is_good = rule is not None and rule.fullmatch(value) is not None
            over = (
                any(float(p) > 100 for p in re.findall(r"([\d.]+)%", value)) if is_good else False
            )
            if not is_good or over or name in seen:
                self.error(
                    number,
                    found.start() + 1,
                    f"‘{found[0]}’ is not a setting of a caption",
                    "for example align:start; most captions need none",
                    len(found[0]),
                )
            seen.add(name)

    def _text(self, number: int, text: str, times_ms: tuple[int, int] | None) -> None:
        """Report everything in the text of a cue that WebVTT does not allow."""

        def error(at: int, message: str, hint: str, length: int = 1) -> None:
            place = _at(self.file, text, at, length, number)
            self.error(place.line, place.column, message, hint, length)

        for arrow in re.finditer("-->", text):
            error(arrow.start(), "an arrow (-->) stands in the text", "write --&gt;", 3)
        last_ms = times_ms[0] if times_ms else 0
        still_open: list[str] = []
        for tag in TAG.finditer(text):
            inner = _INNER.fullmatch(tag[0])
            name = re.split(r"[.\s]", tag[2], maxsplit=1)[0]
            if inner is not None:
                at_ms = milliseconds(*inner.groups())
                if times_ms and not last_ms < at_ms < times_ms[1]:
                    error(
                        tag.start(),
                        "this time is not between its neighbours",
                        "times inside a caption go up and lie between its start and end",
                        len(tag[0]),
                    )
                last_ms = at_ms
            elif name not in TAG_NAMES:
                error(
                    tag.start(),
                    f"‘{tag[0]}’ is not a tag of WebVTT",
                    "to show it write &lt; in place of <",
                    len(tag[0]),
                )
            elif not tag[1] and name in {"v", "lang"} and not tag[2][len(name) :].strip():
                error(
                    tag.start(),
                    f"‘{tag[0]}’ names nobody and nothing",
                    f"write <{name} …> with a name, or take it out",
                    len(tag[0]),
                )
            elif not tag[1]:
                still_open.append(name)
            elif still_open and still_open[-1] == name:
                still_open.pop()
            else:
                error(
                    tag.start(), f"‘{tag[0]}’ closes what is not open", "take it out", len(tag[0])
                )
        for name in still_open:
            if name != "v":
                error(len(text), f"<{name}> is not closed", f"write </{name}> after its words")
        bare = TAG.sub(lambda tag: "\ufffc" * len(tag[0]), text)
        for sign in re.finditer("<", bare):
            error(sign.start(), "a bare < stands in the text", "write &lt;")
        for sign in re.finditer("&", bare):
            known = REFERENCE.match(bare, sign.start())
            if known is None or html.unescape(known[0]) == known[0]:
                error(sign.start(), "a bare & stands in the text", "write &amp;")


# ---- SRT --------------------------------------------------------------------------------------


class _Srt(_Reader):
    stamp = re.compile(SRT_STAMP, re.ASCII)
    example = "00:00:01,000"

    def blocks(self) -> Iterator[SuppliedCue]:
        for count, (number, rows) in enumerate(self.runs(1), 1):
            cue = self._block(count, number, rows)
            if cue is not None:
                yield self.placed(cue)

    def _block(self, count: int, number: int, rows: Sequence[str]) -> SuppliedCue | None:
        if "-->" in rows[0]:
            self.error(
                number,
                1,
                f"the number {count} is missing above these times",
                f"write a line {count} above them",
                len(rows[0]),
            )
            rows, number = ["", *rows], number - 1
        elif rows[0].strip() != str(count):
            self.error(
                number,
                1,
                f"‘{rows[0].strip()}’ stands where the number {count} should",
                f"write {count}",
                len(rows[0]),
            )
        if len(rows) < 2 or "-->" not in rows[1]:
            self.error(
                number + 1 if len(rows) > 1 else number,
                1,
                "the times are missing",
                f"write {self.example} --> {self.example} below the number",
            )
            return None
        timed = self.timed(number + 1, rows[1])
        for at, row in enumerate(rows[2:], number + 2):
            self._text(at, row)
        if timed is None:
            return None
        if timed[2].strip():
            self.error(
                number + 1,
                len(rows[1]) - len(timed[2].lstrip()) + 1,
                f"‘{timed[2].strip()}’ stands after the times",
                "take it out",
                len(timed[2].strip()),
            )
        place = self.times_of(number + 1, rows[1])
        return SuppliedCue(timed[0], timed[1], "", "", tuple(rows[2:]), place)

    def _text(self, number: int, row: str) -> None:
        if "-->" in row:
            self.error(
                number,
                row.index("-->") + 1,
                "an arrow (-->) stands in the text",
                "put an empty line before the next caption’s number, or write →",
                3,
            )
        for tag in re.finditer(r"</?([A-Za-z][^<>\s/]*)[^<>]*>", row):
            if not _SRT_TAG.fullmatch(tag[0]):
                self.warn(
                    number,
                    tag.start() + 1,
                    f"players may take ‘{tag[0]}’ for a tag and hide it",
                    "write it without < and >",
                    len(tag[0]),
                )
