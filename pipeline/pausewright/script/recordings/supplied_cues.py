"""The captions that a file supplies: as values, and as text with other times."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.script.recordings.cue_grammar import STAMP, TAG, clock_time, milliseconds

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.problems import Place

SRT_TAG: Final = re.compile(r"</?(?:[ibu]|font)(?:\s[^<>]*)?>|\{\\[^{}]*\}", re.IGNORECASE)
INNER_TIME: Final = re.compile(rf"<{STAMP}>", re.ASCII)


@frozen
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


@frozen
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
        return SRT_TAG.sub("", text).replace("\u200b", "")


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

    payload = tuple(INNER_TIME.sub(moved, line) for line in cue.payload)
    return replace(cue, start_ms=start_ms, end_ms=end_ms, payload=payload)
