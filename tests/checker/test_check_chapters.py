"""Chapters of a built track against its sound: good ones pass, and each damage is found."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING, TypeAlias

import pytest
from mutagen.id3 import ID3
from pausewright.checker.check import check_track
from pausewright.checker.files.tags import read_tags
from pausewright.deliver.project import open_project
from support.tracks.delivered_tests import built_test

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.deliver.project import Project

    Built: TypeAlias = tuple[Project, Path]


@pytest.fixture(scope="module")
def track(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a script and its MP3 and FLAC."""
    folder = tmp_path_factory.mktemp("track")
    built = built_test(folder, formats=("mp3", "flac"))
    mp3 = next(file for file in built.files if file.suffix == ".mp3")
    return open_project(folder / "morning.md"), mp3


def findings(track: Built, file: Path) -> list[str]:
    """Return severities and codes of findings about chapters."""
    result = check_track(file, track[0].worded, edition=None)
    return [f"{f.severity} {f.code}" for f in result.findings if f.code.startswith("chapter")]


def test_built_chapters_are_good(track: Built) -> None:
    """Every question has its chapter at its first sound, in both formats that hold chapters."""
    titles = [chapter.title for chapter in read_tags(track[1]).chapters]

    assert len([title for title in titles if title.endswith(("Question 1", "Question 2"))]) == 2
    assert findings(track, track[1]) == []
    assert findings(track, track[1].with_suffix(".flac")) == []


def _all_later(tags: ID3) -> None:
    for frame in tags.getall("CHAP"):
        frame.start_time += 1500
        frame.end_time += 1500


def _of(tags: ID3, name: str) -> str:
    return next(
        str(key) for key, frame in tags.items()
        if key.startswith("CHAP") and str(frame.sub_frames["TIT2"]).endswith(name)
    )  # fmt: skip


def _swap(tags: ID3) -> None:
    one, two = tags[_of(tags, "Question 1")], tags[_of(tags, "Question 2")]
    one.sub_frames, two.sub_frames = two.sub_frames, one.sub_frames


def _lose(tags: ID3) -> None:
    del tags[_of(tags, "Question 2")]


def _into_a_silence(tags: ID3) -> None:
    tags[_of(tags, "Stop 1")].start_time -= 300


def _into_a_sound(tags: ID3) -> None:
    tags[_of(tags, "Stop 1")].start_time += 150


@pytest.mark.parametrize(
    ("damage", "expected"),
    [
        pytest.param(_all_later, "error chapter-off", id="all-shifted"),
        pytest.param(_swap, "error chapter-off", id="two-titles-swapped"),
        pytest.param(_lose, "warning chapter-missing", id="one-lost"),
        pytest.param(_into_a_silence, "warning chapter-off", id="in-a-silence"),
        pytest.param(_into_a_sound, "error chapter-off", id="in-a-sound"),
    ],
)
def test_wrong_chapters_are_found(
    track: Built, tmp_path: Path, damage: Callable[[ID3], None], expected: str
) -> None:
    """Shifted, swapped and lost chapters are told."""
    file = tmp_path / "t.mp3"
    shutil.copy(track[1], file)
    tags = ID3(file)
    damage(tags)
    tags.save(file, v2_version=3)

    assert expected in findings(track, file)
