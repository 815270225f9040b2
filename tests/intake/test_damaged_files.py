"""Thousands of damaged files of each kind: read, or refused in one sentence; never anything else.

Tags, captions, lists and records go through the functions that the commands call for them. Each
case has a second of processor time, and all of them together no more memory than one file needs.
"""

from __future__ import annotations

import json
import random
import resource
import time
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pytest
import soundfile
from pausewright.arrange.arrangement import Arrangement
from pausewright.checker.files.by_av import caption_samples, listed_chapters
from pausewright.checker.files.decode import SoundReader, TrackReader
from pausewright.checker.files.packing import read_build_record, read_packing_list
from pausewright.checker.files.tags import read_tags
from pausewright.checker.shown.caption_readers import read_captions
from pausewright.checker.shown.shown_elsewhere import read_page
from pausewright.deliver.needs_list import read_needs
from pausewright.problems import PausewrightError, Problems
from pausewright.records.record_files import read_record
from pausewright.script.recordings.caption_files import read_caption_file
from pausewright.sound.sound_reader import read_sound
from support.amounts import cases
from support.damage.file_damage import damaged, damaged_json
from support.tracks.tag_samples import HONEST

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

pytestmark = pytest.mark.timeout(3000)
MOST_CASE_S = 2.0
MOST_KIB = 500 * 1024
SHA = "0f" * 32
PACKING_LIST = json.dumps(
    {
        "packing_list": 1, "version_label": "A", "edition": "7KQ3MX",
        "track": {"rate_hz": 44100, "n_samples": 441000, "length_s": "10"},
        "files": [
            {"name": "version-A/a.mp3", "n_bytes": 12, "sha256": SHA},
            {"name": "a.vtt", "n_bytes": 7, "sha256": SHA},
        ],
    }
).encode()  # fmt: skip
RECORD = json.dumps(
    {
        "record_format": 1, "title": "Harbour", "edition": "7KQ3MX", "version_label": "A",
        "arrangement": "standard", "build_key": SHA,
        "track": {"rate_hz": 44100, "channels": 1, "n_samples": 441000, "length_s": "10"},
        "files": [
            {"path": "version-A/a.mp3", "kind": "track", "n_bytes": 12, "sha256": SHA},
            {"path": "print/a.html", "kind": "paper", "n_bytes": 7, "sha256": SHA},
        ],
    }
).encode()  # fmt: skip
WEBVTT = (
    b"WEBVTT Harbour\n\nSTYLE\n::cue { color: white }\n\nNOTE made by hand\n\n"
    b"1\n00:00:01.000 --> 00:00:02.500 line:80% align:center\n"
    b"<v Ann>How <i>many</i> &amp; why?</v>\n\n"
    b"two\n00:03.000 --> 00:04.000\n<00:00:03.500>Two,\nthree.\n"
)
SRT = (
    b"1\n00:00:01,000 --> 00:00:02,500\n<i>How</i> many?\n\n"
    b"2\n00:00:03,000 --> 00:00:04,000\nTwo.\n"
)
NEEDS = (
    b"candidate,arrangement,room,headphones\n1001,standard,Hall,yes\n1002,quarter,Room 4,no\n"
    b'"1003",B,"Room ""4""",\n'
)
PAGE = (
    b'<html><script type="application/json" id="data">'
    b'{"cues": [[1000, 2000, ["One", "two"]], [3000, 4000, ["Three"]]]}</script></html>'
)
DECLARED = (Arrangement("standard", "A", None), Arrangement("quarter", "B", None))


class Kind(NamedTuple):
    """A kind of file: what is damaged, how, and who reads it."""

    file: str
    good: bytes
    damage: Callable[[bytes, random.Random], bytes]
    readers: tuple[Callable[[Path], object], ...]
    n_cases: tuple[int, int]
    """In the ordinary tests, and in the long set."""


def as_text(good: bytes, dice: random.Random) -> bytes:
    """Damage a text."""
    return damaged(good, dice, is_text=True)


def supplied(path: Path) -> object:
    """Read captions as an author's."""
    return read_caption_file(path, Problems(), path.parent)


def needs(path: Path) -> object:
    """Read a list of needs."""
    return read_needs(path, DECLARED)


KINDS = {
    "WebVTT": Kind("a.vtt", WEBVTT, as_text, (read_captions, supplied), (1200, 15_000)),
    "SRT": Kind("a.srt", SRT, as_text, (read_captions, supplied), (800, 10_000)),
    "packing list": Kind("a.json", PACKING_LIST, damaged_json, (read_packing_list,), (800, 9000)),
    "record": Kind("a.json", RECORD, damaged_json, (read_build_record, read_record), (800, 9000)),
    "needs list": Kind("a.csv", NEEDS, as_text, (needs,), (800, 10_000)),
    "room screen": Kind("a.html", PAGE, as_text, (read_page,), (500, 6000)),
    **{name: Kind(name, good, damaged, (read_tags,), (500, 6000)) for name, good in HONEST.items()},
}


def judged(kind: Kind, folder: Path, n_cases: int) -> list[str]:
    """Read damaged files; return what came of it that should not."""
    dice = random.Random(f"{kind.file} {n_cases}")  # noqa: S311  no secret
    path = folder / kind.file
    wrong = []
    n_read = 0
    for case in range(n_cases):
        raw = kind.damage(kind.good, dice)
        path.write_bytes(raw)
        started_s = time.process_time()
        for read in kind.readers:
            try:
                read(path)
                n_read += 1
            except PausewrightError as refused:
                if not refused.message or "\n" in refused.message:
                    wrong.append(f"case {case}: message {refused.message!r}")
            except Exception as error:  # noqa: BLE001  a traceback is what is looked for
                wrong.append(f"case {case}: {type(error).__name__}: {error} on {raw[:300]!r}")
        took_s = time.process_time() - started_s
        if took_s > MOST_CASE_S:
            wrong.append(f"case {case}: {took_s:.1f} s on {raw[:300]!r}")
    if n_read == 0:
        wrong.append("every file was refused: nothing was tried")
    return wrong[:5]


@pytest.mark.parametrize("name", KINDS)
def test_damage_is_read_or_refused(tmp_path: Path, name: str) -> None:
    """0 tracebacks, 0 over time, 0 over memory."""
    kind = KINDS[name]
    before_kib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

    assert judged(kind, tmp_path, cases(*kind.n_cases)) == []

    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kib < MOST_KIB


def test_a_page_that_opens_its_data_without_end(tmp_path: Path) -> None:
    """Two million starts of what a page holds, and no end: looked through once."""
    path = tmp_path / "a.html"
    path.write_bytes(b'<script type="application/json" id="data">' * 2_000_000)
    started_s = time.process_time()

    assert [fault.line for fault in read_page(path).faults] == [1]

    assert time.process_time() - started_s < MOST_CASE_S


def track(path: Path) -> object:
    """Decode a track to its end as the check does, with both decoders' views of what is beside."""
    with TrackReader(path) as reader:
        n_frames = sum(len(block) for block in reader.blocks())
    return n_frames, caption_samples(path), listed_chapters(path)


def sound(path: Path) -> object:
    """Decode a sound that a script names, as the check does."""
    with SoundReader(path, path.parent) as reader:
        return sum(len(block) for block in reader.blocks())


def builders_sound(path: Path) -> object:
    """Decode a sound that a script names, as the builder does."""
    return read_sound(path, inside=path.parent)


@pytest.mark.parametrize("file", ["a.wav", "a.flac", "a.ogg", "a.mp3", "a.m4a"])
def test_damaged_sound_is_decoded_or_refused(tmp_path: Path, file: str) -> None:
    """The decoders get damaged heads and bodies of sounds; an MP4 is that of the tags."""
    good = HONEST["tags.m4a"]
    if not file.endswith(".m4a"):
        noise = 0.1 * np.random.default_rng(1).standard_normal(4000)
        soundfile.write(tmp_path / file, noise, 8000)
        good = (tmp_path / file).read_bytes()
    kind = Kind(file, good, damaged, (track, sound, builders_sound), (60, 2000))
    before_kib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

    wrong = judged(kind, tmp_path, cases(*kind.n_cases))

    assert [one for one in wrong if not one.startswith("every file") or file != "a.m4a"] == []
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kib < MOST_KIB
