"""What a check of laid-out rooms is asked to compare with, besides their own packing lists."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.findings import CheckResult
    from pausewright.checker.rooms.needed import NeededRoom

    Check: TypeAlias = Callable[[Track, str], CheckResult]
    """Measures one track, whole or in pieces, as that of a version label."""


@dataclass(slots=True)
class Orders:
    """All that is known from outside the folder."""

    check: Check
    needed: Mapping[str, NeededRoom] | None = None
    """By the list of needs; None if it was not given."""
    edition: str | None = None
    """The script's; None without a script."""
    sheet_marks: Mapping[str, str] = field(default_factory=dict)
    """Content mark of each version's answer sheet as the script gives it now, by label."""
    record: Path | None = None
    """The record of rooms that stayed in the office; else the one beside the rooms."""
    room: str = ""
    """Where the person who asks is, if they say so."""
    done: dict[object, CheckResult] = field(default_factory=dict)
    """Tracks that were measured, so that equal folders of players are measured once."""
