"""The content mark: what it leaves out, and that nothing else is left out."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.content_mark import (
    UNSEALED,
    Heading,
    SoundMark,
    heading_of,
    seal_state,
    sealed,
    text_mark,
)
from support.rooms.layouts import OTHER_KEY, OTHER_SHEET, OTHER_WORDS, SCRIPT
from support.tracks.delivered_tests import built_test

if TYPE_CHECKING:
    from pathlib import Path

SHEET = "Lantern walk\nVersion B · edition 7KQ3MX\n\n1.  lanterns\ntrack walk_B_7KQ3MX.mp3\n"


@pytest.mark.parametrize(
    "other",
    [
        SHEET.replace("7KQ3MX", "Z2Z2Z2"),
        SHEET.replace("7KQ3MX\n\n", "7KQ3MX · 2026-11-29\n\n"),
        SHEET.replace("7KQ3MX", "Z2Z2Z2").replace("Z2Z2Z2\n\n", "Z2Z2Z2 · 2026-11-30\n\n"),
    ],
    ids=["edition", "date", "both"],
)
def test_edition_and_date_do_not_count(other: str) -> None:
    """A sheet of another edition or day that shows the same has the same mark."""
    assert other != SHEET
    assert text_mark(other) == text_mark(SHEET)


@pytest.mark.parametrize(
    "other",
    [
        SHEET.replace("lanterns", "lantern"),
        SHEET.replace("Version B", "Version C"),
        SHEET.replace("1.  ", "1. "),
        SHEET + "2026-11-29\n",
        SHEET + "See edition Z2Z2Z2.\n",
        SHEET.replace("Lantern walk", "Lantern walk 2026-11-29"),
        SHEET.replace("7KQ3MX\n\n", "7KQ3MX · 2026-11-29 and 2 more\n\n").replace(
            "2 more", "3 more"
        ),
    ],
)
def test_everything_else_counts(other: str) -> None:
    """Words, label, blanks, and dates and editions that are content."""
    assert text_mark(other) != text_mark(SHEET)


def test_a_text_without_a_heading_has_its_plain_hash() -> None:
    """Captions name no edition: the mark is the SHA-256 of `text`, a line end and the text."""
    text = "WEBVTT\n\n00:00.000 --> 00:01.000\nListen.\n"

    assert heading_of(text) is None
    assert text_mark(text) == hashlib.sha256(b"text\n" + text.encode()).hexdigest()
    assert heading_of(SHEET) == Heading("B", "7KQ3MX")


def test_a_seal_holds_for_the_very_bytes_alone() -> None:
    """Any sign that is changed, lost or added breaks it; a file without one says so."""
    pdf = sealed(b"%PDF one two <x>" + UNSEALED.encode() + b"</x> (" + UNSEALED.encode() + b") end")
    keywords = pdf.partition(b"<x>")[2][:69].decode()

    assert (len(pdf), seal_state(pdf, keywords)) == (pdf.rindex(b"end") + 3, "whole")
    assert UNSEALED.encode() not in pdf
    for at in range(len(pdf)):
        bent = pdf[:at] + bytes([pdf[at] ^ 1]) + pdf[at + 1 :]
        assert seal_state(bent, keywords) == "broken"
        assert seal_state(pdf[:at] + pdf[at + 1 :], keywords) == "broken"
    assert seal_state(pdf + b"\n", keywords) == "broken"
    assert seal_state(pdf, "mark:00") == "missing"


def test_a_sound_counts_its_samples_and_how_they_are_played() -> None:
    """Blocks may be cut anywhere; rate, channels and each sample count."""
    samples = np.arange(1000, dtype="<i2")

    def mark_of(rate_hz: int, channels: int, *blocks: np.ndarray) -> str:
        mark = SoundMark(rate_hz, channels)
        for block in blocks:
            mark.add(block.tobytes())
        return mark.mark()

    whole = mark_of(44_100, 1, samples)
    assert mark_of(44_100, 1, samples[:3], samples[3:]) == whole
    others = {
        mark_of(48_000, 1, samples),
        mark_of(44_100, 2, samples),
        mark_of(44_100, 1, samples[1:]),
    }
    assert len(others | {whole}) == 4


def marks_of(folder: Path, text: str) -> tuple[str, dict[str, str]]:
    """Return edition and content marks by kind and ending of a build."""
    folder.mkdir()
    built = built_test(folder, text, formats=("wav", "flac"))
    record = json.loads((built.folder / "confidential" / "build-record_A.json").read_text("utf-8"))
    return built.edition, {
        f"{one['kind']} {one['path'].rpartition('.')[2]}": one.get("content_mark", "")
        for one in record["files"]
    }


def test_marks_of_whole_builds_change_with_what_is_shown_or_said(tmp_path: Path) -> None:
    """Another key changes the edition and no mark; another sheet its own; other words the track's.

    One track has one mark in all its formats.
    """
    edition, marks = marks_of(tmp_path / "a", SCRIPT)
    assert marks["track wav"] == marks["track flac"] != ""
    assert {kind for kind, mark in marks.items() if not mark} == {
        "contents json", "full-transcript txt", "measured pdf", "packing-list json", "report html",
        "report json", "report txt", "room-screen html", "running-times json",
    }  # fmt: skip

    def changed(text: str) -> set[str]:
        other_edition, other = marks_of(tmp_path / str(len(text)), text)
        assert other_edition != edition
        return {kind.partition(" ")[0] for kind in marks if other[kind] != marks[kind]}

    assert changed(OTHER_KEY) == set()
    assert changed(OTHER_SHEET) == {"answer-sheet", "reader-copy"}
    assert {"track", "reader-screen"} <= changed(OTHER_WORDS) <= {
        "track", "reader-screen", "reader-copy", "interpreter-copy", "running-sheet", "captions",
        "transcript", "instructions", "instructions-paper",
    }  # fmt: skip
