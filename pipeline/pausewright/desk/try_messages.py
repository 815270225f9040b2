"""What is wrong with a script, and what another text of it would bring about, as workers say it."""

from __future__ import annotations

from msgspec import Struct


class Row(Struct, frozen=True):
    """One thing that is wrong with a script."""

    severity: str
    message: str
    hint: str
    file: str
    """Name alone."""
    line: int
    column: int
    length: int
    is_own: bool
    """Whether it stands in the script itself and not in a file that this names."""
    code: str = ""
    choices: tuple[str, ...] = ()
    """Ways to say what stands there, the one that is taken first."""


class TryText(Struct, frozen=True, tag=True):
    """Say what another text of a test would bring about; nothing is written."""

    script: str
    text: str


class Tried(Struct, frozen=True, tag=True):
    """What another text of a test would bring about."""

    had: tuple[str, ...]
    """Labels of the versions that are declared now."""
    has: tuple[str, ...]
    """And of those that would be."""
    new: tuple[Row, ...]
    """Problems that would be new."""
    gone: tuple[Row, ...]
    """Problems that would be gone."""
