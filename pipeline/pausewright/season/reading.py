"""A test read for a season: its versions with their keys, and which takes each of them needs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.build_plan import plan_build
from pausewright.deliver.recorded_sounds import given_of
from pausewright.deliver.studios import studio_of, studio_setting
from pausewright.deliver.version_parts import version_build
from pausewright.frozen import frozen
from pausewright.intake.plain_file import openings_noted
from pausewright.problems import PausewrightError, Place, Problems, ScriptError, VoiceError
from pausewright.season.asks import Fault, TakeNeed, TestRead, VersionRead
from pausewright.season.inputs import rows_below
from pausewright.voice.store import digest

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options
    from pausewright.deliver.build_plan import BuildPlan
    from pausewright.deliver.version import Version
    from pausewright.season.asks import TestAsk
    from pausewright.wording.line_elements import Utterance


@frozen
class Reading:
    """What came of reading one script."""

    script: Path
    test: TestRead | None
    """None if it has errors."""
    fault: Fault | None = None
    opened: tuple[str, ...] = ()
    """Rows of the files below the season's folder that were read: `inputs.rows_below`."""


def read_test(ask: TestAsk) -> Reading:
    """Read a test as a build would; nothing is voiced but a voice's passage, and nothing written.

    Everything that is wrong with the script, its arrangements, its voices and its sounds is in
    the answer's fault.
    """
    problems = Problems()
    found = None
    with openings_noted() as files, problems.collected():
        try:
            found = _read(ask)
        except ScriptError:
            raise
        except PausewrightError as error:
            problems.error(Place(ask.script, 1, 1), error.message, error.hint, code="season-test")
    opened = rows_below(files, ask.where)
    if found is not None and not problems.errors:
        return Reading(ask.script, found, None, opened)
    return Reading(ask.script, None, Fault("it has errors", "", problems.all), opened)


def _read(ask: TestAsk) -> TestRead:
    options = ask.making.options(ask.where.out)
    plan = plan_build(ask.script, options)
    takes: dict[str, TakeNeed] = {}
    due = {one.label for one in plan.due}
    versions = []
    for version in plan.versions:
        label, key = version.label, plan.keys[version.label]
        part = digest({"key": key, "script": ask.script.relative_to(ask.where.folder).as_posix()})
        needed = _takes(plan, options, version, takes) if label in due else ()
        versions.append(VersionRead(label, key, part, label in due, needed))
    warnings = (*plan.project.warnings, *(w for one in plan.versions for w in one.warnings))
    return TestRead(
        ask,
        plan.project.script.settings.title,
        plan.project.edition,
        tuple(one.label for one in plan.project.arrangements),
        tuple(versions),
        takes,
        tuple(dict.fromkeys(warnings)),
        _standard(plan),
    )


def _standard(plan: BuildPlan) -> str:
    """Return the label of the standard version if it is made now, and not alone."""
    due = plan.due
    if len(due) < 2 or due[0].arrangement.changes:
        return ""
    return due[0].label


def _takes(
    plan: BuildPlan, options: Options, version: Version, takes: dict[str, TakeNeed]
) -> tuple[str, ...]:
    """Return the keys of what a version needs, and add what is needed for them."""
    project, settings = plan.project, version.script.settings
    recording = given_of(project)
    studio = studio_of(project, settings, workers=1, recording=recording)
    setting = studio_setting(project, settings, recording)
    build = version_build(project, options, version, plan.keys[version.label], studio, plan.folder)
    build.refuse_bad_sounds()
    problems = Problems()
    keys: dict[str, None] = {}
    waiting: list[Utterance] = [*build.sound_check, *build.said, *build.measured_beside]
    for utterance in waiting:  # grows by what others are shares of
        try:
            job = studio.job_maker.job(utterance)
            key, standard = job.finished_key, job.standard
            after = "" if standard is None else studio.job_maker.job(standard).finished_key
        except VoiceError as error:
            if all(one.message != error.message for one in problems.all):
                problems.error(utterance.place, error.message, error.hint, code="voice-cannot-say")
            continue
        if standard is not None and key not in keys:
            waiting.append(standard)
        keys[key] = None
        takes.setdefault(key, TakeNeed(key, setting, utterance, after))
    problems.raise_errors()
    return tuple(keys)
