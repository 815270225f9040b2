"""Modules that are loaded when something of them is first used."""

from __future__ import annotations

from importlib import import_module


class Late:
    """Stands for a module of ours that takes time to load.

    A command imports the module for the type checker alone, and names it again for this class:
    tests/test_cli_commands.py holds the two together.
    """

    def __init__(self, module: str) -> None:
        """Take the module's full name."""
        self._module = module

    def __getattr__(self, name: str) -> object:
        """Return what the module holds under a name; load it if need be."""
        return getattr(import_module(self._module), name)
