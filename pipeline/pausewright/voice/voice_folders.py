"""Voices that a person added: beside a script, or in the folder of a whole centre.

The environment variable `PAUSEWRIGHT_VOICES` names a centre's folder, for example on a shared
drive. Each of its profiles states the SHA-256 of its voice's file; a file that is another one is
refused, so that all rooms hear the same voice.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.problems import VoiceError

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.voice.profile import VoiceProfile

VARIABLE: Final = "PAUSEWRIGHT_VOICES"


def centre_folder() -> Path | None:
    """Return the centre's folder of voices, None if none is named.

    Raises
    ------
    VoiceError
        If one is named that is no folder.
    """
    named = os.environ.get(VARIABLE, "")
    if not named:
        return None
    folder = Path(named)
    if not folder.is_dir():
        raise VoiceError(
            f"{VARIABLE} names the folder {named}, which is not there",
            "connect the drive, or correct the variable",
        )
    return folder


def refuse_another_file(profile: VoiceProfile, file_digest: Callable[[Path], str]) -> None:
    """Refuse a voice whose file is not the one that its profile states.

    Raises
    ------
    VoiceError
        If it is another, or if a voice of the centre's folder states none.
    """
    centre = centre_folder() if profile.place else None
    if profile.sha256 is None:
        if centre is not None and profile.file.parent == centre:
            raise VoiceError(
                f"the profile of the voice ‘{profile.name}’ in the centre's folder states no hash",
                f"add the line sha256: to {profile.file.name}, or add the voice again with "
                "pausewright voices --add",
            )
        return
    file = profile.style_file() if profile.style is not None else profile.model_file()
    if file_digest(file) != profile.sha256:
        raise VoiceError(
            f"the file {file.name} of the voice ‘{profile.name}’ is not the one that its profile "
            "states",
            "pip install --force-reinstall pausewright"
            if profile.bundled
            else "copy the file again, or add the voice again with pausewright voices --add",
        )
