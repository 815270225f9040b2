"""Versions of what measured, for the reports."""

from __future__ import annotations

import platform
import sys
from typing import Final

_PACKAGES: Final = ("pausewright", "soundfile", "numpy")


def versions() -> dict[str, str]:
    """Return the versions of what measured, by package, as the loaded packages state them.

    The list of installed packages takes longer to load than some tracks to measure.
    """
    stated = {name: str(sys.modules[name].__version__) for name in _PACKAGES}
    return {"python": platform.python_version(), **stated}
