"""The studio of a project: its voices at the level that a version is heard at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.recorded_sounds import voice_level_lufs
from pausewright.deliver.track_sound import RATE_HZ, voice_lufs
from pausewright.frozen import frozen
from pausewright.voice.studio import Studio

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from fractions import Fraction
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.script.declared import Settings
    from pausewright.sound.recording.recording import Recording
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.takes_in_use import IsUsable


@frozen
class StudioSetting:
    """What takes of a studio have in common: where they are kept, pace, rate and level."""

    folder: Path
    pace_wpm: Fraction
    rate_hz: int
    level_lufs: float


def studio_setting(
    project: Project, settings: Settings, recording: Recording | None = None
) -> StudioSetting:
    """Return the setting for a version; with a `recording` rate and level are those of that."""
    level_lufs = voice_lufs(settings)
    if recording is not None:
        level_lufs = voice_level_lufs(recording, settings)
    rate_hz = RATE_HZ if recording is None else recording.format.rate_hz
    return StudioSetting(project.script.path.parent, settings.pace_wpm, rate_hz, level_lufs)


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
    """Return the studio for a version with these settings; see `Studio` for what else is given."""
    setting = studio_setting(project, settings, recording)
    return Studio(
        profiles=project.profiles,
        script_folder=setting.folder,
        pace_wpm=setting.pace_wpm,
        rate_hz=setting.rate_hz,
        level_lufs=setting.level_lufs,
        workers=workers,
        progress=progress,
        engines=engines,
        is_usable=is_usable,
    )
