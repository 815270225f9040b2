"""Places in a text, and what is written there instead.

Lines and columns count from 0, in the text as it stands on the disk (with line feeds).
"""

from __future__ import annotations

from typing import NamedTuple


class Spot(NamedTuple):
    """A place between two signs of a text."""

    line: int
    column: int


class Edit(NamedTuple):
    """New text for what stands from one spot to another."""

    start: Spot
    end: Spot
    text: str
