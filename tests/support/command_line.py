"""The type of the `run` fixture: runs a command and gives exit code, output and messages."""

from collections.abc import Callable

Run = Callable[..., tuple[int, str, str]]
