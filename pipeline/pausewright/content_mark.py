"""The content mark: a hash of what a paper or track shows or says, edition and date left out.

Two editions of a script often have the same answer sheet: the same mark says that yesterday's need
not be printed again. Defined here and nowhere else, for builds, records and the check alike.

**Of a text** (sheets, captions, transcripts, pages): all its signs, but for the edition that its
heading names ("Version B · edition 7KQ3MX"), wherever that stands; a date that follows it there
(" · 2026-11-29"); and what a page calls itself (`"id":"…"`). The version label counts.

**Of a sound**: its rate, channels and every 16-bit sample before it was coded, so MP3, WAV and FLAC
of one track have one mark; what stands in its tags does not count.

**A PDF** carries the mark of what was printed among its keywords, where any program leaves it as
it is while pages are taken out, painted over or printed on. So beside it stands a **seal**: a
SHA-256 of the whole file as it was built, with zeros in the seal's own place. It holds for these
bytes alone.
"""

from __future__ import annotations

import hashlib
import re
from typing import Final, Literal, TypeAlias

from pausewright.frozen import frozen

_HEADING: Final = re.compile(
    r"Version (?P<label>[A-Za-z0-9][A-Za-z0-9 -]{0,11}) · edition (?P<edition>[2-9A-HJ-NP-Z]{6})"
    r"(?P<date> · \d{4}-\d\d-\d\d)?(?![A-Za-z0-9])"
)
UNSEALED: Final = f"seal:{64 * '0'}"
"""What the keywords of a PDF hold in the place of its seal, until it is whole."""
SealState: TypeAlias = Literal["whole", "broken", "missing"]
_KEYWORD_SEAL: Final = re.compile(r"seal:([0-9a-f]{64})")
_PAGE_ID: Final = re.compile(r'"id":"[0-9a-f]{16}"')


@frozen
class Heading:
    """What a paper says that it is."""

    version_label: str
    edition: str


def heading_of(text: str) -> Heading | None:
    """Return the version and the edition that a paper names first, or None."""
    found = _HEADING.search(text)
    return None if found is None else Heading(found["label"], found["edition"])


def text_mark(text: str) -> str:
    """Return the content mark of a paper, page or caption file: a SHA-256 in hexadecimal."""
    heading = heading_of(text)
    if heading is not None:
        text = _HEADING.sub(lambda found: found[0].removesuffix(found["date"] or ""), text, count=1)
        edition = re.escape(heading.edition)
        text = re.sub(rf"(?<![A-Za-z0-9]){edition}(?![A-Za-z0-9])", "", text)
    text = _PAGE_ID.sub("", text)
    return hashlib.sha256(b"text\n" + text.encode("utf-8", "surrogatepass")).hexdigest()


def sealed(pdf: bytes) -> bytes:
    """Return a PDF that holds `UNSEALED`, with its seal there."""
    seal = f"seal:{_seal(pdf)}"
    return pdf.replace(UNSEALED.encode(), seal.encode())


def seal_state(pdf: bytes, keywords: str) -> SealState:
    """Say whether the seal in a PDF's keywords is that of these bytes."""
    found = _KEYWORD_SEAL.search(keywords)
    if found is None:
        return "missing"
    blank = pdf.replace(found[0].encode(), UNSEALED.encode())
    return "whole" if _seal(blank) == found[1] else "broken"


def _seal(pdf: bytes) -> str:
    return hashlib.sha256(b"seal\n" + pdf).hexdigest()


class SoundMark:
    """The content mark of a sound, fed block by block."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        """Begin; `rate_hz` in samples a second."""
        self._hash = hashlib.sha256(f"sound\n{rate_hz} {channels}\n".encode())

    def add(self, samples: bytes | memoryview) -> None:
        """Take samples: 16 bits, little-endian, channels interleaved."""
        self._hash.update(samples)

    def mark(self) -> str:
        """Return the mark of all that was added: a SHA-256 in hexadecimal."""
        return self._hash.hexdigest()
