"""A paper for staff on its way to PDF: template, data, look, and what it prints of the script."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.papers.answer_sheet import templates_for
from pausewright.papers.typeset.paper_frame import Frame, Look
from pausewright.papers.typeset.typst_compiler import Sources, compile_paper
from pausewright.problems import Place

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.script.model import Script

STAFF_LANGUAGE: Final = "en-GB"
"""Of the words that a paper for staff adds to those of the test."""


@frozen
class StaffPaper:
    """A paper that is still to be compiled."""

    template: str
    paper: str
    """What it is, in words."""
    data: Mapping[str, object]
    look: Look
    language: str = STAFF_LANGUAGE
    texts: Sequence[tuple[str, Place]] = field(default_factory=tuple)
    """What it prints of the script, with its places."""

    def compiled(
        self, script: Script, label: str, edition: str, signed: frozenset[str] | None = None
    ) -> Paper:
        """Return it as PDF; `signed` has the marks of papers that are no drafts, if that is said.

        Raises
        ------
        ScriptError
            If something in it cannot be set, with its place.
        """
        title, start = script.settings.title, Place(script.path, 1, 1)
        frame = Frame(title, self.paper, label, edition, self.language, self.look, signed=signed)
        texts = ((title, script.settings.places.get("title", start)), *self.texts)
        return compile_paper(
            self.template,
            frame,
            self.data,
            Sources(start, texts=texts),
            templates=templates_for(script),
        )
