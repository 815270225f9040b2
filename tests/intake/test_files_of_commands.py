"""Every command that takes a file, and every file that a script names: nothing hangs or swells.

Each place is given what is no plain file. In the long set the same runs in processes of their own,
whose memory is measured.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from support.damage.bad_files import BAD_FILES, OUTSIDE

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run

pytestmark = [
    pytest.mark.timeout(60),
    pytest.mark.skipif(sys.platform == "win32", reason="pipes and links of POSIX"),
]
LIMIT_S = 10
MOST_KIB = 500 * 1024
SCRIPT = """---
title: Harbour
language: en-GB
voice: own
lexicon: words.lexicon.yaml
---

# Test {answer-time="2 s"}

[More](more.md){.include}

![A bell](bell.wav){words="bell.txt"}

![A horn](horn.wav){words="horn.vtt"}

1. How many? {key="two"}

    ::: sheet
    ![A boat](boat.svg)
    :::

Stop writing.
"""
PLACES = {
    "script": ("t.md", "outline t.md", False),
    "script tidy": ("t.md", "tidy t.md --check", False),
    "script wording": ("t.md", "wording t.md", False),
    "script build": ("t.md", "build t.md", False),
    "script papers": ("t.md", "papers t.md", False),
    "picture": ("boat.svg", "papers t.md", True),
    "script compare": ("t.md", "compare t.md", False),
    "script needs": ("t.md", "needs needs.csv t.md", False),
    "script retime": ("t.md", "retime c.vtt t.md --arrangement A", False),
    "script check": ("t.md", "check t.wav --script t.md", False),
    "include": ("more.md", "outline t.md", True),
    "lexicon": ("words.lexicon.yaml", "outline t.md", True),
    "words": ("bell.txt", "outline t.md", True),
    "captions of a sound": ("horn.vtt", "outline t.md", True),
    "sound": ("bell.wav", "outline t.md", True),
    "arrangements": ("t.arrangements.yaml", "outline t.md", True),
    "voice profile": ("own.voice.yaml", "voices --script t.md", True),
    "list of recordings": ("own.recordings.yaml", "build t.md", True),
    "captions": ("c.vtt", "retime c.vtt t.md --arrangement A", False),
    "needs list": ("needs.csv", "needs needs.csv t.md", False),
    "track": ("t.wav", "check t.wav --script t.md", False),
    "MP3": ("t.mp3", "check t.mp3 --script t.md", False),
    "M4A": ("t.m4a", "check t.m4a --script t.md", False),
    "standard track": ("s.wav", "check t.wav --script t.md --standard s.wav", False),
    "captions of a track": ("x.srt", "check t.wav --script t.md --captions x.srt", False),
    "record": ("r.json", "check room --record r.json", False),
    "report": ("r.html", "check t.wav --script t.md --html r.html", False),
}  # fmt: skip
"""File, command, and whether a file names it (then links must stay inside)."""
MAY_BE_MISSING = {"arrangements", "voice profile", "list of recordings", "report", "lexicon"}
"""Missing or a folder, or a link to nothing, they are simply not there, or told in other words."""
WITH_ALL = {"script", "include", "sound", "track", "MP3", "captions", "needs list"}
"""Places that get each kind of bad file in the ordinary tests; the others get two."""
IN_OTHER_WORDS = {
    ("script build", "folder"): "no script lies in the folder",
    ("include", "device"): "lies outside the script's folder",
    ("track", "folder"): "holds no track",
    ("MP3", "folder"): "holds no track",
    ("M4A", "folder"): "holds no track",
    ("report", ""): "is there, is no report of a check",
}
"""What is said of a place and a kind ("": of all kinds) in words of its own."""
ONLY_IF_PLAIN = {"list of recordings"}
"""What is no plain file is told as one that is not there."""


def laid_out(folder: Path) -> None:
    """Write a script with everything that it names, a short track and a room folder."""
    texts = {
        "t.md": SCRIPT,
        "more.md": "Listen well.\n",
        "words.lexicon.yaml": "words:\n  quay: key\n",
        "bell.txt": "A bell.\n",
        "horn.vtt": "WEBVTT\n\n00:00.100 --> 00:00.900\nA horn.\n",
        "own.voice.yaml": (
            "engine: recorded\nlanguage: en-GB\nlicence: none\norigin: noise\n"
            "model: own.recordings.yaml\n"
        ),
        "own.recordings.yaml": (
            "Listen well.: said.wav\nHow many?: said.wav\nStop writing.: said.wav\n"
        ),
        "boat.svg": '<svg xmlns="http://www.w3.org/2000/svg"/>\n',
        "needs.csv": "candidate,arrangement,room\n1001,standard,Hall\n",
        "c.vtt": "WEBVTT\n\n00:00.100 --> 00:00.900\nA horn.\n",
        "x.srt": "1\n00:00:00,100 --> 00:00:00,900\nA horn.\n",
        "r.json": "{}",
    }
    (folder / "room").mkdir(parents=True)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    noise = 0.1 * np.random.default_rng(1).standard_normal(16_000)
    for name in ("bell.wav", "horn.wav", "said.wav", "t.wav", "s.wav", "room/t.wav"):
        soundfile.write(folder / name, noise, 16_000)


def spoiled(folder: Path, place: str, name: str) -> list[str]:
    """Put a bad file into a place; return the arguments of the command that reads it."""
    laid_out(folder)
    file = folder / PLACES[place][0]
    file.unlink(missing_ok=True)
    (OUTSIDE if name == "outside" else BAD_FILES[name]).make(file)
    return PLACES[place][1].split()


def expected(place: str, name: str) -> str:
    """Return what must be said."""
    bad = BAD_FILES[name]
    if place in MAY_BE_MISSING and name in {"nothing", "folder", "dangling"}:
        return ""
    if place in ONLY_IF_PLAIN and name != "huge":
        return "is not there"
    own = IN_OTHER_WORDS.get((place, name)) or IN_OTHER_WORDS.get((place, ""))
    if own:
        return own
    return (bad.said_inside if PLACES[place][2] else "") or bad.said


ORDINARY = [
    (place, name)
    for place in PLACES
    for name in BAD_FILES
    if place in WITH_ALL or name == "pipe" or (name == "device" and not place.startswith("script "))
]
LONGER = [(place, name) for place in PLACES for name in BAD_FILES if (place, name) not in ORDINARY]


@pytest.mark.parametrize(
    ("place", "name"), [*ORDINARY, *(pytest.param(*two, marks=pytest.mark.long) for two in LONGER)]
)
def test_no_file_hangs_a_command(run: Run, tmp_path: Path, place: str, name: str) -> None:
    """Exit code 2 and a sentence with its hint, within 10 s and without room for the file."""
    arguments = spoiled(tmp_path / "in", place, name)
    os.chdir(tmp_path / "in")
    before_kib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    cpu_s = sum(os.times()[:2])

    code, out, err = run(*arguments)

    said = expected(place, name)
    if said:
        assert (code, said in err) == (2, True), err
        assert "hint: " in err
    assert "Traceback" not in out + err
    assert "SECRET" not in out + err
    assert sum(os.times()[:2]) - cpu_s < LIMIT_S
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kib < MOST_KIB


@pytest.mark.parametrize("place", [place for place, (*_, named) in PLACES.items() if named])
def test_a_link_out_of_the_folder_is_refused(run: Run, tmp_path: Path, place: str) -> None:
    """What a script names must lie in its folder; not a line of what lies elsewhere is shown."""
    arguments = spoiled(tmp_path / "in", place, "outside")
    os.chdir(tmp_path / "in")

    code, out, err = run(*arguments)

    assert code == 2
    assert "out of the folder" in err or "outside the script's folder" in err
    assert "SECRET" not in out + err


def test_the_place_and_a_caret(run: Run, tmp_path: Path) -> None:
    """A sound that is a pipe is told at the line that names it, underlined."""
    arguments = spoiled(tmp_path / "in", "sound", "pipe")
    os.chdir(tmp_path / "in")

    _, _, err = run(*arguments)

    assert "t.md:12:1: error: the sound file ‘bell.wav’ is a pipe, not a file" in err
    assert "\n    ^^^^^" in err


def test_the_good_files_are_read(run: Run, tmp_path: Path) -> None:
    """Nothing is refused of what the other tests put in place of one another."""
    laid_out(tmp_path / "in")
    os.chdir(tmp_path / "in")

    assert run("outline", "t.md")[0] == 0
    code, _, err = run("check", "t.wav", "--script", "t.md", "--captions", "x.srt")
    assert (code, err) == (1, err)


@pytest.mark.long
@pytest.mark.parametrize("name", BAD_FILES)
@pytest.mark.parametrize("place", PLACES)
def test_memory_of_a_process(tmp_path: Path, place: str, name: str) -> None:
    """In a process of its own: within 10 s, and 500 MB above what `--help` takes."""
    arguments = spoiled(tmp_path / "in", place, name)
    (tmp_path / "plain").mkdir()

    plain_kib, _ = _peak_kib(["--help"], tmp_path / "plain")
    peak_kib, code = _peak_kib(arguments, tmp_path / "in")

    assert code in {1, 2} or name in {"nothing", "folder", "dangling"}
    assert peak_kib - plain_kib < MOST_KIB


def _peak_kib(arguments: list[str], folder: Path) -> tuple[int, int]:
    """Return the most memory that a command took, and its exit code."""
    code = (
        "import resource, subprocess, sys\n"
        "done = subprocess.run([sys.executable, '-m', 'pausewright', *sys.argv[1:]],"
        f" capture_output=True, timeout={LIMIT_S * 3})\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss, done.returncode,"
        " b'Traceback' in done.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=folder, capture_output=True, text=True, check=True, timeout=LIMIT_S * 4,
    )  # fmt: skip
    peak_kib, exit_code, has_traceback = done.stdout.split()
    assert has_traceback == "False"
    return int(peak_kib), int(exit_code)
