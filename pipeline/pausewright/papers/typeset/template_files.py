"""Templates: files of this package, each of which a centre can replace by one of its own.

A template is Typst source with a function `render(data)`. It imports other templates by their plain
names and nothing else: Typst would fetch packages from the network.
"""

from __future__ import annotations

import hashlib
import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.intake.file_kinds import TEMPLATE
from pausewright.intake.plain_file import file_text
from pausewright.package_data import package_folder
from pausewright.problems import FileError, Place, Problem, ScriptError, name_hint

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

ENDING: Final = ".typ"
FORMULAS: Final = "formulas.typ"
"""The one template that turns text into mathematics; it cannot be replaced."""
_IMPORT: Final = re.compile(r"\b(?:import|include)\b(?! \"[a-z][a-z0-9-]*\.typ\"[:;\s])")
_REFUSED: Final = {
    _IMPORT: "a template imports other templates only",
    re.compile(r"@(?:preview|local)\b"): "a template uses no package",
    re.compile(r"\beval\b"): "a template evaluates no text",
    re.compile(r"\b(?:read|plugin|csv|toml|yaml|cbor|xml)\b *\("): "a template reads no file",
}
"""What a centre's template may not hold, and how to say so."""


@frozen
class Templates:
    """Templates by their names, and where each of them stands."""

    texts: Mapping[str, str]
    paths: Mapping[str, Path]

    @property
    def digest(self) -> str:
        """A hash of all of them."""
        rows = "\n".join(
            f"{name} {hashlib.sha256(text.encode()).hexdigest()}"
            for name, text in sorted(self.texts.items())
        )
        return hashlib.sha256(rows.encode()).hexdigest()


@cache
def own_templates() -> Templates:
    """Return the templates that come with this package."""
    folder = package_folder("pausewright.papers") / "templates"
    paths = {path.name: path for path in sorted(folder.glob(f"*{ENDING}"))}
    return Templates({name: path.read_text("utf-8") for name, path in paths.items()}, paths)


def templates_of(folder: Path) -> Templates:
    """Return the templates with those of a folder in the place of ours.

    Raises
    ------
    FileError
        If the folder cannot be read, holds none or one of a name that no paper has.
    ScriptError
        If a template holds what none may hold; all places in one error.
    """
    own = own_templates()
    try:
        found = sorted(path for path in folder.iterdir() if path.suffix == ENDING)
    except OSError as why:
        raise FileError(
            f"the folder of templates ‘{folder}’ cannot be read ({why.strerror})",
            "check its name, from the script's own folder",
        ) from why
    if not found:
        raise FileError(
            f"the folder ‘{folder}’ holds no template",
            "pausewright papers SCRIPT --copy-templates FOLDER writes ours, to be changed",
        )
    replaceable = own.texts.keys() - {FORMULAS}
    texts, paths, problems = dict(own.texts), dict(own.paths), []
    for path in found:
        if path.name not in replaceable:
            hint = name_hint(path.name, replaceable, "give it the name of the one that it replaces")
            raise FileError(f"‘{path.name}’ is not the name of a template", hint)
        texts[path.name], paths[path.name] = file_text(path, TEMPLATE, folder), path
        problems += _refused(path, texts[path.name])
    if problems:
        raise ScriptError(problems)
    return Templates(texts, paths)


def _refused(path: Path, text: str) -> list[Problem]:
    return [
        Problem(
            Place(path, line, found.start() + 1, len(found[0])),
            sentence,
            "take it out",
            code="template-refused",
        )
        for line, row in enumerate(text.splitlines(), 1)
        for pattern, sentence in _REFUSED.items()
        for found in pattern.finditer(row)
    ]
