"""What an MP4 holds beside its sound: captions as a track of their own, and its list of chapters.

Captions in such a track are timed text after 3GPP TS 26.245, 5.17: two bytes with the length of
the text, the text, and boxes that lay it out. What is drawn into the picture is not read.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.files.by_av import caption_samples, listed_chapters
from pausewright.checker.files.decode import BY_AV
from pausewright.checker.files.tags import Chapter
from pausewright.checker.shown.caption_readers import CaptionFault, CaptionFile, Cue

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.files.by_av import CaptionSample

SWITCHABLE = "_switchable.mp4"
"""How the name of a video ends that must have captions as a track."""
_UTF_16_MARKS = (b"\xfe\xff", b"\xff\xfe")
_TICK_S = Fraction(1, 1000)


def caption_tracks(path: Path) -> list[CaptionFile]:
    """Return the captions of each track of them that an MP4 has, none for another file.

    The line of a cue is its number among those that show something.
    """
    if path.suffix.lower() not in BY_AV:
        return []
    found = [_captions(samples) for samples in caption_samples(path)]
    if not found and path.name.endswith(SWITCHABLE):
        found = [_unreadable("the video has no track of captions")]
    return found


def _captions(samples: Sequence[CaptionSample] | None) -> CaptionFile:
    """Return the cues of one track; `samples` is None where they are no timed text."""
    if samples is None:
        return _unreadable("the track of captions is of a kind that cannot be read")
    found = CaptionFile()
    for start_s, end_s, data in samples:
        number = len(found.cues) + 1
        n_bytes = int.from_bytes(data[:2], "big")
        raw = data[2 : 2 + n_bytes]
        encoding = "utf-16" if raw[:2] in _UTF_16_MARKS else "utf-8"
        if len(data) < 2 or len(raw) < n_bytes or end_s < start_s:
            found.faults.append(CaptionFault(number, "this caption is cut off"))
        text = raw.decode(encoding, "replace")
        if text.strip():
            found.cues.append(Cue(_ms(start_s), _ms(end_s), text, number))
    return found


def _unreadable(sentence: str) -> CaptionFile:
    return CaptionFile(faults=[CaptionFault(1, sentence)])


def _ms(at_s: Fraction) -> int:
    return int(1000 * at_s + Fraction(1, 2))


def chapter_lists(path: Path, own: Sequence[Chapter]) -> list[Sequence[Chapter]]:
    """Return the lists of chapters that players of a file may show.

    An MP4 can hold two: one among its tags, `own`, and one as a track, which is the one that
    FFmpeg's libraries tell. The second is left out if it says the same.
    """
    if path.suffix.lower() not in BY_AV:
        return [own]
    listed = [Chapter(start_s, end_s, title) for start_s, end_s, title in listed_chapters(path)]
    # the list among the tags has room for 255
    if own and len(own) in {len(listed), 255} and all(map(_alike, own, listed)):
        return [listed]
    return [one for one in (own, listed) if one]


def _alike(one: Chapter, other: Chapter) -> bool:
    return one.title == other.title and abs(one.start_s - other.start_s) <= _TICK_S
