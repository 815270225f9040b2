"""One version of a test: its script in one arrangement, with words, steps and sum."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.apply import apply_arrangement
from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.arrange.background import refuse_background
from pausewright.arrange.declarations import ArrangementError, named
from pausewright.arrange.restate import restate_instructions
from pausewright.checker.promises.effect import Idle, hint_for, without_effect
from pausewright.deliver.extra_time_readings import refuse_unconfirmed
from pausewright.deliver.project import check_voices
from pausewright.frozen import frozen
from pausewright.plan import steps as planner
from pausewright.plan import timeline as planned
from pausewright.plan.extra_time import add_extra_time, times_in_force
from pausewright.problems import HasProblems, Problems, ScriptError
from pausewright.script.slate import relabelled
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.deliver.project import Project
    from pausewright.plan.extra_time import Grant
    from pausewright.plan.timeline import Step
    from pausewright.problems import Problem
    from pausewright.script.model import Script
    from pausewright.wording.line_elements import SoundElement


@frozen
class Version(HasProblems):
    """A script as one arrangement delivers it."""

    arrangement: Arrangement
    script: Script
    """Parts left out, readings and captions as declared, stated values in force."""
    worded: Worded
    steps: tuple[Step, ...]
    """With the extra time."""
    grant: Grant | None
    """The sum of extra time; None where none is declared."""
    problems: tuple[Problem, ...]
    """What the arrangement brings about: errors and warnings."""

    @property
    def label(self) -> str:
        """What the room sees."""
        return self.arrangement.label

    def said(self) -> tuple[SoundElement, ...]:
        """Return every distinct sound of the track, in order."""
        return tuple(dict.fromkeys(s.element for s in self.steps if isinstance(s, planned.Say)))


def make_version(script: Script, worded: Worded, arrangement: Arrangement) -> Version:
    """Return a script in one arrangement.

    Parameters
    ----------
    script : as read; free of errors
    worded : its words, which the standard track keeps
    arrangement : as declared
    """
    own = relabelled(script, arrangement.label)
    if not arrangement.changes:
        worded = worded if own == script else Worded(own)
        return Version(arrangement, own, worded, planner.steps(worded), None, ())
    problems = Problems()
    total = sum(1 for question in script.questions() if not question.practice)
    changed = apply_arrangement(own, arrangement, problems)
    first = ArrangementWords(changed, arrangement, total)
    where = arrangement.place_of("extra-time", script.path)
    try:
        steps, grant = add_extra_time(
            planner.steps(first), arrangement, changed.settings, first.extra_line
        )
    except ArrangementError as error:
        problems.error(where, error.message, error.hint, code="arrangement-sum")
        return Version(arrangement, changed, first, planner.steps(first), None, problems.all)
    times = times_in_force(steps, grant)
    added_s = grant.entitled_s if grant else Fraction(0)
    stated = restate_instructions(changed, times, added_s, where, problems)
    words = ArrangementWords(stated, arrangement, total)
    steps, grant = add_extra_time(
        planner.steps(words), arrangement, stated.settings, words.extra_line
    )
    known = {(p.place, p.message) for p in worded.problems.all}
    problems.extend(p for p in words.problems.all if (p.place, p.message) not in known)
    if grant is not None and grant.n_unannounced:
        problems.warn(
            where,
            "time is added in one piece and nothing tells the candidates that there is more",
            'add words for it: extra-words: "You have {time} more to check your answers."',
            code="extra-time-unannounced",
        )
    if arrangement.arranged_pace != 1:
        problems.warn(
            arrangement.place_of("pace", script.path),
            "slower or faster speech does not help every listener and can hurt "
            "(docs/arrangements.md)",
            "try it out with the candidate before the test",
            code="pace-caution",
        )
    return Version(arrangement, stated, words, steps, grant, problems.all)


def made_versions(project: Project, names: Sequence[str] = ()) -> tuple[Version, ...]:
    """Return versions of a project by name or label; all of them without names.

    Raises
    ------
    ScriptError
        With all problems, if the declaration of one of them cannot be carried out.
    ArrangementError
        If a name is not declared.
    """
    chosen = [named(project.arrangements, name) for name in names]
    wanted = [one for one in project.arrangements if not names or one in chosen]
    versions = tuple(_version_of(project, one) for one in wanted)
    problems = Problems()
    for version in versions:
        problems.extend(version.problems)
        if version.arrangement.changes:
            check_voices(version.worded, project.profiles, problems, known=project.problems)
    if problems.errors:
        raise ScriptError((*project.problems, *problems.all))
    return versions


def refuse_without_effect(script: Script, version: Version, problems: Problems) -> None:
    """Add an error for each declared field that changes nothing on this script."""
    arrangement = version.arrangement
    idle = list(without_effect(script, arrangement))
    breaks = arrangement.rest_breaks
    if breaks is not None and breaks.every_s is not None:
        place = arrangement.place_of("rest-breaks", script.path)
        if not any(block.place == place for _, _, block in version.script.blocks()):
            idle.append(Idle("rest-breaks", hint_for("rest-breaks")))
    for one in idle:
        if one.name != "background":  # told with each recording that it cannot change
            problems.error(
                arrangement.place_of(one.name, script.path),
                f"‘{one.written}’ changes nothing on this script",
                one.hint,
                code="arrangement-without-effect",
            )


def _version_of(project: Project, arrangement: Arrangement) -> Version:
    version = make_version(project.script, project.worded, arrangement)
    said = {e.speech.voice for e in version.worded.all_elements() if isinstance(e, Utterance)}
    # only of voices that speak here: a profile takes longer to read than a page of a script
    recorded = {
        name for name in said & set(project.profiles) if project.profiles[name].engine == "recorded"
    }
    found = Problems()
    refuse_background(version.worded, arrangement, recorded, found)
    if all(problem.severity != "error" for problem in version.problems):
        refuse_without_effect(project.script, version, found)
        refuse_unconfirmed(version.worded, arrangement, version.grant, found)
    return replace(version, problems=(*version.problems, *found.all))
