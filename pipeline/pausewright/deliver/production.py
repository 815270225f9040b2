"""Several versions of one script: voiced once for all, written and checked side by side."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from pausewright.arrange.declarations import named
from pausewright.checker.judge.against_standard import measured_track
from pausewright.deliver.build_options import CheckFailedError
from pausewright.deliver.element_sounds import ElementSounds
from pausewright.deliver.output_folder import delivered
from pausewright.deliver.recorded_sounds import RecordedSounds, given_of, voice_level_lufs
from pausewright.deliver.sound_check import sound_check_utterances
from pausewright.deliver.studios import studio_of
from pausewright.deliver.take_check import begins_whole
from pausewright.deliver.track_sound import voice_lufs
from pausewright.deliver.version_build import VersionBuild
from pausewright.intake.plain_file import resolved
from pausewright.problems import Problems
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.judge.against_standard import MeasuredTrack
    from pausewright.deliver.build_options import Built, Options
    from pausewright.deliver.build_plan import BuildPlan
    from pausewright.deliver.outputs.job import Job
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.plan.timeline import Timeline
    from pausewright.script.declared import Settings
    from pausewright.sound.recording.recording import Recording
    from pausewright.voice.studio import Studio


class Production:
    """Builds of several versions that share what is voiced."""

    def __init__(
        self,
        project: Project,
        options: Options,
        versions: Sequence[Version],
        *,
        keys: Mapping[str, str],
        folder: Path,
        stage: Path,
    ) -> None:
        """Prepare; nothing is voiced or written yet.

        Parameters
        ----------
        versions : the standard version first, if it is among them
        keys : the build key of each, by label
        folder : where an earlier build lies
        stage : each version gets a folder of its own in it
        """
        self._project = project
        self._options = options
        self._is_alone = len(versions) == 1
        self._studios: dict[float, Studio] = {}
        self._recording = given_of(project)
        self._standard: Future[Mapping[str, MeasuredTrack]] = Future()
        if versions[0].arrangement.changes:
            before = {} if self._recording is not None else standard_before(project, folder)
            self._standard.set_result(before)  # beside a recording that is compared itself
        quiet = options if self._is_alone else replace(options, progress=None)
        self._builds = [
            VersionBuild(
                project,
                quiet,
                version,
                sounds_of(project, version.script.settings, self._studio(version), self._recording),
                keys[version.label],
                stage / f"part-{at}",
            )
            for at, version in enumerate(versions)
        ]

    def built(self) -> list[Built]:
        """Voice for all, write and check each; raise `CheckFailedError` if one check fails.

        A version is written and checked while the next is voiced: what one of the two leaves of
        the processors, the other takes.
        """
        for build in self._builds:
            build.refuse_bad_sounds()
        jobs: list[Future[Built]] = []
        pool = ThreadPoolExecutor(self._options.workers, thread_name_prefix="version")
        try:
            for build in self._builds:
                voiced = build.voice()
                jobs.append(
                    pool.submit(build.run, voiced, self._standard.result, self._taker(build))
                )
            self._rest()
            for n_done, job in enumerate(as_completed(jobs), start=1):
                job.result()
                if not self._is_alone:
                    self._options.tell("versions", n_done, len(jobs))
        finally:
            # whoever still waits for a standard track that will not come goes on without it
            if not self._standard.done():
                self._standard.set_result({})
            pool.shutdown(cancel_futures=True)
        built = [job.result() for job in jobs]
        if not all(one.is_good for one in built):
            raise CheckFailedError([check for one in built for check in one.checks])
        return built

    def jobs(self) -> list[Job]:
        """Voice for all, and return each version as its outputs are made from; none is written."""
        for build in self._builds:
            build.refuse_bad_sounds()
        return [build.job(build.voice()) for build in self._builds]

    def timelines(self) -> tuple[Timeline, ...]:
        """Voice for all, and return where everything lies on each track."""
        for build in self._builds:
            build.refuse_bad_sounds()
        for build in self._builds:
            build.voice()
        self._rest()
        return tuple(build.timeline() for build in self._builds)

    def _rest(self) -> None:
        """Let the voices go: what is left to do needs the memory, and their takes are kept."""
        for studio in self._studios.values():
            studio.rest()

    def _taker(self, build: VersionBuild) -> Callable[[Mapping[str, MeasuredTrack]], None] | None:
        """Return who takes the measured standard track, where others are compared with it."""
        is_first = build is self._builds[0]  # others may have a label and no changes too
        is_wanted = is_first and build.is_standard and not self._is_alone
        return self._standard.set_result if is_wanted else None

    def _studio(self, version: Version) -> Studio:
        settings, recording = version.script.settings, self._recording
        level_lufs = voice_lufs(settings)
        if recording is not None:
            level_lufs = voice_level_lufs(recording, settings)
        if level_lufs not in self._studios:
            self._studios[level_lufs] = _studio(self._project, settings, self._options, recording)
        return self._studios[level_lufs]


def standard_before(project: Project, folder: Path) -> Mapping[str, MeasuredTrack]:
    """Return the standard track of this edition that was delivered before, measured."""
    label = named(project.arrangements).label
    record = delivered(folder, label, project.edition)
    tracks = [folder / path for path, _ in record.paths("track")] if record else []
    return {
        track.suffix: measured_track(track, project.worded) for track in tracks if track.is_file()
    }


def timelines(
    project: Project, options: Options, versions: Sequence[Version]
) -> tuple[Timeline, ...]:
    """Return where everything lies on the tracks of versions; words are voiced that are not kept.

    Nothing else is written. The standard version, if it is among them, is the first.

    Raises
    ------
    ScriptError
        If sounds or utterances are at fault.
    """
    nowhere = options.out / project.script.path.stem
    keys = {version.label: "" for version in versions}
    return Production(
        project, options, versions, keys=keys, folder=nowhere, stage=nowhere
    ).timelines()


def voice_plans(plans: Sequence[BuildPlan], options: Options) -> tuple[int, int]:
    """Voice what is missing for what is due of several scripts, each utterance once.

    Returns how many utterances were voiced, and how many were there already.

    Raises
    ------
    ScriptError
        If sounds or utterances are at fault, of all scripts.
    """
    groups: dict[object, tuple[Studio, dict[Utterance, None]]] = {}
    problems = Problems()
    for plan in plans:
        folder = resolved(plan.project.script.path).parent
        with problems.collected():
            recording = given_of(plan.project)
        problems.raise_errors()
        for version in plan.due:
            settings = version.script.settings
            # scripts of a folder share its voices, and what is kept
            alike: object = folder, settings.pace_wpm, voice_lufs(settings)
            if recording is not None:
                alike = plan.project.script.path, settings.loudness
            if alike not in groups:
                groups[alike] = _studio(plan.project, settings, options, recording), {}
            studio, said = groups[alike]
            said |= {one: None for one in version.said() if isinstance(one, Utterance)}
            if recording is None:
                said |= dict.fromkeys(sound_check_utterances(version, plan.project.profiles))
            excerpts = [one for one in version.said() if isinstance(one, Excerpt)]
            with problems.collected():
                sounds = sounds_of(plan.project, settings, studio, recording)
                sounds.refuse_bad_excerpts(excerpts)
    problems.raise_errors()
    n_voiced = n_kept = 0
    for studio, said in groups.values():
        with problems.collected():
            report = studio.record(said)
            n_voiced += report.n_voiced
            n_kept += report.n_kept
        studio.rest()
    problems.raise_errors()
    return n_voiced, n_kept


def _studio(
    project: Project, settings: Settings, options: Options, recording: Recording | None
) -> Studio:
    return studio_of(
        project,
        settings,
        workers=options.workers,
        progress=partial(options.tell, "voicing"),
        engines=options.engines,
        is_usable=begins_whole,
        recording=recording,
    )


def sounds_of(
    project: Project, settings: Settings, studio: Studio, recording: Recording | None
) -> ElementSounds:
    """Return the sounds of a version with these settings: of a recording where there is one."""
    if recording is None:
        return ElementSounds(studio, settings)
    return RecordedSounds(studio, settings, recording, project.worded)
