"""What a worker keeps at hand between tasks: scripts that are read, voices that are loaded.

It only saves time: a task gives the same bytes with an empty bench.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import TYPE_CHECKING, Final, Generic, TypeVar

from pausewright.deliver.project import open_project
from pausewright.deliver.recorded_sounds import given_of
from pausewright.deliver.silent_engines import without_voices
from pausewright.deliver.studios import studio_setting
from pausewright.deliver.take_check import begins_whole
from pausewright.deliver.version import made_versions
from pausewright.deliver.version_parts import version_build
from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.season.inputs import own_mark
from pausewright.voice.studio import Studio
from pausewright.voice.voice_list import all_profiles

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Mapping
    from pathlib import Path

    from pausewright.checker.judge.against_standard import MeasuredTrack
    from pausewright.deliver.project import Project
    from pausewright.deliver.studios import StudioSetting
    from pausewright.deliver.version import Version
    from pausewright.deliver.version_build import VersionBuild
    from pausewright.season.asks import TestAsk, VersionAsk
    from pausewright.voice.recording_report import RecordingReport

Key = TypeVar("Key", bound="Hashable")
Held = TypeVar("Held")

SILENT: Final = "laying a version"
"""What voices nothing, in the sentence about a take that is gone."""
MOST_STUDIOS: Final = 6
MOST_TESTS: Final = 8
"""Tests that a worker works on at about the same time."""
MOST_VERSIONS: Final = 24


class Recent(Generic[Key, Held]):
    """The things that were asked for last, at most so many."""

    def __init__(self, most: int) -> None:
        """Hold nothing yet."""
        self._most = most
        self._held: OrderedDict[Key, Held] = OrderedDict()

    def get(self, key: Key, make: Callable[[], Held]) -> Held:
        """Return the thing of a key, made if it is not held."""
        if key not in self._held:
            self.put(key, make())
        self._held.move_to_end(key)
        return self._held[key]

    def put(self, key: Key, value: Held) -> None:
        """Hold a thing."""
        self._held[key] = value
        while len(self._held) > self._most:
            self._held.popitem(last=False)


@frozen
class Opened:
    """A test that was read, and its versions by label."""

    project: Project
    versions: Mapping[str, Version]


class Bench:
    """Of one worker process."""

    def __init__(self) -> None:
        """Begin empty."""
        self._studios: Recent[tuple[StudioSetting, bool], Studio] = Recent(MOST_STUDIOS)
        self._tests: Recent[tuple[Path, str], Opened] = Recent(MOST_TESTS)
        self._voiced: Recent[tuple[Path, str, str], RecordingReport] = Recent(MOST_VERSIONS)
        self._standards: Recent[str, Mapping[str, MeasuredTrack]] = Recent(MOST_TESTS)

    def studio(self, setting: StudioSetting, *, voices: bool) -> Studio:
        """Return the studio of a setting; its voices are those that its folder has.

        One that does not voice raises a VoiceError for what is not kept.
        """
        engines = None if voices else without_voices(None, SILENT)
        return self._studios.get(
            (setting, voices),
            lambda: Studio(
                profiles=all_profiles(setting.folder),
                script_folder=setting.folder,
                pace_wpm=setting.pace_wpm,
                rate_hz=setting.rate_hz,
                level_lufs=setting.level_lufs,
                workers=1,
                engines=engines,
                is_usable=begins_whole,
            ),
        )

    def opened(self, ask: TestAsk) -> Opened:
        """Return a test, read as it was when the season read it.

        Raises
        ------
        OutputError
            If its script has changed since.
        ScriptError
            If it has problems.
        """
        if own_mark(ask.script) != ask.inputs:
            raise OutputError(
                f"‘{ask.script.name}’ was changed while the season was made",
                "run this again: all else is kept",
            )
        return self._tests.get((ask.script, ask.inputs), lambda: _opened(ask))

    def build(self, ask: VersionAsk, stage: Path) -> tuple[VersionBuild, RecordingReport]:
        """Return the build of a version, voiced: its takes are those that are kept."""
        opened = self.opened(ask.test)
        project, version = opened.project, opened.versions[ask.label]
        setting = studio_setting(project, version.script.settings, given_of(project))
        options = ask.test.making.options(ask.test.where.out)
        studio = self.studio(setting, voices=False)
        build = version_build(project, options, version, ask.key, studio, stage)
        key = (ask.test.script, ask.test.inputs, ask.label)
        return build, self._voiced.get(key, build.voice)

    def keep_standard(self, part: str, measured: Mapping[str, MeasuredTrack]) -> None:
        """Keep a standard track that was just measured."""
        self._standards.put(part, measured)

    def standard(
        self, part: str, measure: Callable[[], Mapping[str, MeasuredTrack]]
    ) -> Mapping[str, MeasuredTrack]:
        """Return a standard track that was measured, or measure it."""
        return self._standards.get(part, measure)


def _opened(ask: TestAsk) -> Opened:
    project = open_project(ask.script)
    project.raise_errors()
    return Opened(project, {one.label: one for one in made_versions(project)})


class _Here(threading.local):
    """The bench of each thread: a worker does one task at a time in its own."""

    def __init__(self) -> None:
        self.bench = Bench()


_HERE: Final = _Here()


def bench() -> Bench:
    """Return the bench of this worker."""
    return _HERE.bench
