"""Two caption files of one track: whether they show the same at the same times."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.result.findings import Finding
from pausewright.checker.shown.captions_shown import REBUILD, tokens

if TYPE_CHECKING:
    from pausewright.checker.shown.caption_readers import CaptionFile, Cue


def judge_alike(names: tuple[str, str], files: tuple[CaptionFile, CaptionFile]) -> list[Finding]:
    """Return an error if two caption files of one track do not show the same at the same times.

    A speaker's name may stand in the words of one of them alone.
    """
    first, second = (file.cues for file in files)
    at = next(
        (n for n, (a, b) in enumerate(zip(first, second, strict=False)) if not _alike(a, b)),
        min(len(first), len(second)),
    )
    if at == len(first) == len(second):
        return []
    cue = (first[at:] or second[at:])[0]
    return [
        Finding(
            "captions-differ",
            "error",
            f"{names[0]} and {names[1]} do not say the same, from caption {at + 1} on",
            REBUILD,
            at_s=Fraction(cue.start_ms, 1000),
        )
    ]


def _alike(one: Cue, other: Cue) -> bool:
    if (one.start_ms, one.end_ms) != (other.start_ms, other.end_ms):
        return False
    a, b = tokens(one.text), tokens(other.text)
    if len(a) == len(b):
        return a == b
    long, short = (other.text, a) if len(b) > len(a) else (one.text, b)
    name, colon, _ = long.partition(":")
    return bool(colon) and tokens(long) == [*tokens(name), *short]
