"""Strict readers of WebVTT and SubRip files: every departure from the rules, with its line.

WebVTT after the W3C's editor's draft (check values VTT-01 to VTT-09), read as a conformance
checker reads it and not as a browser, which forgives. SubRip has no standard; the common form is
required: numbers from 1, a comma before the milliseconds.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.intake.file_kinds import CHECKED_CAPTIONS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError
from pausewright.script.recordings.cue_grammar import (
    REFERENCE,
    SETTINGS,
    SRT_STAMP,
    STAMP,
    TAG,
    TAG_NAMES,
    milliseconds,
)

if TYPE_CHECKING:
    from pathlib import Path


@frozen
class Cue:
    """One caption."""

    start_ms: int
    end_ms: int
    text: str
    """As a reader sees it: tags left out, character references resolved, lines joined by LF."""
    line: int
    """Line of its timings, counted from 1."""


@frozen
class CaptionFault:
    """One departure from the rules."""

    line: int
    sentence: str


@dataclass(slots=True)
class CaptionFile:
    """What a caption file holds and what is wrong with its form."""

    cues: list[Cue] = field(default_factory=list)
    faults: list[CaptionFault] = field(default_factory=list)


def read_captions(path: Path) -> CaptionFile:
    """Return the cues and faults of a `.vtt` or `.srt` file.

    Raises
    ------
    TrackError
        If it is no plain file that can be read, larger than 8 MB, or has another ending.
    """
    suffix = path.suffix.lower()
    if suffix not in {".vtt", ".srt"}:
        raise TrackError(f"‘{path.name}’ is no caption file", "give a .vtt or .srt file")
    data = file_bytes(path, CHECKED_CAPTIONS)
    return read_webvtt(data) if suffix == ".vtt" else read_srt(data)


# ---- both ------------------------------------------------------------------------------------


def _decoded(data: bytes, found: CaptionFile) -> list[str]:
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as why:
        line = data[: why.start].count(b"\n") + 1
        found.faults.append(CaptionFault(line, "the file is not UTF-8"))
        text = data.decode("utf-8", errors="replace")
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        found.faults.append(CaptionFault(line, "the file holds a NUL character"))
    return re.split(r"\r\n|\n|\r", text.removeprefix("\ufeff"))


def _blocks(lines: list[str], first: int) -> list[tuple[int, list[str]]]:
    """Return runs of lines that are not empty, each with the number of its first line."""
    blocks: list[tuple[int, list[str]]] = []
    is_open = False
    for number, line in enumerate(lines[first:], first + 1):
        if not line:
            is_open = False
        elif is_open:
            blocks[-1][1].append(line)
        else:
            blocks.append((number, [line]))
            is_open = True
    return blocks


# ---- WebVTT ----------------------------------------------------------------------------------

_TIMINGS = re.compile(rf"{STAMP}[ \t]+-->[ \t]+{STAMP}((?:[ \t]+\S+)*)[ \t]*", re.ASCII)
_STAMP_TAG = re.compile(STAMP, re.ASCII)


def read_webvtt(data: bytes) -> CaptionFile:
    """Return the cues of a WebVTT file and every place where it breaks the format's rules."""
    found = CaptionFile()
    lines = _decoded(data, found)
    if not re.fullmatch(r"WEBVTT(?:[ \t].*)?", lines[0]):
        found.faults.append(CaptionFault(1, "the first line is not WEBVTT"))
    if "-->" in lines[0]:
        found.faults.append(CaptionFault(1, "the header holds an arrow (-->)"))
    first = 1
    if len(lines) > 1 and lines[1]:
        found.faults.append(CaptionFault(2, "an empty line is missing after the header"))
    identifiers: set[str] = set()
    for number, block in _blocks(lines, first):
        _webvtt_block(found, number, block, identifiers)
    return found


def _webvtt_block(found: CaptionFile, number: int, block: list[str], identifiers: set[str]) -> None:
    if re.fullmatch(r"NOTE(?:[ \t].*)?", block[0]):
        if any("-->" in line for line in block):
            found.faults.append(CaptionFault(number, "a note holds an arrow (-->)"))
        return
    if re.fullmatch(r"(STYLE|REGION)[ \t]*", block[0]):
        if found.cues:
            found.faults.append(CaptionFault(number, f"{block[0].strip()} after the first cue"))
        if any("-->" in line for line in block):
            found.faults.append(CaptionFault(number, "a style or region holds an arrow (-->)"))
        return
    at = 0
    if "-->" not in block[0]:
        if len(block) < 2 or "-->" not in block[1]:
            found.faults.append(CaptionFault(number, "this block has no timings"))
            return
        if block[0] in identifiers:
            found.faults.append(CaptionFault(number, "a cue identifier is used twice"))
        identifiers.add(block[0])
        at = 1
    timings = _TIMINGS.fullmatch(block[at])
    if timings is None:
        found.faults.append(CaptionFault(number + at, "the timings are malformed"))
        return
    start_ms, end_ms = (
        milliseconds(*timings.group(1, 2, 3, 4)),
        milliseconds(*timings.group(5, 6, 7, 8)),
    )
    _settings(found, number + at, timings.group(9).split())
    if end_ms <= start_ms:
        found.faults.append(CaptionFault(number + at, "the cue does not end after its start"))
    if found.cues and start_ms < found.cues[-1].start_ms:
        found.faults.append(CaptionFault(number + at, "the cue starts before an earlier one"))
    text = "\n".join(block[at + 1 :])
    shown = _cue_text(found, number + at + 1, text, (start_ms, end_ms))
    found.cues.append(Cue(start_ms, end_ms, shown, number + at))


def _settings(found: CaptionFile, line: int, settings: list[str]) -> None:
    seen: set[str] = set()
    for setting in settings:
        name, _, value = setting.partition(":")
        rule = SETTINGS.get(name)
        if rule is None or not rule.fullmatch(value):
            found.faults.append(CaptionFault(line, "a cue setting is malformed"))
        elif any(float(p) > 100 for p in re.findall(r"([\d.]+)%", value)):
            found.faults.append(CaptionFault(line, "a cue setting is over 100 %"))
        if name in seen:
            found.faults.append(CaptionFault(line, "a cue setting is given twice"))
        seen.add(name)


def _cue_text(found: CaptionFile, line: int, text: str, times_ms: tuple[int, int]) -> str:
    """Return a cue's text as it is seen; note what breaks the rules of cue text."""

    def fault(at: int, sentence: str) -> None:
        found.faults.append(CaptionFault(line + text[:at].count("\n"), sentence))

    if "-->" in text:
        fault(text.index("-->"), "the cue's text holds an arrow (-->)")
    open_tags: list[str] = []
    last_ms = times_ms[0]
    for tag in TAG.finditer(text):
        closing, body = tag.groups()
        name = re.split(r"[.\s]", body, maxsplit=1)[0]
        stamp = _STAMP_TAG.fullmatch(body)
        if stamp and not closing:
            at_ms = milliseconds(*stamp.groups())
            if not last_ms < at_ms < times_ms[1]:
                fault(tag.start(), "a time inside a cue is not between its neighbours")
            last_ms = at_ms
        elif name not in TAG_NAMES:
            fault(tag.start(), "the cue's text holds an unknown tag")
        elif not closing:
            open_tags.append(name)
        elif open_tags and open_tags[-1] == name:
            open_tags.pop()
        else:
            fault(tag.start(), "a tag is closed that is not open")
    if [name for name in open_tags if name != "v"]:
        fault(len(text), "a tag is not closed")
    bare = TAG.sub(lambda tag: "\ufffc" * len(tag.group()), text)
    if "<" in bare:
        fault(bare.index("<"), "a raw < stands in the cue's text")
    for sign in re.finditer("&", bare):
        reference = REFERENCE.match(bare, sign.start())
        if reference is None or html.unescape(reference.group()) == reference.group():
            fault(sign.start(), "a raw & stands in the cue's text")
    return html.unescape(TAG.sub("", text))


# ---- SubRip ----------------------------------------------------------------------------------

_SRT_TIMINGS = re.compile(rf"{SRT_STAMP} --> {SRT_STAMP}", re.ASCII)


def read_srt(data: bytes) -> CaptionFile:
    """Return the cues of a SubRip file and every place where it leaves the common form."""
    found = CaptionFile()
    blocks = _blocks(_decoded(data, found), 0)
    for count, (number, block) in enumerate(blocks, 1):
        if block[0].strip() != str(count):
            found.faults.append(CaptionFault(number, f"the number {count} is missing"))
        timings = _SRT_TIMINGS.fullmatch(block[1].strip()) if len(block) > 1 else None
        if timings is None:
            found.faults.append(CaptionFault(number + 1, "the timings are malformed"))
            continue
        start_ms, end_ms = (
            milliseconds(*timings.group(1, 2, 3, 4)),
            milliseconds(*timings.group(5, 6, 7, 8)),
        )
        if end_ms <= start_ms:
            found.faults.append(CaptionFault(number + 1, "the cue does not end after its start"))
        if found.cues and start_ms < found.cues[-1].start_ms:
            found.faults.append(CaptionFault(number + 1, "the cue starts before an earlier one"))
        if len(block) == 2:
            found.faults.append(CaptionFault(number + 1, "the cue has no text"))
        text = re.sub(r"</?[ibu]>", "", "\n".join(block[2:]))
        found.cues.append(Cue(start_ms, end_ms, text, number + 1))
    return found
