"""Tags are measured before a library parses them: honest ones pass, traps are told at once."""

from __future__ import annotations

import struct
import time
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.files.tags import read_tags
from pausewright.intake import boxes, tag_limits
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import TrackError
from support.tracks.tag_samples import (
    HONEST,
    MPEG_FRAME,
    box,
    chapter,
    chunk,
    comments,
    flac,
    frame,
    id3,
    listed,
    mp4,
    named_field,
    ogg,
    packed,
    riff,
    table,
    title,
)

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

pytestmark = pytest.mark.timeout(60)
MOST_S = 4.0
"""Of a trap and of the largest honest tags; a machine may be busy."""


def nested(depth: int) -> bytes:
    """Return chapters inside one another."""
    found = chapter(0)
    for number in range(depth):
        found = chapter(number, found)
    return id3(found)


def nested_boxes(depth: int) -> bytes:
    """Return boxes inside one another."""
    found = box(b"free")
    for _ in range(depth):
        found = box(b"trak", found)
    return mp4() + box(b"moov", found)


TRAPS: dict[str, tuple[str, Callable[[], bytes], str]] = {
    "300,000 fields inside one": (
        "a.mp3",
        lambda: id3(chapter(1, frame(b"TIT2", b"\0a") * 300_000)),
        "more text",
    ),
    "200,000 chapters": (
        "a.mp3",
        lambda: id3(b"".join(chapter(n % 1000) for n in range(200_000))),
        "too many fields|more",
    ),
    "a million texts in one": ("a.mp3", lambda: id3(frame(b"TIT2", bytes(1_000_000))), "more text"),
    "60,000 texts in one": (
        "a.mp3",
        lambda: id3(frame(b"TIT2", bytes(60_000))),
        "more than 10000 fields",
    ),
    "chapters in chapters": ("a.mp3", lambda: nested(1000), "nested too deeply"),
    "a packed field": ("a.mp3", lambda: packed(3, 200_000_000), "packed"),
    "a packed field of 2.4": ("a.mp3", lambda: packed(4, 200_000_000), "packed"),
    "a tag that claims 200 MB": (
        "a.mp3",
        lambda: b"ID3\3\0\0\x5f\x7f\x7f\x7f" + MPEG_FRAME,
        "larger than",
    ),
    "many tags": ("a.mp3", lambda: id3(title("A")) * 50 + MPEG_FRAME, "begins with more than"),
    "fields of 20 bytes before a picture": (
        "a.mp3",
        lambda: id3(
            frame(b"TXXX", b"\0a\0b") * 5000, frame(b"APIC", b"\0\0\3\0" + bytes(9_000_000))
        ),
        "too many fields for their size",
    ),
    "200,000 boxes": (
        "a.m4a",
        lambda: mp4() + box(b"moov", box(b"free") * 200_000),
        "100000 boxes",
    ),
    "boxes in boxes": ("a.m4a", lambda: nested_boxes(1000), "nested too deeply"),
    "4 billion samples of one size": (
        "a.m4a",
        lambda: mp4(box(b"stsz", bytes(4), struct.pack(">II", 9, 2**32 - 1))),
        "samples",
    ),
    "a table larger than its box": (
        "a.m4a",
        lambda: mp4(table(b"stsz", 5) + table(b"stco", 7_000_000)),
        "claims more than it holds",
    ),
    "times of 4 billion samples": (
        "a.m4a",
        lambda: mp4(table(b"stts", 1, struct.pack(">II", 2**32 - 1, 1))),
        "samples",
    ),
    "a thousand edits": (
        "a.m4a",
        lambda: mp4(tags=box(b"edts", table(b"elst", 1000, bytes(12_000)))),
        "edits",
    ),
    "20,000 fields": (
        "a.m4a",
        lambda: mp4(tags=listed(named_field(b"A", b"b") * 20_000)),
        "fields",
    ),
    "a field of 20 MB": (
        "a.m4a",
        lambda: mp4(tags=listed(named_field(b"A", bytes(20_000_000)))),
        "larger",
    ),
    "100,000 comments": (
        "a.flac",
        lambda: flac((4, comments(*[b"A=b"] * 100_000))),
        "10000 fields",
    ),
    "a count of comments without any": (
        "a.flac",
        lambda: flac((4, comments(n_stated=2**31))),
        "no room",
    ),
    "a maker's name of 4 GB": ("a.flac", lambda: flac((4, comments(n_vendor=2**32 - 1))), ""),
    "2,000 blocks": ("a.flac", lambda: flac(*[(1, b"")] * 2000), "blocks"),
    "blocks of 40 MB": ("a.flac", lambda: flac(*[(6, bytes(9_000_000))] * 4), "larger"),
    "20,000 comments of an Ogg": (
        "a.ogg",
        lambda: ogg(b"\1vorbis", b"\3vorbis" + comments(*[b"A=b"] * 20_000)),
        "fields",
    ),
    "a comment of 20 MB": (
        "a.ogg",
        lambda: ogg(b"\1vorbis", b"\3vorbis" + comments(bytes(20_000_000))),
        "larger|more text",
    ),
    "2,000 chunks": ("a.wav", lambda: riff(chunk(b"abcd", b"") * 2000), "chunks"),
    "20,000 texts of a WAV": (
        "a.wav",
        lambda: riff(chunk(b"LIST", b"INFO" + chunk(b"INAM", b"") * 20_000)),
        "fields",
    ),
    "a tag inside a WAV": ("a.wav", lambda: riff(chunk(b"id3 ", nested(50))), "nested too deeply"),
}
"""File, what makes its bytes when they are needed, and what is said of them."""


@pytest.mark.parametrize("name", TRAPS)
def test_a_trap_is_one_sentence(tmp_path: Path, name: str) -> None:
    """Within seconds, before a library has it; or it is harmless to a library."""
    file, made, said = TRAPS[name]
    path = tmp_path / file
    path.write_bytes(made())
    started_s = time.process_time()

    if said:
        with pytest.raises(TrackError, match=said) as refused:
            read_tags(path)
        assert refused.value.message.startswith(f"the track ‘{file}’ is refused: ")
        assert refused.value.hint
    else:
        read_tags(path)

    assert time.process_time() - started_s < MOST_S


@pytest.mark.parametrize("name", HONEST)
def test_honest_tags_pass(tmp_path: Path, name: str) -> None:
    """Tags of each kind are measured without complaint, and read where the check reads them."""
    path = tmp_path / name
    path.write_bytes(HONEST[name])

    opened_sound(path, TRACK).close()
    found = read_tags(path)
    assert (found.title != "") == (not name.endswith((".ogg", ".wav")))
    if name in {"id3.mp3", "tags.flac", "tags.m4a"}:
        assert found.edition == "7KQ3MX"
    assert len(found.chapters) == {"id3.mp3": 2, "id3-24.mp3": 1, "tags.flac": 1}.get(name, 0)


def cover(n_bytes: int) -> bytes:
    """Return a picture as FLAC holds one: kind, type, no words, its size and its bytes."""
    numbers = (64, 64, 24, 0, n_bytes)
    head = struct.pack(">II9sI", 3, 9, b"image/png", 0) + struct.pack(">5I", *numbers)
    return head + bytes(n_bytes)


def test_the_largest_honest_tags(tmp_path: Path) -> None:
    """500 questions with a title each and a picture of 5 MB are read, within seconds."""
    picture = frame(b"APIC", b"\0image/png\0\3\0" + bytes(5_000_000))
    chapters = [chapter(n, title(f"Question {n} of the whole test")) for n in range(500)]
    texts = [b"CHAPTER%03d=00:00:01.000" % n for n in range(1000)]
    names = [b"CHAPTER%03dNAME=Question" % n for n in range(1000)]
    for name, raw, n_chapters in (
        ("a.mp3", id3(picture, *chapters) + MPEG_FRAME, 500),
        ("b.mp3", id3(*chapters, picture) + MPEG_FRAME, 500),
        ("c.flac", flac((6, cover(5_000_000)), (4, comments(*texts, *names))), 1000),
    ):
        path = tmp_path / name
        path.write_bytes(raw)
        started_s = time.process_time()
        try:
            found = read_tags(path)
        finally:
            assert time.process_time() - started_s < MOST_S
        assert len(found.chapters) == n_chapters


def test_limits_leave_room_for_twelve_hours() -> None:
    """The limits' own reasons, worked out: fragments, samples and tables of 12 hours."""
    seconds = 12 * 3600
    assert seconds // 4 * 8 < boxes.MOST_BOXES
    assert seconds * 96_000 // 1024 < boxes.MOST_SAMPLES
    assert boxes.MOST_SAMPLES * 8 * 3 < boxes.MOST_TABLE_BYTES
    assert tag_limits.MOST_FIELDS >= 5_000 * 2
