"""The transcript for candidates as a page: to be read on a screen or printed.

It is made from the rows of the plain transcript, so no word is in one and not in the other; and
it stands alone: no script, no font, and a policy in its head that forbids all loading.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from pausewright.captions.shown_rows import Heading, shown_rows
from pausewright.pages import digest, environment, page_part

if TYPE_CHECKING:
    from pausewright.captions.shown_rows import Line
    from pausewright.plan.timeline import Timeline

_PACKAGE: Final = "pausewright.captions"


def transcript_page(
    timeline: Timeline, *, title: str, language: str, label: str, edition: str
) -> str:
    """Return the page as HTML text, to be written in UTF-8.

    Parameters
    ----------
    timeline : of the track
    title, language : of the test; words in other languages are marked
    label, edition : as on the other papers
    """
    style = page_part(_PACKAGE, "transcript_page.css")
    return environment(_PACKAGE).get_template("transcript_page.html").render(
        title=title, language=language, label=label, edition=edition, parts=_parts(timeline),
        style=style, style_hash=digest(style),
    )  # fmt: skip


def _parts(timeline: Timeline) -> list[tuple[str, list[Line]]]:
    """Return the lines under their headings; "" where there is none, empty parts as well."""
    parts: list[tuple[str, list[Line]]] = []
    for is_heading, rows in groupby(shown_rows(timeline), lambda row: isinstance(row, Heading)):
        if is_heading:
            parts += [(row.text, []) for row in rows]
        else:
            lines = [row for row in rows if not isinstance(row, Heading)]
            parts.append((parts.pop()[0] if parts else "", lines))
    return parts
