"""What is read but not yet built: a clear problem, never silence and never speech."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.script.model import Script, Span
from pausewright.script.walk import all_inlines, proses

if TYPE_CHECKING:
    from pausewright.problems import Problems


def check(script: Script, problems: Problems) -> None:
    """Add an error for each construct that cannot be built."""
    for _, _, block in script.blocks():
        for prose in proses(block):
            for node in all_inlines(prose.inlines):
                if isinstance(node, Span) and node.captions is not None:
                    problems.error(
                        node.place, "captions of a few words cannot be built yet",
                        "put ‘captions’ on the question, its group or its part", code="not-built",
                    )  # fmt: skip
