"""Every command of the command line, with files that it can work on: for tests that watch it."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from support.places import DEMO

if TYPE_CHECKING:
    from pathlib import Path

SOUNDS: Final = DEMO / "audio"

SCRIPT: Final = """---
title: Lock keeper
language: en-GB
voice: iris
accept-voice-language: made for tests
captions: instructions
lexicon: names.yaml
---

# Opening

A bell rings.

![A bell](bell.wav)

# Test

Write down each sum. Mr Quellenby listens. {voice="joe"}

1. What is 9 times 8? {key="72" answer-time="4 s"}

::: stop {for="12 s"}
Ask now.
:::

2. How many locks are on the long canal? {key="30" answer-time="4 s"}

The test is over.
"""
LEXICON: Final = "language: en-GB\nwords:\n  Quellenby: kwellen bee\n"
ARRANGEMENTS: Final = """\
standard: {label: A}
slower: {label: B, pace: 80 %, readings: 2, basis: file 1}
"""
NEEDS: Final = (
    "candidate,arrangement,room,headphones\n1001,standard,Hall,no\n1002,slower,Annex,yes\n"
)
FROM_PYTHON: Final = """\
import pausewright
from pathlib import Path
from pausewright.deliver.build import Options
from pausewright.deliver.build import build_versions
build_versions(Path("lock.md"), Options(Path("by-python")), ["A"])
"""
"""A build as in a notebook."""


@dataclass(frozen=True, slots=True)
class Case:
    """One call and what must come of it."""

    arguments: str
    """Of `pausewright`, {A} and {B} for the tracks without their ends; "code": `FROM_PYTHON`."""
    exit_code: int = 0
    how: str = "command"
    """As tests/support/processes/held_open.py takes it."""
    stdin: str = ""
    needs_ear: bool = False

    @property
    def command(self) -> str:
        """Name of the command."""
        return self.arguments.split()[0]

    def words(self, folder: Path) -> list[str]:
        """Return the arguments for the files that were built in a folder."""
        if self.how == "code":
            return [FROM_PYTHON]
        names = {one: _track(folder, one) for one in "AB"}
        return [word.format(**names) for word in self.arguments.split()]


def _track(folder: Path, label: str) -> str:
    found = sorted((folder / "out" / "lock" / f"version-{label}").glob("*_room-screen.html"))
    return str(found[0]).removesuffix("_room-screen.html") if found else ""


BUILD: Final = Case(
    "build lock.md --format mp3,wav,flac --video burned-in,switchable --screen inline "
    "--split-at-stops"
)
"""Comes first: others need what it writes."""
OTHERS: Final = (
    Case("--help"),
    Case("--version"),
    Case("desk --launcher"),
    Case("new fresh.md"),
    Case("draft bell.wav --text words.txt -o drafted.md", 2),
    Case("schemas schemas"),
    Case("outline lock.md"),
    Case("outline lock.md --arrangement slower --json"),
    Case("outline lock.md --watch", 130, "stopped"),
    Case("tidy lock.md"),
    Case("tidy untidy.md --check", 1),
    Case("build lock.md --out again --arrangement slower --workers 1"),
    Case("build refused.md", 2),
    Case("code", how="code"),
    Case("season . --list length", 2),
    Case("papers lock.md --out before --mark-scheme"),
    Case("papers lock.md --copy-templates templates"),
    Case("compare lock.md --html compared.html"),
    Case("differs out/lock lock.md"),
    Case("differs lock.md lock.md --shape --json"),
    Case("retime {A}.vtt lock.md --arrangement slower --out slower.vtt"),
    Case("where lock.md 0:04 --version B --sheet incident.pdf"),
    Case("needs NEEDS.csv lock.md --start 09:30"),
    Case("heard lock.md"),
    Case("excerpt lock.md --questions 2 --version B --as excerpt.flac"),
    Case("check {A}.mp3 --script lock.md --html checked.html"),
    Case("check {A}.mp3 --script lock.md --recognise", needs_ear=True),
    Case("check out/lock/version-A --blind --json"),
    Case("check playlist.mp3 --script lock.md", 2),
    Case("check {A}_burned-in.mp4 --script lock.md"),
    Case("check {B}.flac --script lock.md --standard {A}.flac"),
    Case("voices --script lock.md"),
    Case("voices --hear iris --out heard.wav"),
    Case("hear lock.md 2 --out question.wav"),
    Case("hear lock.md line:18 --arrangement slower --try Quellenby=quell --out line.wav --quiet"),
    Case("wording lock.md --all"),
    Case("wording - --language en-GB", stdin="3/4 of 12 is 9.\n"),
    Case("wording lock.md --recognise", needs_ear=True),
    Case("forget lock.md", 2),
)
"""May run side by side."""
LATER: Final = (
    Case("pack rooms/hall --as hall.zip"),
    Case("check hall.zip --script lock.md"),
    Case("sign lock.md --as Quill --for timing --out again"),
)
"""Work on what those wrote, one after the other."""
FORGET: Final = Case("forget lock.md --yes")
"""Comes last: it takes away what others use."""
ALL: Final = (BUILD, *OTHERS, *LATER, FORGET)


def lay_out(folder: Path) -> None:
    """Write what the cases work on into a folder; nothing of it is outside."""
    (folder / "schemas").mkdir(parents=True)
    for name, text in {
        "lock.md": SCRIPT,
        "refused.md": SCRIPT.replace("language: en-GB", "language: en-GB\nno-such: 1"),
        "untidy.md": SCRIPT.replace("# Test", "#   Test"),
        "names.yaml": LEXICON,
        "words.txt": "".join(f"{n}. Spell harbour and ferry.\n" for n in range(1, 13)),
        "lock.arrangements.yaml": ARRANGEMENTS,
        "NEEDS.csv": NEEDS,
        "playlist.mp3": "#EXTM3U\n#EXTINF:4,\nhttp://127.0.0.1:9/a.mp3\n#EXT-X-ENDLIST\n",
    }.items():
        (folder / name).write_text(text, encoding="utf-8")
    shutil.copyfile(SOUNDS / "station-bell.wav", folder / "bell.wav")
