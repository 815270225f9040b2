"""Measures the tags of a sound file by a cheap walk, before a library parses them.

A library copies what is left of a tag for every field that it takes from it, unpacks what says
that it is packed and makes room for counts that a file claims: a few megabytes can keep it busy
for minutes. So sizes, counts and nesting are judged here first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.intake.boxes import measure_boxes
from pausewright.intake.chunks import measure_chunks
from pausewright.intake.comment_sizes import flac_head, measure_flac, measure_ogg
from pausewright.intake.id3 import HEAD_BYTES, id3_bytes, measure_id3
from pausewright.intake.tag_limits import TagsError

if TYPE_CHECKING:
    from typing import BinaryIO

__all__ = ["TagsError", "flac_head", "id3_tag", "measure_tags"]

MOST_ID3_TAGS: Final = 4
"""One after another at the start of a file."""
_OLD_TAG_BYTES: Final = 128


def measure_tags(file: BinaryIO) -> None:
    """Judge the tags of a file, whatever its kind; its position is anywhere afterwards.

    Raises
    ------
    TagsError
        If they are more than a library should get.
    """
    at = 0
    for _ in range(MOST_ID3_TAGS):
        file.seek(at)
        n_bytes = id3_bytes(file.read(HEAD_BYTES))
        if n_bytes == 0:
            break
        file.seek(at)
        measure_id3(file.read(n_bytes))
        at += n_bytes
    else:
        raise TagsError(f"it begins with more than {MOST_ID3_TAGS - 1} tags")
    file.seek(at)
    head = file.read(12)
    file.seek(at)
    if head[:4] == b"fLaC":
        measure_flac(file)
    elif head[:4] == b"OggS":
        measure_ogg(file)
    elif head[4:8] in {b"ftyp", b"moov", b"mdat", b"free", b"skip", b"wide"}:
        measure_boxes(file, at)
    elif head[:4] in {b"RIFF", b"RIFX", b"RF64", b"FORM"}:
        measure_chunks(file, at, is_big_endian=head[:4] in {b"RIFX", b"FORM"})


def id3_tag(file: BinaryIO) -> bytes:
    """Return the ID3 tag at the start of a measured file, or the last bytes, where an old one is.

    The bytes are as in the file and can be given to a library in its place.
    """
    file.seek(0)
    n_bytes = id3_bytes(file.read(HEAD_BYTES))
    if n_bytes:
        file.seek(0)
        return file.read(n_bytes)
    end = file.seek(0, 2)
    file.seek(max(0, end - 2 * _OLD_TAG_BYTES))
    return file.read()
