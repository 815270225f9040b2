"""What stands in the notes on who signed what, and what was heard; see `records.record_files`."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from msgspec import Meta, Struct

from pausewright.records.shapes import (
    RAISED,
    ContentMark,
    Kind,
    Seconds,
    Sha256,
    TakeMark,
    Words,
)

SignedFor: TypeAlias = Literal["wording", "sound", "timing", "papers"]
"""What somebody answers for: the words as they are said; the track as it was heard; its times; the
papers as they were read."""
TRACK_NEEDS: tuple[SignedFor, ...] = ("wording", "sound", "timing")
"""A track without all of these is a draft."""


class SignedTrack(Struct, frozen=True, forbid_unknown_fields=True):
    """A track in one format."""

    format: Words
    """Ending of its file: "mp3"."""
    samples: Sha256
    """Of its decoded samples: 16 bits, little-endian, channels interleaved; tags do not count."""


class SignedPaper(Struct, frozen=True, forbid_unknown_fields=True):
    """A paper as it was read."""

    kind: Kind
    content_mark: ContentMark


class Signature(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One person's word for one version."""

    signed_by: Words
    signed_for: SignedFor
    signed_on: Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\d$")]
    title: Words
    edition: Words
    version_label: Words
    words: Sha256
    """Of all words as they are said."""
    tracks: tuple[SignedTrack, ...]
    papers: tuple[SignedPaper, ...]


class Signatures(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """All signatures of a script, in the order in which they were given."""

    signatures: Annotated[Literal[1], RAISED]
    signed: tuple[Signature, ...]


class HeardTake(Struct, frozen=True, forbid_unknown_fields=True):
    """Which samples of a sound were played to a person."""

    take: TakeMark
    n_samples: Annotated[int, Meta(ge=1)]
    spans: tuple[tuple[int, int], ...]
    """Half-open, in order, apart from each other."""


class HeardTakes(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What of a script has been heard; no word of it."""

    heard: Annotated[Literal[1], RAISED]
    takes: tuple[HeardTake, ...]


class ListeningLog(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What a listening page played of one track."""

    listening_log: Annotated[Literal[1], RAISED]
    edition: Words
    version_label: Words
    played_s: tuple[tuple[Seconds, Seconds], ...]
    """From where to where on the track."""
