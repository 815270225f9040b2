"""Words that would tell a candidate's need where the room can read them.

Titles of the test, its parts and groups stand in file names, tags, chapters and on papers. The
list is ours (common practice, no source); it can only warn.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pausewright.problems import Place, Problems
    from pausewright.script.model import Script

_NEED: Final = re.compile(
    r"\b(?:extra[- ]time|extended[- ]time|access arrangements?|special (?:needs|arrangements?)|"
    r"sen|send|dyslexi\w*|dyscalculi\w*|deaf\w*|hearing[- ]impair\w*|blind|visually impaired|"
    r"autis\w*|adhd|rest[- ]breaks?|\d+ ?% (?:extra|more))\b|\+ ?\d+ ?%",
    re.IGNORECASE,
)


def check_needs(script: Script, problems: Problems) -> None:
    """Warn about a title, part or group that is named like a need."""
    settings = script.settings
    titled: list[tuple[str, Place | None]] = [(settings.title, settings.places.get("title"))]
    for part in script.parts:
        titled.append((part.title, part.place))
        titled += [(group.title, group.place) for group in part.groups]
    for title, place in titled:
        found = _NEED.search(title)
        if found and place is not None:
            message = f"‘{found[0]}’ would tell a candidate's need to everyone in the room"
            hint = "name it by its content; the need belongs in the arrangement's basis"
            problems.warn(place, message, hint, code="name-tells-need")
