"""What a track says about itself: title, edition, version label, language and chapters.

The only module that calls mutagen. Audio is not touched.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal

from mutagen import MutagenError
from mutagen.flac import FLAC
from mutagen.id3 import CHAP, CTOC, ID3, TIT2, TLAN, TRCK, TXXX, CTOCFlags, Encoding
from mutagen.mp4 import MP4

from pausewright.frozen import frozen
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.sound.chapter_marks import Chapter

MP4_OWNER: Final = "pausewright"
"""Who free-form fields of an MP4 belong to."""

STATE: Final = "STATE"
"""The field that says that a track is a draft."""
PROOF: Final = "not for use"
"""What the tag PROOF of a proof says."""
MOST_CHILDREN: Final = 255
"""A table of contents counts its entries in one byte (ID3v2 Chapter Frame Addendum 1.0)."""

_ISO_639_2: Final = dict(
    re.findall(
        r"(\w\w):(\w{3})",
        "ar:ara cs:ces cy:cym da:dan de:deu el:ell en:eng es:spa fi:fin fr:fra ga:gle gd:gla "
        "he:heb hi:hin it:ita ja:jpn la:lat nl:nld no:nor pa:pan pl:pol pt:por ru:rus sv:swe "
        "tr:tur uk:ukr ur:urd zh:zho",
    )
)
"""Two-letter languages (ISO 639-1) and the three letters that ID3's TLAN wants (ISO 639-2)."""


@frozen
class Tags:
    """All that a player or the check can read from a track besides its sound."""

    title: str
    edition: str
    version_label: str
    language: str
    """BCP 47."""
    chapters: tuple[Chapter, ...] = ()
    number: tuple[int, int] | None = None
    """Of a piece of a track: which one, from 1, and of how many."""
    state: str = ""
    """"draft" as long as nobody signed for it."""
    is_proof: bool = False
    """Whether it is no track but a proof of one, which no check passes."""


def write_tags(
    path: Path,
    format: Literal["mp3", "flac", "mp4"],
    tags: Tags,
    *,
    shown: Path,
) -> None:
    """Write tags into an MP3 (ID3v2.3), FLAC (Vorbis comments) or MP4, replacing any others.

    MP3: TIT2 title, TRCK number, TLAN language, TXXX `EDITION`, `VERSION LABEL`, `LANGUAGE`, of a
    draft `STATE` and of a proof `PROOF`; chapters as CHAP frames under an ordered top-level CTOC.
    FLAC: TITLE, TRACKNUMBER and TRACKTOTAL, LANGUAGE, EDITION, VERSION LABEL, STATE, PROOF,
    CHAPTER001=hh:mm:ss.mmm and CHAPTER001NAME, and so on. MP4: the title and the same fields in
    free form; its chapters are ffmpeg's to write.

    Raises
    ------
    OutputError
        If the file cannot be written; the message names `shown`.
    """
    try:
        if format == "mp3":
            _id3(tags).save(path, v1=0, v2_version=3)
            _put_in_order(path)
        elif format == "mp4":
            _write_atoms(path, tags)
        else:
            _write_comments(path, tags)
    except (MutagenError, OSError) as error:
        raise OutputError(
            f"the title and chapters of ‘{shown}’ cannot be written ({error})",
            "make room on the disk, or choose another folder with --out",
        ) from error


def take_state_away(path: Path) -> None:
    """Take the mark of a draft out of the tags of an MP3 or FLAC; a WAV has none.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    try:
        if path.suffix == ".mp3":
            id3 = ID3(path)
            id3.delall(f"TXXX:{STATE}")
            id3.save(path, v1=0, v2_version=3)
            _put_in_order(path)
        elif path.suffix == ".flac":
            file = FLAC(path)
            file.pop(STATE, None)
            file.save()
    except (MutagenError, OSError) as error:
        raise OutputError(
            f"the tags of ‘{path}’ cannot be written ({error})",
            "make room on the disk, or choose another folder with --out",
        ) from error


def _id3(tags: Tags) -> ID3:
    id3 = ID3()
    utf16 = Encoding.UTF16
    id3.add(TIT2(encoding=utf16, text=tags.title))
    if tags.number is not None:
        id3.add(TRCK(encoding=Encoding.LATIN1, text="{}/{}".format(*tags.number)))
    code = three_letters(tags.language)
    if code is not None:
        id3.add(TLAN(encoding=Encoding.LATIN1, text=code))
    for name, value in _own_fields(tags):
        id3.add(TXXX(encoding=utf16, desc=name, text=value))
    names = [f"chp{number:06d}" for number in range(1, len(tags.chapters) + 1)]
    for name, chapter in zip(names, tags.chapters, strict=True):
        id3.add(
            CHAP(
                element_id=name,
                start_time=chapter.start_ms,
                end_time=chapter.end_ms,
                start_offset=0xFFFFFFFF,
                end_offset=0xFFFFFFFF,
                sub_frames=[TIT2(encoding=utf16, text=chapter.title)],
            )
        )
    _add_contents(id3, names)
    return id3


def three_letters(language: str) -> str | None:
    """Return a language (BCP 47) by the three letters of ISO 639-2, or None if it has none here."""
    return _ISO_639_2.get(language.split("-", maxsplit=1)[0].lower())


def _add_contents(id3: ID3, names: list[str]) -> None:
    """Add the table of contents; with more than 255 chapters, a table of tables."""
    if not names:
        return
    children = names
    if len(names) > MOST_CHILDREN:
        children = []
        for at in range(0, len(names), MOST_CHILDREN):
            child = f"toc{len(children) + 1:06d}"
            children.append(child)
            id3.add(
                CTOC(
                    element_id=child,
                    flags=CTOCFlags.ORDERED,
                    child_element_ids=names[at : at + MOST_CHILDREN],
                    sub_frames=[],
                )
            )
    id3.add(
        CTOC(
            element_id="toc",
            flags=CTOCFlags.TOP_LEVEL | CTOCFlags.ORDERED,
            child_element_ids=children,
            sub_frames=[],
        )
    )


def _put_in_order(path: Path) -> None:
    """Put the frames of an ID3v2.3 tag in order, in place: contents, then chapters by time.

    mutagen writes the shortest frame first, and some players show chapters as they lie.
    """
    with path.open("r+b") as file:
        head = file.read(10)
        size = sum(byte << shift for byte, shift in zip(head[6:10], (21, 14, 7, 0), strict=True))
        tag = file.read(size)
        frames: list[bytes] = []
        at = 0
        while at + 10 <= size and tag[at] != 0:
            end = at + 10 + int.from_bytes(tag[at + 4 : at + 8], "big")
            frames.append(bytes(tag[at:end]))
            at = end
        frames.sort(key=_frame_rank)
        file.seek(10)
        file.write(b"".join(frames) + tag[at:])


def _frame_rank(frame: bytes) -> tuple[int, bytes]:
    name = frame[:4]
    if name == b"CHAP":
        return 2, frame[10:].split(b"\0")[0]
    return (1 if name == b"CTOC" else 0), name


def _write_comments(path: Path, tags: Tags) -> None:
    file = FLAC(path)
    file["TITLE"] = tags.title
    if tags.number is not None:
        file["TRACKNUMBER"], file["TRACKTOTAL"] = map(str, tags.number)
    for name, value in _own_fields(tags):
        file[name] = value
    for number, chapter in enumerate(tags.chapters, 1):
        file[f"CHAPTER{number:03d}"] = chapter.shown_start
        file[f"CHAPTER{number:03d}NAME"] = chapter.title
    file.save()


def _write_atoms(path: Path, tags: Tags) -> None:
    file = MP4(path)
    file["\xa9nam"] = [tags.title]
    for name, value in _own_fields(tags):
        file[f"----:{MP4_OWNER}:{name}"] = [value.encode()]
    file.save()


def _own_fields(tags: Tags) -> tuple[tuple[str, str], ...]:
    fields = (
        ("EDITION", tags.edition),
        ("VERSION LABEL", tags.version_label),
        ("LANGUAGE", tags.language),
        (STATE, tags.state),
        ("PROOF", PROOF if tags.is_proof else ""),
    )
    return tuple((name, value) for name, value in fields if value)
