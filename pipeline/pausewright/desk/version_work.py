"""A text that declares one more version, read before it is saved: does it mean just that?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.desk.messages import Refused, Tried, TryVersion
from pausewright.desk.told import rows_of
from pausewright.problems import Problems, ScriptError

if TYPE_CHECKING:
    from pausewright.deliver.project import Project


def try_version(ask: TryVersion) -> Tried | Refused:
    """Say what the new version brings about; refused where it is not as it was meant."""
    script = Path(ask.script)
    before = open_project(script)
    after = open_project(script, text=ask.text)
    problems = _problems(after)
    known = {(one.code, one.message) for one in _problems(before).all}
    new = [one for one in problems.all if (one.code, one.message) not in known]
    rows, _ = rows_of(new, script)
    errors = [row for row in rows if row.severity == "error"]
    if errors:
        return Refused(errors[0].message, errors[0].hint, tuple(errors))
    labels = [one.label for one in after.arrangements]
    if sorted(labels) != sorted([*(one.label for one in before.arrangements), ask.label]):
        return Refused(
            "the versions of this test cannot be added to here",
            "write the new one in the text, below the others",
            rows_of(after.problems, script)[0],
        )
    return Tried(rows)


def _problems(project: Project) -> Problems:
    problems = Problems()
    problems.extend(project.problems)
    if not project.has_errors:
        try:
            for version in made_versions(project):
                problems.extend(version.problems)
        except ScriptError as error:
            problems.extend(error.problems)
    return problems
