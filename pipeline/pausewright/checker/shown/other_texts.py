"""Texts beside a track that are neither caption nor transcript, and can be read all the same.

Of a room screen all that its source holds: elements, attributes, comments, its data, the texts of
its code. Of a caption file what stands around its cues. Of a track what its tags say.
"""

from __future__ import annotations

import json
import posixpath
import re
from functools import cache
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Final, Literal, NamedTuple, TypeAlias

from pausewright.checker.files.tags import read_tags
from pausewright.checker.shown.rows import BLOCKS, bytes_of
from pausewright.checker.shown.shown_elsewhere import PAGE
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import CHECKED_CAPTIONS
from pausewright.intake.plain_file import file_bytes
from pausewright.pages.page import page_part

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from pausewright.checker.shown.caption_readers import CaptionFile

_Kind: TypeAlias = Literal["read", "held", "code"]
"""Said to people, or held by the source, as part of its code or elsewhere."""
_SAID: Final = frozenset({"alt", "title", "aria-label", "aria-description", "placeholder", "label"})
"""Attributes that a window or a screen reader says."""
_ESCAPED: Final = re.compile(r"\\u([0-9a-fA-F]{4})")
_NAMED: Final = re.compile(r"{% (?:extends|include) \"([^\"]+)\" %}")
_IMPORTED: Final = re.compile(r"(?m)^(?:import|export|}).*from \"(\.{1,2}/[^\"]+)\";?$")
_MARKUP: Final = re.compile(r"<[^>\n]*>")
_ONE_WORD: Final = re.compile(r"\S*")
_CAPTIONS: Final = frozenset({".vtt", ".srt"})


@frozen
class OtherText:
    """A text, and where it stands."""

    where: str
    text: str
    is_read: bool = False
    """Whether a page says it to people, so that each of its words is judged by itself."""
    is_code: bool = False
    """Whether it is a line of a page's code or style."""


class Beside(NamedTuple):
    """What lies beside a track and can be read."""

    captions: Sequence[tuple[str, CaptionFile]]
    others: Sequence[Path]
    """Room screens, transcripts and printed instructions."""
    sheets: Sequence[Path]
    files: Sequence[Path]
    """All of them but the sheets, the track's own files too: `other_texts` are read in these."""


def other_texts(files: Iterable[Path]) -> Iterator[OtherText]:
    """Walk the texts of pages, caption files and tracks; of other files there are none.

    Raises
    ------
    TrackError
        If a file cannot be read.
    """
    for file in files:
        if file.suffix == ".html":
            source = bytes_of(file).decode("utf-8", "replace")
            is_screen = file.name.endswith(PAGE)
            for line, text, kind in _of_page(source):
                if is_screen or kind != "read":  # what a transcript says is judged row by row
                    where = f"{file.name}, line {line}"
                    yield OtherText(where, text, kind == "read", kind == "code")
        elif file.suffix.lower() in _CAPTIONS:
            source = file_bytes(file, CHECKED_CAPTIONS).decode("utf-8", "replace")
            for line, text in _around_cues(source):
                yield OtherText(f"{file.name}, line {line}", text)
        elif file.suffix != ".txt":
            for name, text in read_tags(file).texts:
                yield OtherText(f"the tag {name} of {file.name}", text)


@cache
def own_words_of_page() -> str:
    """Return what a room screen says in every test: the texts of the program's own page."""
    waiting, known = ["room/room.html"], dict[str, str]()
    while waiting:
        name = waiting.pop()
        if name not in known:
            known[name] = page_part("pausewright.screen", name)
            waiting += _NAMED.findall(known[name])
    return "\n".join(
        text for source in known.values() for _, text, kind in _of_page(source) if kind == "read"
    )


@cache
def own_words_of_code() -> str:
    """Return the code of the program's own page, with its comments, and its style."""
    waiting, known = ["room/room.js"], dict[str, str]()
    while waiting:
        name = waiting.pop()
        if name not in known:
            known[name] = page_part("pausewright.screen", name)
            folder = posixpath.dirname(name)
            waiting += [
                posixpath.normpath(posixpath.join(folder, one))
                for one in _IMPORTED.findall(known[name])
            ]
    styles = page_part("pausewright.screen", "shared/page.css", "room/room.css")
    return "\n".join([*known.values(), styles])


# ---- pages -----------------------------------------------------------------------------------


def _of_page(source: str) -> list[tuple[int, str, _Kind]]:
    """Return lines, texts, and what they are."""
    reader = _Texts()
    try:
        reader.feed(source)
        reader.texts.append((1, reader.rawdata, "held"))  # what is not closed
        reader.close()
    except AssertionError:  # what Python's parser says of some broken declarations
        reader.texts.append((1, _MARKUP.sub(" ", source), "held"))
    reader.end_row()
    return reader.texts


class _Texts(HTMLParser):
    """Collects all that a page's source holds."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[tuple[int, str, _Kind]] = []
        self._row: list[str] = []
        self._row_line = 1
        self._is_code = False
        self._is_data = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        line = self.getpos()[0]
        if tag in BLOCKS or tag in {"script", "style"}:
            self.end_row()
        self._is_code = tag in {"script", "style"}
        self._is_data = self._is_code and ("type", "application/json") in attrs
        self.texts += [
            (line, value, "read" if name in _SAID else "held") for name, value in attrs if value
        ]

    def handle_endtag(self, tag: str) -> None:
        if tag in BLOCKS or self._is_code:
            self.end_row()
        self._is_code = self._is_data = False

    def handle_data(self, data: str) -> None:
        self._row_line = self._row_line if self._row else self.getpos()[0]
        self._row.append(data)

    def handle_comment(self, data: str) -> None:
        self.texts.append((self.getpos()[0], data, "read"))

    def handle_decl(self, decl: str) -> None:
        self.texts.append((self.getpos()[0], decl, "held"))

    def handle_pi(self, data: str) -> None:
        self.texts.append((self.getpos()[0], data, "held"))

    def unknown_decl(self, data: str) -> None:
        self.texts.append((self.getpos()[0], data, "held"))

    def end_row(self) -> None:
        """Close what is being collected."""
        text, self._row = "".join(self._row), []
        if self._is_data:
            self.texts += [(self._row_line, one, "held") for one in _strings(text)]
        elif self._is_code and not _ONE_WORD.fullmatch(text.strip()):  # a sound held by the page
            shown = _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)
            self.texts += [
                (self._row_line + n, row, "code")
                for n, row in enumerate(shown.split("\n"))
                if row.strip()
            ]
        elif text.strip() and not self._is_code:
            self.texts.append((self._row_line, text, "read"))


def _strings(text: str) -> Iterator[str]:
    """Walk the texts in data, names included; the data as they stand if they are no JSON."""
    try:
        waiting: list[object] = [json.loads(text)]
    except (ValueError, RecursionError):
        waiting = [text]
    while waiting:
        one = waiting.pop()
        if isinstance(one, str):
            yield one
        elif isinstance(one, dict):
            waiting += [*one, *one.values()]
        elif isinstance(one, list):
            rows = [str(part) for part in one if isinstance(part, str | int)]
            yield " ".join(rows)  # words that are parted into several texts
            waiting += one


# ---- caption files ---------------------------------------------------------------------------


def _around_cues(source: str) -> Iterator[tuple[int, str]]:
    """Walk what a caption file holds besides the words of its cues, block by block."""
    blocks: list[list[tuple[int, str]]] = [[]]
    for number, line in enumerate(source.splitlines(), 1):
        if line.strip():
            blocks[-1].append((number, line))
        elif blocks[-1]:
            blocks.append([])
    for block in filter(None, blocks):
        timed = next((n for n, (_, line) in enumerate(block[:2]) if "-->" in line), None)
        if timed is None:
            yield block[0][0], " ".join(line for _, line in block)
            continue
        if timed:
            yield block[0]
        for number, line in block[timed:]:
            markup = " ".join(_MARKUP.findall(line)) if "-->" not in line else line
            if markup:
                yield number, markup
