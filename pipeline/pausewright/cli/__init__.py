"""The command line: reads arguments, calls what does the work, prints, chooses the exit code.

The only package that prints. What takes time to load is loaded by the command that needs it, so
that `pausewright --help` answers at once.
"""

from pausewright.cli.program import app, main

__all__ = ["app", "main"]
