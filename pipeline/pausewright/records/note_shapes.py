"""Notes that people make while they listen, as they lie beside a script."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from msgspec import Meta, Struct

from pausewright.records import shapes

Seconds: TypeAlias = shapes.Seconds
Words: TypeAlias = shapes.Words


class ListeningNote(Struct, frozen=True, forbid_unknown_fields=True):
    """What somebody noted at one time of a track."""

    edition: Words
    version_label: Words
    at_s: Seconds
    words: Words


class ListeningNotes(Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """All notes of a script; confidential, as they may say what a question asks."""

    listening_notes: Annotated[
        Literal[1], Meta(description="Format of this file; raised with every change to it.")
    ]
    notes: tuple[ListeningNote, ...]
