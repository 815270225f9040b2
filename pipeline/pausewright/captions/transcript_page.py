"""The transcript for candidates as a page: to be read on a screen or printed.

It is made from the rows of the plain transcript, so no word is in one and not in the other; and
it stands alone: no script, no font, and a policy in its head that forbids all loading.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib import resources
from itertools import groupby
from typing import TYPE_CHECKING

from pausewright.captions.shown_rows import Heading, shown_rows

if TYPE_CHECKING:
    from jinja2 import Template

    from pausewright.captions.shown_rows import Line
    from pausewright.plan.timeline import Timeline


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
    template, style = _template()
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return template.render(
        title=title, language=language, label=label, edition=edition, parts=_parts(timeline),
        style=style, style_hash=digest,
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


@cache
def _template() -> tuple[Template, str]:
    """Return the template and the style sheet."""
    import jinja2  # noqa: PLC0415  loaded when a page is made

    folder = resources.files("pausewright.captions")
    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    text = folder.joinpath("transcript_page.html").read_text(encoding="utf-8")
    style = folder.joinpath("transcript_page.css").read_text(encoding="utf-8")
    return environment.from_string(text), style
