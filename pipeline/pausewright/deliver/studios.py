"""The studio of a project: its voices at the level that a version is heard at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.recorded_sounds import voice_level_lufs
from pausewright.deliver.track_sound import RATE_HZ, voice_lufs
from pausewright.voice.studio import Studio

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from pausewright.deliver.project import Project
    from pausewright.script.declared import Settings
    from pausewright.sound.recording.recording import Recording
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.takes_in_use import IsUsable


def studio_of(
    project: Project,
    settings: Settings,
    *,
    workers: int = 2,
    progress: Callable[[int, int], None] | None = None,
    engines: Mapping[str, EngineKind] | None = None,
    is_usable: IsUsable | None = None,
    recording: Recording | None = None,
) -> Studio:
    """Return the studio for a version with these settings; see `Studio` for what else is given.

    With a `recording` its voices have the rate and the level of that.
    """
    level_lufs = voice_lufs(settings)
    if recording is not None:
        level_lufs = voice_level_lufs(recording, settings)
    return Studio(
        profiles=project.profiles,
        script_folder=project.script.path.parent,
        pace_wpm=settings.pace_wpm,
        rate_hz=RATE_HZ if recording is None else recording.format.rate_hz,
        level_lufs=level_lufs,
        workers=workers,
        progress=progress,
        engines=engines,
        is_usable=is_usable,
    )
