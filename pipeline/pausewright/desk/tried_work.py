"""A text read before it is saved: its versions, what becomes wrong, what is mended."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.desk.told import rows_of
from pausewright.desk.try_messages import Tried, TryText
from pausewright.problems import Problems, ScriptError

if TYPE_CHECKING:
    from pausewright.deliver.project import Project
    from pausewright.problems import Problem


def try_text(ask: TryText) -> Tried:
    """Compare what is wrong with a test's text as it stands and as it would be.

    Raises
    ------
    ScriptError
        If one of the two cannot be read at all.
    """
    script = Path(ask.script)
    before, after = open_project(script), open_project(script, text=ask.text)
    had = _problems(before, with_versions=True)
    has = _problems(after, with_versions=not before.has_errors)
    known, left = ([_kind(one) for one in found] for found in (had, has))
    return Tried(
        tuple(one.label for one in before.arrangements),
        tuple(one.label for one in after.arrangements),
        rows_of((one for one in has if left.count(_kind(one)) > known.count(_kind(one))), script)[
            0
        ],
        rows_of((one for one in had if known.count(_kind(one)) > left.count(_kind(one))), script)[
            0
        ],
    )


def _kind(problem: Problem) -> tuple[str, str, str]:
    """Return a problem without its place: lines may have moved."""
    return (problem.severity, problem.code, problem.message)


def _problems(project: Project, *, with_versions: bool) -> tuple[Problem, ...]:
    """Return what is wrong; with its versions only where those can be made of it."""
    problems = Problems()
    problems.extend(project.problems)
    if with_versions and not project.has_errors:
        try:
            for version in made_versions(project):
                problems.extend(version.problems)
        except ScriptError as error:
            problems.extend(error.problems)
    return problems.all
