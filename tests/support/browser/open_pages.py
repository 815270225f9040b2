"""A room screen whose inner parts a test can reach: the same page with one name given away.

The page keeps all of its code in functions of their own. A copy says `globalThis.room = room`, and
its policy allows that script by its hash; nothing else of it is changed.
"""

from __future__ import annotations

import re
import shutil
from typing import TYPE_CHECKING

from pausewright.pages.page import digest

if TYPE_CHECKING:
    from pathlib import Path

_MADE = "const room = new Room(data);\n"


def with_room(page: Path, folder: Path) -> Path:
    """Copy the folder of a room screen and return the copy's page, in which `room` is global."""
    shutil.copytree(page.parent, folder)
    copy = folder / page.name
    text = copy.read_text("utf-8")
    (code,) = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    assert code.count(_MADE) == 1
    changed = code.replace(_MADE, f"{_MADE}globalThis.room = room;\n")
    text = text.replace(code, changed).replace(digest(code), digest(changed))
    copy.write_text(text, encoding="utf-8")
    return copy
