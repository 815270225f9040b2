"""The screens' JavaScript modules, joined into the one script of a page.

Each module becomes a function of its own that is called once, so that no name of one module is
seen in another unless it is exported and imported. Editors, type checkers and Node read the modules
as they are. Every `import {…} from "./….js";` starts its line and names what it takes; every
`export` stands before a function, class or constant.
"""

from __future__ import annotations

import posixpath
import re
from functools import cache
from graphlib import CycleError, TopologicalSorter
from typing import Final

from pausewright.pages.page import page_part

PACKAGE: Final = "pausewright.screen"
"""Where the modules, templates and style sheets lie."""

_IMPORT: Final = re.compile(r'^import \{([^{}]*)\} from "(\.{1,2}/[^"]+\.js)";\n', re.MULTILINE)
_EXPORT: Final = re.compile(
    r"^export (?=(?:async function|function|class|const) ([A-Za-z_]\w*))", re.MULTILINE
)
_LEFT: Final = re.compile(r"^(?:import|export)\b.*", re.MULTILINE)


class BundleError(Exception):
    """A module is not written as it must be; a fault of ours, not of a user."""


@cache
def bundle(entry: str) -> str:
    """Return one script in which a module and all that it imports run, in the order of need.

    Parameters
    ----------
    entry : the module's path in the package's folder, for example "room/room.js"

    Raises
    ------
    BundleError
        If an import or export is written in another way, a module imports what another does not
        export, or modules import each other in a circle.
    """
    texts = _texts(entry)
    needs = {path: [target for _, target in imports(path, text)] for path, text in texts.items()}
    try:
        order = list(TopologicalSorter(needs).static_order())
    except CycleError as error:
        raise BundleError(f"modules import each other: {' → '.join(error.args[1])}") from error
    exports = {path: exported(text) for path, text in texts.items()}
    for path, text in texts.items():
        for names, target in imports(path, text):
            if missing := set(names) - set(exports[target]):
                raise BundleError(f"{path} imports {', '.join(sorted(missing))} from {target}")
    return "\n".join(['"use strict";', *(_wrapped(path, texts[path]) for path in order)])


def imports(path: str, text: str) -> list[tuple[list[str], str]]:
    """Return what a module takes: names, and the path of the module that they come from."""
    folder = posixpath.dirname(path)
    return [
        (_names(names), posixpath.normpath(posixpath.join(folder, target)))
        for names, target in _IMPORT.findall(text)
    ]


def exported(text: str) -> list[str]:
    """Return the names that a module gives to others."""
    return _EXPORT.findall(text)


def _texts(entry: str) -> dict[str, str]:
    """Return the text of a module and of all that it needs, by path."""
    found: dict[str, str] = {}
    wanted = [entry]
    while wanted:
        path = wanted.pop()
        if path not in found:
            found[path] = page_part(PACKAGE, path)
            wanted += [target for _, target in imports(path, found[path])]
    return found


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.split(",") if name.strip()]


def _wrapped(path: str, text: str) -> str:
    """Return a module as a function that is called once and gives its exports."""
    taken = "".join(
        f"const {{{', '.join(names)}}} = {_variable(target)};\n"
        for names, target in imports(path, text)
    )
    body = _EXPORT.sub("", _IMPORT.sub("", text))
    if left := _LEFT.search(body):
        raise BundleError(f"{path}: this import or export cannot be read: {left.group()}")
    return (
        f"// ---- {path}\nconst {_variable(path)} = (() => {{\n{taken}{body.strip()}\n"
        f"return {{{', '.join(exported(text))}}};\n}})();"
    )


def _variable(path: str) -> str:
    return re.sub(r"\W", "_", path.removesuffix(".js"))
