"""The kinds of video, as a user names them, and what the machine's ffmpeg must have for each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias, cast, get_args

from pausewright.problems import OutputError
from pausewright.video.ffmpeg import abilities, program

if TYPE_CHECKING:
    from collections.abc import Iterable

VideoKind: TypeAlias = Literal["burned-in", "switchable"]
"""Captions as part of the picture; captions as a track that a player can show or hide."""

_NEEDED: Final = {
    "burned-in": ("libx264", "aac", "subtitles"),
    "switchable": ("libx264", "aac", "mov_text"),
}
_IN_WORDS: Final = {
    "libx264": "it cannot write the picture",
    "aac": "it cannot write the sound",
    "subtitles": "it cannot draw captions into a picture",
    "mov_text": "it cannot write a track of captions",
}


def videos_of(text: str) -> tuple[VideoKind, ...]:
    """Return the kinds that a user wrote, parted by commas; none for an empty text.

    Raises
    ------
    OutputError
        If one of them is no kind of video.
    """
    found = tuple(dict.fromkeys(part.strip().lower() for part in text.split(",") if part.strip()))
    for one in found:
        if one not in get_args(VideoKind):
            raise OutputError(
                f"‘{one}’ is no kind of video", "write --video burned-in,switchable, or one of them"
            )
    return cast("tuple[VideoKind, ...]", found)


def refuse_unable(kinds: Iterable[VideoKind]) -> None:
    """Raise if the installed ffmpeg cannot make one of the kinds, in one sentence.

    Which parts it has differs from system to system, so it is asked.

    Raises
    ------
    OutputError
        If something is missing, or there is no ffmpeg.
    """
    for kind in kinds:
        has = abilities(program())
        for name in _NEEDED[kind]:
            if name not in has:
                other = next((k for k, needed in _NEEDED.items() if has.issuperset(needed)), "")
                raise OutputError(
                    f"the ffmpeg on this machine can make no {kind} video: {_IN_WORDS[name]} "
                    f"(‘{name}’ is missing)",
                    f"write --video {other}" if other else "build without --video",
                )
