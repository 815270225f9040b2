"""Tags: read back by other programs, without a touch on the audio."""

from __future__ import annotations

import re
import subprocess
from typing import TYPE_CHECKING

import imageio_ffmpeg
import numpy as np
import pytest
import soundfile
from mutagen.flac import FLAC
from mutagen.id3 import ID3
from pausewright.problems import OutputError
from pausewright.sound.chapter_marks import Chapter
from pausewright.sound.track_files import write_track
from pausewright.sound.track_tags import Tags, write_tags
from support.tracks.sound_samples import RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from pausewright.sound.take import Pcm
    from pausewright.sound.track_files import Format

HOSTILE = ["Part ‘Road’", "Question 1; a=b # \\ end", "שאלה 2", "C", "Stop: é́ --> <x>"]


def some_chapters(titles: Iterable[str]) -> tuple[Chapter, ...]:
    """Return chapters of 100 ms and a bit each."""
    return tuple(
        Chapter(number * 101, (number + 1) * 101, title) for number, title in enumerate(titles)
    )


def tagged(tmp_path: Path, form: Format, tags: Tags | None) -> tuple[Path, Pcm]:
    """Write half a minute of noise with tags and return its path."""
    random = np.random.default_rng(3)
    blocks = [random.integers(-5000, 5000, (30_000, 1), np.int16) for _ in range(8)]
    path = tmp_path / f"t.{form}"
    write_track(blocks, path, format=form, rate_hz=RATE_HZ, channels=1, tags=tags)
    return path, np.concatenate(blocks)


def ffmpeg_chapters(path: Path) -> list[tuple[int, int, str]]:
    """Return start and end in ms and title of each chapter, as ffmpeg prints them."""
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-i", str(path)]
    log = subprocess.run(command, capture_output=True, check=False).stderr.decode("utf-8")
    found = re.findall(
        r"Chapter #0:\d+: start (\S+), end (\S+)\n\s*Metadata:\n\s*title +: (.*)\n", log
    )
    return [
        (int(start.replace(".", "")) // 1000, int(end.replace(".", "")) // 1000, title)
        for start, end, title in found
    ]


def test_ffmpeg_reads_the_chapters(tmp_path: Path) -> None:
    """Start, end and title of every chapter come back in order, whatever the title holds."""
    expected = some_chapters(HOSTILE)

    path, _ = tagged(tmp_path, "mp3", Tags("Road", "K7M2", "A", "en-GB", expected))

    assert ffmpeg_chapters(path) == [(c.start_ms, c.end_ms, c.title) for c in expected]


def test_the_fields_of_an_mp3(tmp_path: Path) -> None:
    """Title, language, edition and version label stand in ID3 2.3, with a table of contents."""
    path, _ = tagged(tmp_path, "mp3", Tags("Chemin é", "K7M2", "B", "en-GB", some_chapters("AB")))

    assert path.read_bytes()[:4] == b"ID3\x03"
    id3 = ID3(path)
    assert id3["TIT2"].text == ["Chemin é"]
    assert id3["TLAN"].text == ["eng"]
    assert id3["TXXX:EDITION"].text == ["K7M2"]
    assert id3["TXXX:VERSION LABEL"].text == ["B"]
    assert id3["TXXX:LANGUAGE"].text == ["en-GB"]
    contents = id3.getall("CTOC")
    assert [(int(toc.flags), toc.child_element_ids) for toc in contents] == [
        (3, ["chp000001", "chp000002"])  # top level and ordered
    ]


def test_chapter_frames_have_no_byte_offsets(tmp_path: Path) -> None:
    """Byte offsets are all ones, so that times count (check value FM-03)."""
    path, _ = tagged(tmp_path, "mp3", Tags("T", "E", "A", "en", some_chapters("A")))

    data = path.read_bytes()
    at = data.index(b"chp000001\0", data.index(b"CHAP")) + 10
    assert data[at : at + 16] == bytes(4) + (101).to_bytes(4, "big") + b"\xff" * 8


def test_more_chapters_than_a_table_holds(tmp_path: Path) -> None:
    """600 chapters lie in a table of tables, and ffmpeg reads them all."""
    expected = tuple(Chapter(at * 9, (at + 1) * 9, f"Question {at + 1}") for at in range(600))

    path, _ = tagged(tmp_path, "mp3", Tags("T", "E", "A", "en", expected))

    assert [title for _, _, title in ffmpeg_chapters(path)] == [c.title for c in expected]
    tables = {toc.element_id: toc for toc in ID3(path).getall("CTOC")}
    assert [len(toc.child_element_ids) for toc in tables.values()].count(255) == 2
    assert int(tables["toc"].flags) == 3
    children = [
        name for toc in tables["toc"].child_element_ids for name in tables[toc].child_element_ids
    ]
    assert children == [f"chp{number:06d}" for number in range(1, 601)]


def test_the_fields_of_a_flac_file(tmp_path: Path) -> None:
    """Vorbis comments hold the same, with chapters as numbered times and names."""
    path, _ = tagged(tmp_path, "flac", Tags("Road", "K7M2", "A", "cy", some_chapters(HOSTILE)))

    comments = FLAC(path)
    assert comments["TITLE"] == ["Road"]
    assert comments["EDITION"] == ["K7M2"]
    assert comments["VERSION LABEL"] == ["A"]
    assert comments["LANGUAGE"] == ["cy"]
    assert comments["CHAPTER003"] == ["00:00:00.202"]
    assert [comments[f"CHAPTER{number:03d}NAME"][0] for number in range(1, 6)] == HOSTILE
    assert [title for _, _, title in ffmpeg_chapters(path)] == HOSTILE


@pytest.mark.parametrize("form", ["mp3", "flac"])
def test_tags_leave_the_audio_alone(tmp_path: Path, form: Format) -> None:
    """The decoded samples are the same with and without tags."""
    (tmp_path / "plain").mkdir()
    path, _ = tagged(tmp_path, form, Tags("Road", "K7M2", "A", "en", some_chapters(HOSTILE)))
    plain, written = tagged(tmp_path / "plain", form, None)

    with_tags, without = (soundfile.read(item, dtype="int16")[0] for item in (path, plain))
    assert np.array_equal(with_tags, without)
    assert len(with_tags) == len(written)


def test_no_field_without_a_value(tmp_path: Path) -> None:
    """An empty label or an unknown language writes no empty field."""
    path, _ = tagged(tmp_path, "mp3", Tags("Road", "", "", "tlh"))

    assert sorted(ID3(path)) == ["TIT2", "TXXX:LANGUAGE"]


def test_a_file_that_cannot_be_tagged(tmp_path: Path) -> None:
    """A file that is not what it should be gives an OutputError that names the target."""
    path = tmp_path / "part"
    path.write_bytes(b"no sound")

    with pytest.raises(OutputError, match=r"title and chapters of ‘.*track\.flac’ cannot be"):
        write_tags(path, "flac", Tags("T", "E", "A", "en"), shown=tmp_path / "track.flac")
