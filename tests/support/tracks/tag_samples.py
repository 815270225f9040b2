"""Tags of each kind of file, written byte by byte: honest ones, and those that are traps.

Nothing of the product is used. Layouts: ID3v2.3 and 2.4 (id3.org), ISO/IEC 14496-12 for MP4,
RFC 9639 for FLAC, the Vorbis I specification for comments, RIFF/WAVE.
"""

from __future__ import annotations

import struct
import zlib


def seven_bits(n: int) -> bytes:
    """Return a size as ID3 writes it: seven bits a byte."""
    return bytes((n >> shift) & 0x7F for shift in (21, 14, 7, 0))


def id3(*frames: bytes, version: int = 3, flags: int = 0, before: bytes = b"") -> bytes:
    """Return an ID3v2 tag; `before` is an extended header."""
    body = before + b"".join(frames)
    return b"ID3" + bytes([version, 0, flags]) + seven_bits(len(body)) + body


def frame(name: bytes, held: bytes, *, version: int = 3, flags: bytes = b"\0\0") -> bytes:
    """Return a field of an ID3v2.3 or 2.4 tag."""
    size = struct.pack(">I", len(held)) if version == 3 else seven_bits(len(held))
    return name + size + flags + held


def title(words: str, *, version: int = 3) -> bytes:
    """Return a title in UTF-16."""
    return frame(b"TIT2", b"\x01\xff\xfe" + words.encode("utf-16-le"), version=version)


def chapter(number: int, *inner: bytes, version: int = 3) -> bytes:
    """Return a chapter (ID3v2 Chapter Frame Addendum)."""
    times = struct.pack(">IIII", number * 1000, number * 1000 + 900, 2**32 - 1, 2**32 - 1)
    return frame(b"CHAP", b"chp%d\0" % number + times + b"".join(inner), version=version)


def contents(*names: bytes) -> bytes:
    """Return a table of contents."""
    return frame(b"CTOC", b"toc\0\x03" + bytes([len(names)]) + b"".join(n + b"\0" for n in names))


def own(name: str, value: str) -> bytes:
    """Return a field of one's own."""
    return frame(b"TXXX", b"\0" + name.encode() + b"\0" + value.encode())


def packed(version: int, n_bytes: int) -> bytes:
    """Return a tag with a field that unpacks to `n_bytes`."""
    held = struct.pack(">I", n_bytes) + zlib.compress(b"\0" * n_bytes)
    flags = b"\0\x80" if version == 3 else b"\0\x09"
    return id3(frame(b"TIT2", held, version=version, flags=flags), version=version)


MPEG_FRAME = b"\xff\xfb\x90\xc4" + bytes(413)
"""One frame of MPEG-1 Layer III, 128 kbit/s at 44,100 Hz, mono, silent."""


def box(name: bytes, *held: bytes) -> bytes:
    """Return a box of an MP4."""
    body = b"".join(held)
    return struct.pack(">I", 8 + len(body)) + name + body


def table(name: bytes, count: int, entries: bytes = b"") -> bytes:
    """Return a table with the count that it claims and the entries that it holds."""
    return box(name, bytes(4), struct.pack(">I", count), entries)


def mp4(*in_stbl: bytes, tags: bytes = b"", n_samples: int = 3) -> bytes:
    """Return an MP4 without sound; `in_stbl` takes the place of its tables."""
    tables = in_stbl or (
        table(b"stts", 1, struct.pack(">II", n_samples, 1024)),
        table(b"stsc", 1, struct.pack(">III", 1, n_samples, 1)),
        box(b"stsz", bytes(8), struct.pack(">I", n_samples), struct.pack(">I", 9) * n_samples),
        table(b"stco", 1, struct.pack(">I", 40)),
    )
    esds = box(
        b"esds",
        bytes(4),
        bytes.fromhex("031900010004114015000000000000fa000000fa00050212100601 02"),
    )
    entry = box(
        b"mp4a", bytes(6), b"\0\1", bytes(8), b"\0\1\0\x10", bytes(4), b"\xac\x44\0\0", esds
    )
    stbl = box(b"stbl", table(b"stsd", 1, entry), *tables)
    handler = box(b"hdlr", bytes(8), b"soun", bytes(13))
    media = box(
        b"mdia", box(b"mdhd", bytes(12), struct.pack(">II", 44100, 3072), bytes(4)), handler,
        box(b"minf", box(b"smhd", bytes(8)), stbl),
    )  # fmt: skip
    trak = box(b"trak", box(b"tkhd", bytes(84)), media)
    movie = box(b"mvhd", bytes(12), struct.pack(">II", 1000, 70), bytes(80))
    moov = box(b"moov", movie, trak, tags)
    return box(b"ftyp", b"M4A ", bytes(4), b"M4A isom") + box(b"mdat", bytes(64)) + moov


def listed(*fields: bytes) -> bytes:
    """Return the tags of an MP4."""
    handler = box(b"hdlr", bytes(8), b"mdirappl", bytes(9))
    return box(b"udta", box(b"meta", bytes(4), handler, box(b"ilst", *fields)))


def named_field(name: bytes, value: bytes) -> bytes:
    """Return a field of one's own in an MP4."""
    data = box(b"data", struct.pack(">II", 1, 0), value)
    return box(b"----", box(b"mean", bytes(4), b"owner"), box(b"name", bytes(4), name), data)


def comments(*texts: bytes, n_stated: int | None = None, n_vendor: int | None = None) -> bytes:
    """Return a list of Vorbis comments."""
    vendor = b"nobody"
    head = struct.pack("<I", len(vendor) if n_vendor is None else n_vendor) + vendor
    head += struct.pack("<I", len(texts) if n_stated is None else n_stated)
    return head + b"".join(struct.pack("<I", len(text)) + text for text in texts)


def flac(*blocks: tuple[int, bytes]) -> bytes:
    """Return the mark and metadata blocks of a FLAC file without sound; kind and bytes of each."""
    rate_and_more = (44_100 << 44 | 15 << 36 | 1000).to_bytes(8, "big")
    info = struct.pack(">HH", 4096, 4096) + bytes(6) + rate_and_more + bytes(16)
    found = b"fLaC"
    every = [(0, info), *blocks]
    for at, (kind, held) in enumerate(every):
        last = 0x80 if at == len(every) - 1 else 0
        found += bytes([kind | last]) + len(held).to_bytes(3, "big") + held
    return found


def ogg(*packets: bytes) -> bytes:
    """Return packets as an Ogg file; the sums of its pages are left out."""
    found = b""
    for number, packet in enumerate(packets):
        rest = packet
        is_first = True
        while is_first or rest:
            part, rest = rest[: 255 * 255], rest[255 * 255 :]
            sizes = [255] * (len(part) // 255)
            if not rest:
                sizes.append(len(part) % 255)
            kind = (0 if is_first else 1) | (2 if number == 0 else 0)
            head = b"OggS\0" + bytes([kind]) + bytes(8) + b"\1\0\0\0" + struct.pack("<I", number)
            found += head + bytes(4) + bytes([len(sizes), *sizes]) + part
            is_first = False
    return found


VORBIS_HEAD = b"\x01vorbis" + struct.pack("<IBIiiiBB", 0, 1, 44100, 0, 112_000, 0, 0xB8, 1)


def riff(*chunks: bytes) -> bytes:
    """Return a WAV file with chunks before its sound."""
    fmt = chunk(b"fmt ", struct.pack("<HHIIHH", 1, 1, 8000, 16000, 2, 16))
    body = b"WAVE" + fmt + b"".join(chunks) + chunk(b"data", bytes(32))
    return b"RIFF" + struct.pack("<I", len(body)) + body


def chunk(name: bytes, held: bytes) -> bytes:
    """Return a chunk of a RIFF file."""
    return name + struct.pack("<I", len(held)) + held + bytes(len(held) % 2)


HONEST = {
    "id3.mp3": id3(
        title("Harbour morning"), own("EDITION", "7KQ3MX"), own("VERSION LABEL", "A"),
        contents(b"chp1", b"chp2"), chapter(1, title("Question 1")), chapter(2, title("Two")),
    ) + MPEG_FRAME * 3,
    "id3-24.mp3": id3(
        title("Harbour", version=4), chapter(1, title("One", version=4), version=4), version=4,
        flags=0x40, before=seven_bits(6) + b"\1\0",
    ) + MPEG_FRAME * 3,
    "unsynchronised.mp3": id3(title("A").replace(b"\xff", b"\xff\x00"), flags=0x80) + MPEG_FRAME,
    "tags.m4a": mp4(
        tags=listed(
            box(b"\xa9nam", box(b"data", struct.pack(">II", 1, 0), b"Harbour")),
            named_field(b"EDITION", b"7KQ3MX"),
        )
    ),
    "tags.flac": flac(
        (4, comments(b"TITLE=Harbour", b"EDITION=7KQ3MX", b"CHAPTER001=00:00:01.000",
                     b"CHAPTER001NAME=One")),
        (1, bytes(30)),
    ),
    "tags.ogg": ogg(VORBIS_HEAD, b"\x03vorbis" + comments(b"TITLE=Harbour") + b"\1"),
    "tags.wav": riff(
        chunk(b"LIST", b"INFO" + chunk(b"INAM", b"Harbour\0")),
        chunk(b"id3 ", id3(title("Harbour"))),
    ),
}  # fmt: skip
"""Small files with all that a track of ours carries, and tags of other programs."""
