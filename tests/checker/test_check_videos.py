"""Captions and chapters inside an MP4: read back, compared one by one, and each damage found.

Spoiled videos are made by the bundled ffmpeg, or by changing bytes.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from typing import TYPE_CHECKING, Any

import imageio_ffmpeg
import pytest
from mutagen.mp4 import MP4
from pausewright.checker.files.tags import read_tags
from pausewright.checker.files.video_contents import caption_tracks, chapter_lists
from pausewright.deliver.build import Built, Options, build
from pausewright.deliver.recheck import recheck
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.checker.result.findings import Finding

SCRIPT = """---
title: Harbour
language: en-GB
voice: joe
announce: "Number {number}."
---

# Opening = one; #2

Listen to the harbour & write down every word.

# Words

1. Zebrafish or quokka? {key="AXOLOTL" answer-time="1.5 s"}
2. Two narwhals swim. {key="OKAPI" answer-time="1.5 s"}

# End

Stop.
"""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a build with both videos."""
    folder = tmp_path_factory.mktemp("video")
    (folder / "harbour.md").write_text(SCRIPT, encoding="utf-8")
    return build(
        folder / "harbour.md",
        Options(
            folder / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(folder), videos=("burned-in", "switchable"),
        ),
    )  # fmt: skip


def one(built: Built, ending: str) -> Path:
    """Return the only file of a build with an ending, the sound check apart."""
    found = [file for file in built.files if file.name.endswith(ending)]
    (only,) = (file for file in found if "sound-check" not in file.name)
    return only


def seconds(stamp: str) -> float:
    """Return a stamp of SubRip in seconds."""
    hours, minutes, rest = stamp.replace(",", ".").split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(rest)


def srt_cues(file: Path) -> list[tuple[str, str, str]]:
    """Return starts, ends and words of a SubRip file, as this test reads it."""
    rows = re.findall(r"(\S+) --> (\S+)\n((?:.+\n)+)", file.read_text("utf-8") + "\n")
    return [(start, end, words.strip()) for start, end, words in rows]


def test_the_track_of_captions_is_read(built: Built) -> None:
    """Each cue as the SubRip file has it, to the millisecond; none in the picture's video."""
    (track,) = caption_tracks(one(built, "_switchable.mp4"))
    expected = srt_cues(one(built, ".srt"))

    assert track.faults == []
    assert len(expected) >= 4
    assert [cue.text for cue in track.cues] == [w for *_, w in expected]
    assert [(c.start_ms, c.end_ms) for c in track.cues] == [
        (round(1000 * seconds(a)), round(1000 * seconds(b))) for a, b, _ in expected
    ]
    assert caption_tracks(one(built, "_burned-in.mp4")) == []
    assert caption_tracks(one(built, ".wav")) == []


@pytest.mark.parametrize("ending", ["_burned-in.mp4", "_switchable.mp4"])
def test_chapters_are_in_both_lists(built: Built, ending: str) -> None:
    """The list among the tags (mutagen) and the track of titles (FFmpeg) say the same."""
    file = one(built, ending)
    own = read_tags(file).chapters
    (listed,) = chapter_lists(file, own)

    assert [chapter.title for chapter in own] == [
        "Opening = one; #2", "Words: Question 1", "Question 2", "End",
    ]  # fmt: skip
    assert own[0].start_s == 0
    assert [chapter.title for chapter in listed] == [chapter.title for chapter in own]
    for one_, other in zip(own, listed, strict=True):
        assert abs(one_.start_s - other.start_s) <= 0.001


def test_both_videos_are_good(built: Built) -> None:
    """The build's check of each finds nothing, and a folder's check measures them too."""
    assert not any(shown(check.findings) for check in built.checks)
    script = built.folder.parent.parent / "harbour.md"
    delivered = recheck(built.folder, script=script)
    (room,) = delivered.rooms

    assert [check.track.rpartition(built.edition)[2] for check in room.checks] == [
        ".wav", "_burned-in.mp4", "_switchable.mp4",
    ]  # fmt: skip
    assert delivered.is_good
    assert not any(shown(check.findings) for check in room.checks)
    assert recheck(room_copy(built, built.folder.parent), record=None).is_good


def shown(findings: Sequence[Finding]) -> list[Finding]:
    """Return what is found about captions and chapters."""
    return [f for f in findings if f.code.startswith(("caption", "chapter"))]


def room_copy(built: Built, folder: Path) -> Path:
    """Return a copy of the room's folder, with its packing list."""
    copy = folder / "stick"
    shutil.copytree(built.folder / "version-A", copy)
    return copy


def found_in(built: Built, folder: Path, spoil: Callable[[Path], None]) -> list[Finding]:
    """Return what is found about captions and chapters in a spoiled copy of the video."""
    room = folder / "version-A"
    shutil.copytree(built.folder / "version-A", room)
    (video,) = room.glob("*_switchable.mp4")
    spoil(video)
    script = built.folder.parent.parent / "harbour.md"
    result = recheck(video, script=script).checks[0]
    return shown(result.findings)


def bytes_changed(old: bytes, new: bytes) -> Callable[[Path], None]:
    """Return what changes bytes of a file, as many as there were."""

    def spoil(video: Path) -> None:
        data = video.read_bytes()
        assert len(old) == len(new)
        assert data.count(old) == 1
        video.write_bytes(data.replace(old, new))

    return spoil


def captions_changed(
    change: Callable[[list[tuple[str, str, str]]], None],
) -> Callable[[Path], None]:
    """Return what writes a video anew with other captions, tags and chapters as they were."""

    def spoil(video: Path) -> None:
        (srt,) = video.parent.glob("*.srt")
        cues = srt_cues(srt)
        change(cues)
        text = "".join(f"{n}\n{a} --> {b}\n{w}\n\n" for n, (a, b, w) in enumerate(cues, 1))
        other = video.with_name("other.srt")
        other.write_text(text, encoding="utf-8")
        rewritten(video, "-i", str(other), "-map", "0:v", "-map", "0:a", "-map", "1:s",
                  "-c", "copy", "-c:s", "mov_text", "-map_chapters", "0")  # fmt: skip
        other.unlink()

    return spoil


def rewritten(video: Path, *arguments: str) -> None:
    """Write a video anew with ffmpeg and give it its own tags back."""
    own: dict[str, Any] = dict(MP4(video).tags or {})
    other = video.with_name("other.mp4")
    subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(video), *arguments, str(other)],
        check=True, timeout=120,
    )  # fmt: skip
    other.replace(video)
    file = MP4(video)
    for key, value in own.items():
        file[key] = value
    file.save()


def _as_it_was(_: list[tuple[str, str, str]]) -> None:
    """Change nothing."""


def _a_question(cues: list[tuple[str, str, str]]) -> None:
    """Show a question's words after its number."""
    at = next(i for i, (*_, words) in enumerate(cues) if words == "Number 1.")
    start = seconds(cues[at][1]) + 0.9
    stamps = [f"00:00:{at_s:06.3f}".replace(".", ",") for at_s in (start, start + 0.6)]
    cues.insert(at + 1, (stamps[0], stamps[1], "quokka?"))


def _later(cues: list[tuple[str, str, str]]) -> None:
    """Move one cue by 40 ms."""
    start, end, words = cues[-1]
    stamps = [f"00:00:{seconds(at) + 0.04:06.3f}".replace(".", ",") for at in (start, end)]
    cues[-1] = (stamps[0], stamps[1], words)


def _lost(cues: list[tuple[str, str, str]]) -> None:
    """Leave one cue out."""
    del cues[-1]


@pytest.mark.parametrize(
    ("spoil", "codes"),
    [
        pytest.param(captions_changed(_as_it_was), set(), id="only-written-anew"),
        pytest.param(captions_changed(_later), {"captions-differ"}, id="one-40-ms-later"),
        pytest.param(captions_changed(_lost), {"captions-differ", "caption-missing"}, id="lost"),
        pytest.param(
            captions_changed(_a_question), {"captions-differ", "caption-withheld"}, id="a-question"
        ),
        pytest.param(
            bytes_changed(b"\0\5Stop.", b"\0\5Go on"), {"caption-words", "captions-differ",
            "caption-missing"}, id="other-words",
        ),
        pytest.param(
            bytes_changed(b"\0\5Stop.", b"\1\5Stop."), {"caption-form"}, id="cut-off"
        ),
    ],
)  # fmt: skip
def test_wrong_captions_in_a_video_are_found(
    built: Built, tmp_path: Path, spoil: Callable[[Path], None], codes: set[str]
) -> None:
    """A planted cue, a moved one, a lost one, other words: cue by cue, not by hash."""
    assert {f.code for f in found_in(built, tmp_path, spoil)} == codes


def test_a_lost_track_of_captions_is_found(built: Built, tmp_path: Path) -> None:
    """A switchable video without its captions is told."""
    found = found_in(
        built, tmp_path,
        lambda video: rewritten(video, "-map", "0:v", "-map", "0:a", "-c", "copy"),
    )  # fmt: skip

    assert {"caption-form"} <= {f.code for f in found}


def chapters_changed(change: Callable[[str], str]) -> Callable[[Path], None]:
    """Return what writes a video anew with other chapters."""

    def spoil(video: Path) -> None:
        ffmpeg, listed = imageio_ffmpeg.get_ffmpeg_exe(), video.with_name("chapters.txt")
        subprocess.run(
            [ffmpeg, "-v", "error", "-i", str(video), "-f", "ffmetadata", str(listed)],
            check=True, timeout=120,
        )  # fmt: skip
        listed.write_text(change(listed.read_text("utf-8")), encoding="utf-8")
        rewritten(video, "-i", str(listed), "-map", "0:v", "-map", "0:a", "-map", "0:s", "-c",
                  "copy", "-map_chapters", "1")  # fmt: skip
        listed.unlink()

    return spoil


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        ("title=Words", "title=Words", set()),
        ("title=End", "title=Zebrafish", {"chapter-words"}),
        (
            "title=Words: Question 1",
            "title=Words: Question 1 melons",
            {"chapter-words", "chapter-missing"},
        ),
        ("title=Words: Question 1", "title=Question 2", {"chapter-off", "chapter-missing"}),
        ("title=Question 2", "title=Question 1", {"chapter-off", "chapter-missing"}),
        (r"(?s)\[CHAPTER\].*", "", {"chapters-missing"}),
    ],
)
def test_wrong_chapters_of_a_video_are_found(
    built: Built, tmp_path: Path, old: str, new: str, codes: set[str]
) -> None:
    """Names that the script does not give, names of other questions, no chapters at all."""
    found = found_in(built, tmp_path, chapters_changed(lambda text: re.sub(old, new, text)))

    assert {f.code for f in found} == codes


def test_a_chapter_in_one_list_alone_is_found(built: Built, tmp_path: Path) -> None:
    """Whichever of its two lists a player shows, what stands there is judged."""
    for name, old in (("tags", b"\x03End"), ("track", b"\x00\x03End")):
        folder = tmp_path / name
        folder.mkdir()

        def spoil(video: Path, old: bytes = old) -> None:
            data = video.read_bytes()
            found = [
                m.start()
                for m in re.finditer(re.escape(b"\x03End"), data)
                if (data[m.start() - 1 : m.start()] == b"\0") == (old[:1] == b"\0")
            ]
            assert found
            for at in found:
                data = data[: at + 1] + b"Zeb" + data[at + 4 :]
            video.write_bytes(data)

        codes = {f.code for f in found_in(built, folder, spoil)}
        assert codes == {"chapter-words"}, name
