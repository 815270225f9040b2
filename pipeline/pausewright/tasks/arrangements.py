"""Versions of a script as they are declared: the outline of one, and all of them side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.build_options import Options
from pausewright.deliver.compare_page import compare_page
from pausewright.deliver.comparison import Column, compare
from pausewright.deliver.output_folder import write_new_text
from pausewright.deliver.version import made_versions
from pausewright.frozen import frozen
from pausewright.tasks.outlines import Outlined, open_script, outline_with

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem


@frozen
class Comparison:
    """All versions of a script, a column each. Confidential."""

    title: str
    edition: str
    language: str
    columns: tuple[Column, ...]
    warnings: tuple[Problem, ...]
    """Of the script and of its versions, each once."""


def outline_of_version(script: Path, name: str) -> Outlined:
    """Return the outline of the version with this name or label.

    Raises
    ------
    PausewrightError
        If the script has errors, or no such version is declared.
    """
    project = open_script(script)
    return outline_with(project, made_versions(project, [name])[0])


def compare_versions(script: Path, out: Path) -> Comparison:
    """Return all versions of a script; what was built into `out` gives exact lengths.

    Raises
    ------
    ScriptError
        With all problems, if one of them is an error.
    """
    project = open_script(script)
    versions = made_versions(project)
    settings = project.script.settings
    warnings = (*project.warnings, *(one for version in versions for one in version.warnings))
    return Comparison(
        settings.title,
        project.edition,
        settings.language,
        compare(project, versions, Options(out)),
        tuple(dict.fromkeys(warnings)),
    )


def write_comparison_page(found: Comparison, file: Path) -> None:
    """Write a comparison as a page that stands alone.

    Raises
    ------
    OutputError
        If the file exists or cannot be written.
    """
    write_new_text(file, compare_page(found.title, found.edition, found.language, found.columns))
