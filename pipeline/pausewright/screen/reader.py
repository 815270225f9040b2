"""The reader's screen: a page for a person who reads a test aloud, one sentence at a time.

It holds every word of the test and belongs to the staff alone, never into a room folder.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from pausewright.pages import digest, environment
from pausewright.screen.island import PACKAGE, json_island, part
from pausewright.screen.reading_aloud import reading_lines

if TYPE_CHECKING:
    from pausewright.plan.timeline import Timeline
    from pausewright.script.model import Script


def reader_page(script: Script, timeline: Timeline, *, label: str, edition: str) -> str:
    """Return the page as HTML text, to be written in UTF-8 among the staff's papers.

    Parameters
    ----------
    timeline : of the track, whose silences the reader keeps
    label, edition : as on the other papers
    """
    settings = script.settings
    lines = [
        [line.kind, line.text, line.printed, line.speaker, line.where, line.length_ms]
        for line in reading_lines(script, timeline)
    ]
    island = json_island({"lines": lines})
    identity = f"{label}/{edition}/{island}".encode()
    style = part("page.css", "reader.css")
    code = part("keep.js", "look.js", "log.js", "reader.js")
    return environment(PACKAGE).get_template("reader.html").render(
        title=settings.title,
        language=settings.language,
        label=label,
        edition=edition,
        data=json_island({"lines": lines, "id": hashlib.sha256(identity).hexdigest()[:16]}),
        style=style,
        style_hash=digest(style),
        code=code,
        code_hash=digest(code),
    )  # fmt: skip
