"""Imports of our own modules that load them when something of them is first used."""

from __future__ import annotations

import contextlib
import sys
from importlib.machinery import ModuleSpec, PathFinder
from importlib.util import LazyLoader
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from types import ModuleType


class _LateFinder:
    """Finds modules as Python does, and leaves ours unloaded."""

    @staticmethod
    def find_spec(
        name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        spec = PathFinder.find_spec(name, path, target)
        is_package = spec is not None and spec.submodule_search_locations is not None
        if spec is None or spec.loader is None or is_package:  # `from` looks into it
            return spec
        spec.loader = LazyLoader(spec.loader)
        return spec


@contextlib.contextmanager
def loaded_late() -> Iterator[None]:
    """Leave the modules that are imported inside unloaded until something of them is used.

    A command imports so what does its work: its help needs none of it. Modules are imported whole
    (`from pausewright.deliver import build`); the packages above them are loaded.
    """
    sys.meta_path.insert(0, _LateFinder)
    try:
        yield
    finally:
        sys.meta_path.remove(_LateFinder)
