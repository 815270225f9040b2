"""Versions of what measured, for the reports."""

from __future__ import annotations

import platform
from importlib import metadata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def versions() -> dict[str, str]:
    """Return the versions of what measured, by package."""
    packages = ("pausewright", "soundfile", "numpy")
    return {"python": platform.python_version(), **versions_of(packages)}


def versions_of(packages: Iterable[str]) -> dict[str, str]:
    """Return the installed versions of packages, by name."""
    found = {}
    for name in packages:
        try:
            found[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            found[name] = "not installed"
    return found
