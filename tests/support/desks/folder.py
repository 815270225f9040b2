"""A folder of tests for a desk: good ones, a hostile one, one with problems, something outside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pausewright.desk.shelf import Shelf

if TYPE_CHECKING:
    import subprocess
    from pathlib import Path

    from support.desks.client import Client

HOSTILE = "<img src=x onerror=alert(1)><script>alert(2)</script>"
"""In every field that a page may show."""
SECRET = "outside-and-not-to-be-read"  # noqa: S105  a word to look for
GOOD = """---
title: Tide table
language: en-GB
voice: iris
accept-voice-language: made for tests
announce: "Question {number}."
arrangements:
  standard: {label: A}
  slower: {label: B, pace: 80 %, basis: file 1}
---

# Test

1. What is 7 times 8? {key="56" answer-time="4 s"}
2. What is 9 times 3? {key="27" answer-time="4 s"}

The test is over.
"""


@dataclass(frozen=True)
class Place:
    """A desk that is open."""

    folder: Path
    process: subprocess.Popen[bytes]
    client: Client

    def id_of(self, name: str) -> str:
        """Return the id of a test by its file's name."""
        return next(one.id for one in Shelf(self.folder).tests() if one.script.name == name)


def lay_out(folder: Path) -> None:
    """Write the tests, and a file outside of the folder to which a link leads."""
    (folder / "tide.md").write_text(GOOD, encoding="utf-8")
    hostile = GOOD.replace("Tide table", f"'{HOSTILE}'").replace("56", HOSTILE)
    hostile = hostile.replace("slower:", f"'{HOSTILE}':").replace("file 1", f"'{HOSTILE}'")
    hostile = hostile.replace("The test is over.", f'[over]{{say="{HOSTILE}"}}\n\n{HOSTILE}')
    (folder / "hostile.md").write_text(hostile, encoding="utf-8")
    (folder / "<b>bold.md").write_text(GOOD.replace("title:", "no-such: 1\ntitle:"), "utf-8")
    outside = folder.parent / "outside.md"
    outside.write_text(GOOD.replace("Tide table", SECRET), encoding="utf-8")
    (folder / "link.md").symlink_to(outside)
    (folder / "track.mp3").symlink_to(outside)
