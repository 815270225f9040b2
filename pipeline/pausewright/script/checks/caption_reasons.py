"""Captions of a few words: showing what a question says needs a reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.script.model import Script, Span
from pausewright.script.walk import all_inlines, proses

if TYPE_CHECKING:
    from pausewright.problems import Problems


def check(script: Script, problems: Problems) -> None:
    """Add an error for each span that shows everything and gives no reason."""
    if script.settings.captions_reason:
        return
    for _, _, block in script.blocks():
        for prose in proses(block):
            for node in all_inlines(prose.inlines):
                if (
                    isinstance(node, Span)
                    and node.captions == "everything"
                    and not node.captions_reason
                    and prose.captions != "everything"
                ):
                    problems.error(
                        node.place,
                        "captions that show everything need a reason",
                        'add captions-reason="…" here or in the settings: a test by ear that is '
                        "shown is another test",
                        code="captions-reason",
                    )
