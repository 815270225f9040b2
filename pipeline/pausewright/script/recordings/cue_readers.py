"""The two kinds of caption files, read line by line: everything that is wrong, at its place."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, ClassVar, Final

from pausewright.problems import Place
from pausewright.script.recordings.cue_grammar import (
    REFERENCE,
    SETTINGS,
    SRT_STAMP,
    STAMP,
    TAG,
    TAG_NAMES,
    milliseconds,
)
from pausewright.script.recordings.supplied_cues import INNER_TIME, SRT_TAG, SuppliedCue

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pausewright.problems import Problems

MOST_ERRORS: Final = 5_000
"""What is wrong in one file beyond this is not told."""
LINE_END: Final = re.compile(r"\r\n|\n|\r")
_ARROW: Final = re.compile(r"[ \t]*(\S*?)([ \t]*)-->([ \t]*)(\S*)(.*)", re.DOTALL)
_CODE: Final = "caption-file"


def place_in(file: Path, text: str, at: int, length: int = 1, first_line: int = 1) -> Place:
    """Return the place of a character of a text that begins in line `first_line`."""
    ends = list(LINE_END.finditer(text, 0, at))
    column = at - (ends[-1].end() if ends else 0) + 1
    return Place(file, first_line + len(ends), column, max(1, length))


class _Reader:
    """What the readers of both kinds share; lines are counted from 1."""

    stamp: ClassVar[re.Pattern[str]]
    example: ClassVar[str]

    def __init__(self, file: Path, lines: Sequence[str], problems: Problems) -> None:
        self.file = file
        self.lines = lines
        self._problems = problems
        self._last: SuppliedCue | None = None
        self._n_errors = 0

    def at(self, line: int, column: int = 1, length: int = 1) -> Place:
        return Place(self.file, line, column, max(1, length))

    def arrow(self, line: int, row: str) -> Place:
        return self.at(line, row.index("-->") + 1, 3)

    def error(self, place: Place, message: str, hint: str) -> None:
        self._n_errors += 1
        if self._n_errors <= MOST_ERRORS:
            self._problems.error(place, message, hint, code=_CODE)

    def warn(self, place: Place, message: str, hint: str) -> None:
        self._problems.warn(place, message, hint, code=_CODE)

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
            hint = f"write {self.example} --> {self.example}"
            place = self.at(number, found.start(2) + 1, 3)
            self.error(place, "a blank is missing beside the arrow", hint)
        start_ms, end_ms = (
            self._time(self.at(number, found.start(group) + 1, len(found[group])), found[group])
            for group in (1, 4)
        )
        if start_ms is None or end_ms is None:
            return None
        if end_ms <= start_ms:
            message = f"this caption ends at {found[4]}, which is not after its start"
            place = self.at(number, found.start(4) + 1, len(found[4]))
            self.error(place, message, "give it a later end")
            return None
        return start_ms, end_ms, found[5]

    def _time(self, place: Place, text: str) -> int | None:
        found = self.stamp.fullmatch(text)
        if found is None:
            self.error(place, f"‘{text}’ is not a time", f"write it as {self.example}")
            return None
        return milliseconds(*found.groups())

    def placed(self, cue: SuppliedCue) -> SuppliedCue:
        """Compare a cue with the one before it."""
        last = self._last
        if last is not None and cue.start_ms < last.start_ms:
            message = "this caption begins before an earlier one"
            self.error(cue.place, message, f"put it before line {last.place.line}")
        elif last is not None and cue.start_ms < last.end_ms:
            message = f"this caption begins while the one of line {last.place.line} still stands"
            self.warn(cue.place, message, "end the earlier one first, unless both shall be read")
        if not any(line.strip() for line in cue.payload):
            self.warn(cue.place, "this caption has no text", "write its words, or take it out")
        if last is None or cue.end_ms > last.end_ms or cue.start_ms >= last.start_ms:
            self._last = cue
        return cue

    def times_of(self, number: int, row: str) -> Place:
        """Return the place of the times in a line."""
        return self.at(number, len(row) - len(row.lstrip()) + 1, len(row.strip()))


class WebVttReader(_Reader):
    """WebVTT: a head, then notes, styles, regions and captions."""

    stamp = re.compile(STAMP, re.ASCII)
    example = "00:00:01.000"

    def blocks(self) -> Iterator[SuppliedCue | tuple[str, ...]]:
        """Give the blocks in order; what cannot be read is left out."""
        head = self.lines[0]
        if not re.fullmatch(r"WEBVTT(?:[ \t].*)?", head):
            hint = "begin the file with a line WEBVTT"
            self.error(self.at(1, 1, len(head)), "the first line is not WEBVTT", hint)
        if "-->" in head:
            self.error(self.arrow(1, head), "an arrow stands in the first line", "take it out")
        if len(self.lines) > 1 and self.lines[1]:
            place = self.at(2, 1, len(self.lines[1]))
            self.error(place, "an empty line is missing after WEBVTT", "put one in")
        yield (head,)
        seen: dict[str, int] = {}
        for number, rows in self.runs(2):
            block = self._block(number, rows, seen)
            if block is not None:
                yield block

    def _block(
        self, number: int, rows: Sequence[str], seen: dict[str, int]
    ) -> SuppliedCue | tuple[str, ...] | None:
        first = self.at(number, 1, len(rows[0]))
        if re.fullmatch(r"(NOTE(?:[ \t].*)?|STYLE[ \t]*|REGION[ \t]*)", rows[0]):
            if self._last is not None and not rows[0].startswith("NOTE"):
                message = f"{rows[0].strip()} stands after the first caption"
                self.error(first, message, "put it before all captions")
            for at, row in enumerate(rows, number):
                if "-->" in row:
                    place = self.arrow(at, row)
                    self.error(place, "an arrow stands in a note", "write → or take it out")
            return tuple(rows)
        named = "-->" not in rows[0]
        if named and (len(rows) < 2 or "-->" not in rows[1]):
            hint = "write 00:00:01.000 --> 00:00:02.000 above them, or NOTE for a remark"
            self.error(first, "these lines have no times", hint)
            return None
        identifier = rows[0] if named else ""
        if named and identifier in seen:
            message = f"the name ‘{identifier}’ stands above line {seen[identifier]} already"
            self.error(first, message, "give each caption another name")
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
            if is_good:
                is_good = all(float(p) <= 100 for p in re.findall(r"([\d.]+)%", value))
            if not is_good or name in seen:
                place = self.at(number, found.start() + 1, len(found[0]))
                hint = "for example align:start; most captions need none"
                self.error(place, f"‘{found[0]}’ is not a setting of a caption", hint)
            seen.add(name)

    def _text(self, number: int, text: str, times_ms: tuple[int, int] | None) -> None:
        """Report everything in the text of a cue that WebVTT does not allow."""

        def error(at: int, message: str, hint: str, length: int = 1) -> None:
            self.error(place_in(self.file, text, at, length, number), message, hint)

        for arrow in re.finditer("-->", text):
            error(arrow.start(), "an arrow (-->) stands in the text", "write --&gt;", 3)
        last_ms = times_ms[0] if times_ms else 0
        still_open: list[str] = []
        for tag in TAG.finditer(text):
            at, length, written = tag.start(), len(tag[0]), tag[0]
            inner = INNER_TIME.fullmatch(written)
            name = re.split(r"[.\s]", tag[2], maxsplit=1)[0]
            if inner is not None:
                at_ms = milliseconds(*inner.groups())
                if times_ms and not last_ms < at_ms < times_ms[1]:
                    hint = "times inside a caption go up and lie between its start and end"
                    error(at, "this time is not between its neighbours", hint, length)
                last_ms = at_ms
            elif name not in TAG_NAMES:
                hint = "to show it write &lt; in place of <"
                error(at, f"‘{written}’ is not a tag of WebVTT", hint, length)
            elif not tag[1] and name in {"v", "lang"} and not tag[2][len(name) :].strip():
                hint = f"write <{name} …> with a name, or take it out"
                error(at, f"‘{written}’ names nobody and nothing", hint, length)
            elif not tag[1]:
                still_open.append(name)
            elif still_open and still_open[-1] == name:
                still_open.pop()
            else:
                error(at, f"‘{written}’ closes what is not open", "take it out", length)
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


class SrtReader(_Reader):
    """SRT: a number, times and text, again and again."""

    stamp = re.compile(SRT_STAMP, re.ASCII)
    example = "00:00:01,000"

    def blocks(self) -> Iterator[SuppliedCue]:
        """Give the captions in order; what cannot be read is left out."""
        for count, (number, rows) in enumerate(self.runs(1), 1):
            cue = self._block(count, number, rows)
            if cue is not None:
                yield self.placed(cue)

    def _block(self, count: int, number: int, rows: Sequence[str]) -> SuppliedCue | None:
        first = self.at(number, 1, len(rows[0]))
        if "-->" in rows[0]:
            message = f"the number {count} is missing above these times"
            self.error(first, message, f"write a line {count} above them")
            rows, number = ["", *rows], number - 1
        elif rows[0].strip() != str(count):
            message = f"‘{rows[0].strip()}’ stands where the number {count} should"
            self.error(first, message, f"write {count}")
        if len(rows) < 2 or "-->" not in rows[1]:
            hint = f"write {self.example} --> {self.example} below the number"
            place = self.at(number + 1 if len(rows) > 1 else number)
            self.error(place, "the times are missing", hint)
            return None
        timed = self.timed(number + 1, rows[1])
        for at, row in enumerate(rows[2:], number + 2):
            self._text(at, row)
        if timed is None:
            return None
        after = timed[2].strip()
        if after:
            column = len(rows[1]) - len(timed[2].lstrip()) + 1
            place = self.at(number + 1, column, len(after))
            self.error(place, f"‘{after}’ stands after the times", "take it out")
        place = self.times_of(number + 1, rows[1])
        return SuppliedCue(timed[0], timed[1], "", "", tuple(rows[2:]), place)

    def _text(self, number: int, row: str) -> None:
        if "-->" in row:
            hint = "put an empty line before the next caption’s number, or write →"
            self.error(self.arrow(number, row), "an arrow (-->) stands in the text", hint)
        for tag in re.finditer(r"</?([A-Za-z][^<>\s/]*)[^<>]*>", row):
            if not SRT_TAG.fullmatch(tag[0]):
                place = self.at(number, tag.start() + 1, len(tag[0]))
                message = f"players may take ‘{tag[0]}’ for a tag and hide it"
                self.warn(place, message, "write it without < and >")
