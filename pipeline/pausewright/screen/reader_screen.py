"""The reader's screen: a page for a person who reads a test aloud, one sentence at a time.

It holds every word of the test and belongs to the staff alone, never into a room folder.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from pausewright.screen.reading_aloud import reading_lines
from pausewright.screen.screen_page import page_data, screen_page

if TYPE_CHECKING:
    from pausewright.plan.timeline import Timeline
    from pausewright.script.model import Script


def reader_screen(script: Script, timeline: Timeline, *, label: str, edition: str) -> str:
    """Return the page as HTML text, to be written in UTF-8 among the staff's papers.

    Parameters
    ----------
    timeline : of the track, whose silences the reader keeps
    label, edition : as on the other papers
    """
    lines = [
        [
            line.kind,
            line.text,
            line.printed,
            line.speaker,
            line.where,
            line.length_ms,
            line.start_ms,
            line.part,
        ]
        for line in reading_lines(script, timeline)
    ]
    identity = f"{label}/{edition}/{page_data({'lines': lines})}".encode()
    data = {
        "id": hashlib.sha256(identity).hexdigest()[:16],
        "name": f"reader_{label}_{edition}",
        "lines": lines,
    }
    return screen_page("reader", script, data, label=label, edition=edition)
