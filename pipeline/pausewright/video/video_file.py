"""One video: the track's sound, a black picture, and captions in it or beside it.

Captions reach ffmpeg with whole milliseconds and with every sign of their words as a sign: as
WebVTT where it draws them, whose escapes it undoes; as SubRip where it writes a track, because the
escapes would stand in that track. ffmpeg runs in a folder of its own with plain file names,
because nothing in a path may be taken for the grammar of its filters.
"""

from __future__ import annotations

import contextlib
import re
import shutil
import tempfile
from dataclasses import replace
from fractions import Fraction
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.captions.srt import srt
from pausewright.captions.webvtt import webvtt
from pausewright.files.writing import ROOM_HINT, part_beside, put, unwritable
from pausewright.frozen import frozen
from pausewright.sound.track_tags import three_letters, write_tags
from pausewright.video.ffmpeg import Feed

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pausewright.captions.cues import Cue
    from pausewright.sound.chapter_marks import Chapter
    from pausewright.sound.take import Pcm
    from pausewright.sound.track_tags import Tags
    from pausewright.video.video_kinds import VideoKind

FRAMES_A_SECOND: Final = 25
WIDTH_PX: Final = 1280
HEIGHT_PX: Final = 720
AAC_KBPS: Final = {1: 128, 2: 192}
"""By channels."""

_FONT: Final = "Noto Sans"
_SCALE_PX: Final = 288
"""Height of the picture by which font sizes are counted in captions without a layout."""
_LINE_PX: Final = 80
"""Height of a line of captions: 37 characters and more stand in the width of the picture."""
_STYLE: Final = ",".join(
    (
        f"FontName={_FONT}",
        f"FontSize={_LINE_PX * _SCALE_PX // HEIGHT_PX}",
        "PrimaryColour=&H00FFFFFF",
        "BorderStyle=1,Outline=0,Shadow=0",
        "Alignment=10",  # the middle of the picture, by the older count
    )
)
_TRACK_SIZE: Final = 1008
"""Scales the size that a track of captions asks players for, 16 of 288, to 56 pixels."""

_JOINER: Final = "\u2060"
"""Nothing to see: parts a backslash from a letter with which it would begin a new line."""
_MEANT: Final = re.compile(r"[=;#\\\n]")
"""Signs with a meaning in ffmpeg's list of chapters; a backslash before them takes it away."""
_LONGEST_TITLE_BYTES: Final = 255
"""One byte counts those of a title in the list of chapters among an MP4's tags."""
_NO_SIGN: Final = re.compile(r"failed to find any fallback with glyph 0x([0-9A-Fa-f]+)")


@frozen
class Video:
    """One video to write."""

    path: Path
    """Its folder exists."""
    kind: VideoKind
    tags: Tags


def write_video(
    blocks: Iterable[Pcm],
    video: Video,
    cues: Sequence[Cue],
    *,
    n_samples: int,
    rate_hz: int,
    channels: int,
) -> tuple[str, ...]:
    """Write a video and return what is to be said about it; an existing file is replaced.

    The file appears whole or not at all. It has as many pictures as the sound needs, of 40 ms.

    Parameters
    ----------
    blocks : the samples of the track, each of shape (n_frames, channels), int16
    cues : the captions that candidates may see; at least one
    n_samples, rate_hz, channels : of the track

    Raises
    ------
    OutputError
        If the folder cannot be written, the disk is full or the encoder fails.
    """
    part = part_beside(video.path)
    try:
        with tempfile.TemporaryDirectory(prefix=".video-", dir=video.path.parent) as name:
            folder = Path(name)
            _lay_out(folder, cues, video.tags)
            feed = Feed(
                _arguments(video, n_samples, rate_hz, channels), part, video.path, folder=folder
            )
            try:
                for block in blocks:
                    feed.add(block)
                said = feed.close()
            except BaseException:
                feed.abandon()
                raise
        write_tags(part, "mp4", video.tags, shown=video.path)
        put(part, video.path)
    except OSError as error:
        raise unwritable(video.path, error, ROOM_HINT) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
    return _notes(said)


def _lay_out(folder: Path, cues: Sequence[Cue], tags: Tags) -> None:
    """Put captions, chapters and font where ffmpeg runs, under names without meaning to it."""
    import fontpkg_noto_sans  # noqa: PLC0415  found where it is needed

    drawn = webvtt([_named(cue) for cue in cues], language=tags.language)
    _write(folder / "captions.vtt", drawn)
    _write(folder / "captions.srt", srt(cues).replace("\\", f"\\{_JOINER}"))
    _write(folder / "chapters.txt", _chapter_list(tags.chapters))
    (folder / "font").mkdir()
    files = resources.files(fontpkg_noto_sans).joinpath("files").iterdir()
    font = next(one for one in files if one.name.endswith(".ttf") and "Italic" not in one.name)
    with resources.as_file(font) as file:
        shutil.copyfile(file, folder / "font" / "font.ttf")


def _write(file: Path, text: str) -> None:
    file.write_text(text, encoding="utf-8", newline="\n")


def _chapter_list(chapters: Iterable[Chapter]) -> str:
    """Return chapters as ffmpeg reads them, in whole milliseconds.

    The first begins with the file: one of the two lists in an MP4 is a track, which has no hole.
    """
    rows = [";FFMETADATA1"]
    for number, one in enumerate(chapters):
        start_ms = one.start_ms if number else 0
        rows += ["[CHAPTER]", "TIMEBASE=1/1000", f"START={start_ms}", f"END={one.end_ms}"]
        title = one.title.encode()[:_LONGEST_TITLE_BYTES].decode("utf-8", "ignore")
        rows.append("title=" + _MEANT.sub(r"\\\g<0>", title))
    return "\n".join([*rows, ""])


def _named(cue: Cue) -> Cue:
    """Return a cue with its speaker's name before the words: a picture has no other place."""
    if not cue.named:
        return replace(cue, speaker="")
    first = f"{' '.join(cue.speaker.split())}: {cue.lines[0]}"
    return replace(cue, speaker="", lines=(first, *cue.lines[1:]))


def _arguments(video: Video, n_samples: int, rate_hz: int, channels: int) -> list[str]:
    n_pictures = -(-n_samples * FRAMES_A_SECOND // rate_hz)
    picture = (
        f"color=black:s={WIDTH_PX}x{HEIGHT_PX}:r={FRAMES_A_SECOND}"
        f":d={float(Fraction(n_pictures, FRAMES_A_SECOND)):.2f}"
    )
    if video.kind == "burned-in":
        captions = ["-vf", f"subtitles=captions.vtt:fontsdir=font:force_style='{_STYLE}'"]
        tracks = ["-map", "1:v", "-map", "0:a"]
        inputs: list[str] = []
    else:
        captions = ["-c:s", "mov_text", "-height:s", str(_TRACK_SIZE), "-disposition:s", "default"]
        tracks = ["-map", "1:v", "-map", "0:a", "-map", "3:s"]
        inputs = ["-i", "captions.srt"]
    language = f"language={three_letters(video.tags.language) or 'und'}"
    return [
        *("-f", "s16le", "-ar", str(rate_hz), "-ac", str(channels), "-i", "pipe:0"),
        *("-f", "lavfi", "-i", picture),
        *("-f", "ffmetadata", "-i", "chapters.txt"),
        *inputs,
        *tracks,
        *("-map_chapters", "2"),
        *captions,
        *("-map_metadata:g", "-1", "-pix_fmt", "yuv420p", "-threads", "1"),
        *("-metadata:s:a", language, "-metadata:s:s", language),
        *("-c:v", "libx264", "-preset", "ultrafast", "-crf", "18"),
        *("-c:a", "aac", "-b:a", f"{AAC_KBPS[channels]}k"),
        *("-flags", "+bitexact", "-fflags", "+bitexact"),
        # the ticks of the sound: what ffmpeg chooses by itself can be too fine for 32 bits
        *("-movie_timescale", str(rate_hz)),
        *("-movflags", "+faststart", "-f", "mp4"),
    ]


def _notes(said: Iterable[str]) -> tuple[str, ...]:
    """Return a sentence about signs that no font had; ffmpeg says so at every picture."""
    codes = {int(found[1], 16) for line in said if (found := _NO_SIGN.search(line))}
    if not codes:
        return ()
    signs = ", ".join(f"‘{chr(code)}’" for code in sorted(codes)[:10])
    sentence = (
        f"the burned-in captions show a box for {len(codes)} signs that no font here has: {signs}; "
        "use the switchable captions, or a computer that has a font for them"
    )
    return (sentence,)
