"""Where the files lie that come with a package: templates, word tables, profiles."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path


@cache
def package_folder(package: str) -> Path:
    """Return the folder of an installed package, by its full name.

    `importlib.resources` would do the same for packages in archives too; loading it costs every
    command a tenth of `import typer` (docs/decisions/dependencies.md).

    Raises
    ------
    ModuleNotFoundError
        If it is not installed.
    """
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise ModuleNotFoundError(f"there is no package {package}", name=package)
    return Path(spec.submodule_search_locations[0])
