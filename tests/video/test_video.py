"""Videos for a projector, read with PyAV: sound, captions in the picture, captions as a track."""

from __future__ import annotations

import hashlib
import json
import re
import sys
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import av
import imageio_ffmpeg
import numpy as np
import pytest
from pausewright.captions.cues import Cue
from pausewright.checker.files.tags import read_tags
from pausewright.deliver.build import Built, Options, build, build_versions
from pausewright.deliver.room_layout import DayPapers, lay_out
from pausewright.deliver.rooms import Player, Room
from pausewright.problems import OutputError
from pausewright.records.record_files import read_record
from pausewright.sound.track_tags import Tags
from pausewright.video import ffmpeg, video_kinds
from pausewright.video.video_file import Video, write_video
from pausewright.video.video_kinds import refuse_unable, videos_of
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from av.container import InputContainer
    from numpy.typing import NDArray
    from pausewright.video.video_kinds import VideoKind

SCRIPT = """---
title: "Harbour: 'morning'"
language: en-GB
voice: joe
announce: "Number {number}."
---

# Opening

Listen to the harbour & write down every word that you hear in the morning.

1. Zebrafish or quokka? {key="AXOLOTL" answer-time="1.5 s"}

# End

Stop.
"""
FRAME_S = 0.04
RATE_HZ = 44_100


ARRANGEMENTS = """standard: {label: A}
longer: {label: B, basis: file 7, extra-time: 50 %, share-of: listed-silences,
  stretch: [answer-time], where: each-gap}
"""


def test_each_file_is_compared_with_its_like(tmp_path: Path) -> None:
    """A version's video is compared with the standard's video of its kind, a track with a track."""
    script = tmp_path / "harbour.md"
    script.write_text(SCRIPT, encoding="utf-8")
    script.with_name("harbour.arrangements.yaml").write_text(ARRANGEMENTS, encoding="utf-8")
    options = Options(
        tmp_path / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
        profiles=fake_profiles(tmp_path), videos=("burned-in", "switchable"),
    )  # fmt: skip

    standard, longer = build_versions(script, options)

    like = [check.comparison.standard if check.comparison else "" for check in longer.checks]
    endings = [".wav", "_burned-in.mp4", "_switchable.mp4"]
    assert [name.rpartition(standard.edition)[2] for name in like] == endings


def made(folder: Path, text: str = SCRIPT, videos: tuple[VideoKind, ...] = ()) -> Built:
    """Build a script with a fake voice, and its videos."""
    script = folder / "harbour.md"
    script.write_text(text, encoding="utf-8")
    return build(
        script,
        Options(
            folder / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(folder), videos=videos,
        ),
    )  # fmt: skip


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a build with both videos, in a folder whose name is full of ffmpeg's own signs."""
    folder = tmp_path_factory.mktemp("video") / "it's a:b,[c];d=e%f"
    folder.mkdir()
    return made(folder, videos=("burned-in", "switchable"))


def one(built: Built, ending: str) -> Path:
    """Return the only file of a build with an ending, the sound check apart."""
    found = [file for file in built.files if file.name.endswith(ending)]
    (only,) = (file for file in found if "sound-check" not in file.name)
    return only


def vtt_cues(file: Path) -> list[tuple[float, float, str]]:
    """Return start and end in seconds and words of a WebVTT file, as this test reads it."""
    rows = re.findall(
        r"(\d+):(\d+):(\d+\.\d+) --> (\d+):(\d+):(\d+\.\d+)\n((?:.+\n?)+)", file.read_text("utf-8")
    )
    times = [[float(part) for part in row[:6]] for row in rows]
    return [
        (h * 3600 + m * 60 + s, h2 * 3600 + m2 * 60 + s2, row[6].strip().replace("&amp;", "&"))
        for (h, m, s, h2, m2, s2), row in zip(times, rows, strict=True)
    ]


def packets_of(video: InputContainer) -> list[tuple[float, float, bytes]]:
    """Return start and end in seconds and bytes of the captions in a track, blanks left out."""
    found = []
    for packet in video.demux(subtitles=0):
        if packet.size > 2:
            assert packet.pts is not None
            assert packet.duration is not None
            base = packet.time_base
            end = packet.pts + packet.duration
            found.append((float(packet.pts * base), float(end * base), bytes(packet)))
    return found


def bright_pictures(file: Path) -> list[tuple[float, int]]:
    """Return the time of each picture and its brightest point (luma, 16 black to 235 white)."""
    with av.open(str(file)) as video:
        return [
            (float(frame.time or 0), int(frame.to_ndarray()[:720].max()))
            for frame in video.decode(video=0)
        ]


def samples(file: Path) -> NDArray[np.float32]:
    """Return the sound of a file in one channel."""
    with av.open(str(file)) as held:
        return np.concatenate(
            [f.to_ndarray()[0].astype(np.float32) for f in held.decode(audio=0)]
        )  # fmt: skip


def silences_s(wave: NDArray[np.float32]) -> list[tuple[float, float]]:
    """Return start and end of silences of 0.7 s and more, 40 dB below the loudest sample."""
    loud = np.flatnonzero(np.abs(wave) >= np.abs(wave).max() / 100)
    edges = pairwise(loud)
    return [(a / RATE_HZ, b / RATE_HZ) for a, b in edges if b - a >= 0.7 * RATE_HZ]


def test_captions_in_the_picture_are_there_while_their_words_are(built: Built) -> None:
    """White on black within a cue, black outside, each change within one picture of 40 ms."""
    cues = vtt_cues(one(built, ".vtt"))
    pictures = bright_pictures(one(built, "_burned-in.mp4"))

    assert len(cues) >= 3
    assert [round(b[0] - a[0], 6) for a, b in pairwise(pictures)] == (
        [FRAME_S] * (len(pictures) - 1)
    )
    for at_s, brightest in pictures:
        if any(start + FRAME_S <= at_s <= end - FRAME_S for start, end, _ in cues):
            assert brightest > 220, at_s
        elif not any(start - FRAME_S < at_s < end + FRAME_S for start, end, _ in cues):
            assert brightest < 20, at_s


def test_the_switchable_captions_have_the_times_and_words_of_the_captions(built: Built) -> None:
    """Packets of the track (3GPP TS 26.245) begin and end as the WebVTT says, to 1 ms."""
    with av.open(str(one(built, "_switchable.mp4"))) as video:
        (track,) = video.streams.subtitles
        packets = packets_of(video)
        language, head = track.language, track.codec_context.extradata or b""
    cues = vtt_cues(one(built, ".vtt"))

    assert language == "eng"
    assert head[25] == 56  # the size of letters, in the layout of the same standard
    assert [data[2 : 2 + int.from_bytes(data[:2], "big")].decode() for *_, data in packets] == [
        words for *_, words in cues
    ]
    for (start, end, _), (starts, ends, _) in zip(packets, cues, strict=True):
        assert start == pytest.approx(starts, abs=0.001)
        assert end == pytest.approx(ends, abs=0.001)


def test_the_switchable_picture_holds_no_words(built: Built) -> None:
    """Its pictures are black from beginning to end."""
    assert max(bright for _, bright in bright_pictures(one(built, "_switchable.mp4"))) < 20


@pytest.mark.parametrize("ending", ["_burned-in.mp4", "_switchable.mp4"])
def test_the_sound_is_that_of_the_track(built: Built, ending: str) -> None:
    """Every silence of the WAV begins and ends within 20 ms (invariant of the delivered file)."""
    track, video = silences_s(samples(one(built, ".wav"))), silences_s(samples(one(built, ending)))

    assert len(track) >= 3
    assert np.abs(np.array(video) - np.array(track)).max() < 0.020
    pictures = bright_pictures(one(built, ending))
    length_s = samples(one(built, ".wav")).size / RATE_HZ
    assert length_s <= pictures[-1][0] + FRAME_S < length_s + FRAME_S


def test_videos_are_checked_listed_and_labelled(built: Built) -> None:
    """They have a report, a record and a place on the packing list; tags hold no key."""
    record = json.loads(one(built, "build-record_A.json").read_text("utf-8"))
    listed = json.loads(one(built, "_packing-list.json").read_text("utf-8"))
    videos = [file for file in built.files if file.suffix == ".mp4"]

    assert [check.track for check in built.checks if check.track.endswith(".mp4")] == [
        file.name for file in videos
    ]
    assert sum(entry["kind"] == "video" for entry in record["files"]) == 2
    for file in videos:
        digest = hashlib.sha256(file.read_bytes()).hexdigest()
        assert {"name": file.name, "n_bytes": file.stat().st_size, "sha256": digest} in listed[
            "files"
        ]
        tags = read_tags(file)
        assert (tags.title, tags.edition, tags.version_label) == (
            "Harbour: 'morning'", built.edition, "A",
        )  # fmt: skip
        assert not re.search(rb"zebrafish|quokka|axolotl", file.read_bytes(), re.IGNORECASE)


def test_videos_go_into_the_rooms(built: Built, tmp_path: Path) -> None:
    """A player's folder holds both, byte by byte."""
    record = read_record(one(built, "build-record_A.json"))
    assert record is not None
    room = Room("Hall", "hall", (Player(1, "A", ("K1",), by_loudspeaker=True),), built.length_s)
    papers = DayPapers(start="", day_plan=b"%PDF-")
    files = lay_out([room], {"A": record}, built.folder, tmp_path / "rooms", papers)

    copies = {file.name: file.read_bytes() for file in files if file.suffix == ".mp4"}
    assert copies == {f.name: f.read_bytes() for f in built.files if f.suffix == ".mp4"}
    assert len(copies) == 2


def test_where_nothing_may_be_shown_no_video_is_written(tmp_path: Path) -> None:
    """The build says so and is good."""
    text = SCRIPT.replace("voice: joe", "voice: joe\ncaptions: nothing")
    built = made(tmp_path, text, ("burned-in", "switchable"))

    assert built.is_good
    assert not [file for file in built.files if file.suffix == ".mp4"]
    assert "no video was written: version A has no captions that may be shown" in built.notes


HOSTILE = r"<i>a</i> {\an8}b \N c & --> d: e' [f], ⅛ Ωμέγα e\u0301"


def _written(folder: Path, kind: VideoKind, words: str) -> tuple[Path, tuple[str, ...]]:
    file = folder / f"{kind}.mp4"
    cue = Cue("1", 200, 900, (words,), speaker="Jo & {Co}", named=True)
    notes = write_video(
        [np.zeros((RATE_HZ, 1), np.int16)], Video(file, kind, Tags("T", "E", "A", "xx-none")),
        [cue], n_samples=RATE_HZ, rate_hz=RATE_HZ, channels=1,
    )  # fmt: skip
    assert list(folder.iterdir()) == [file]
    return file, notes


def test_hostile_words_are_shown_as_they_are(tmp_path: Path) -> None:
    """Markup of every caption format is text, and the speaker's name stands before it."""
    file, notes = _written(tmp_path, "switchable", HOSTILE)
    with av.open(str(file)) as video:
        ((*_, data),) = packets_of(video)

    assert notes == ()
    words = data[2 : 2 + int.from_bytes(data[:2], "big")].decode()
    assert re.sub("[\u2060\u200b\u00a0]", "", words) == f"Jo & {{Co}}: {HOSTILE}"


def _drawn(folder: Path, words: str) -> NDArray[np.uint8]:
    """Return the luma of the picture in the middle of a cue, by row and column."""
    folder.mkdir()
    file, _ = _written(folder, "burned-in", words)
    with av.open(str(file)) as video:
        return list(video.decode(video=0))[12].to_ndarray()[:720].astype(np.uint8)


def test_hostile_words_are_drawn_as_they_are(tmp_path: Path) -> None:
    """What would be markup takes its room in the line, and all stays one line in the middle."""
    plain = _drawn(tmp_path / "0", "b")
    bright = np.flatnonzero(plain.max(axis=1) > 128)
    assert 280 < bright[0] < bright[-1] < 440
    for number, words in enumerate((r"{\an8}b", "{x}b", r"b \N b", "<i>b</i>", r"b\hb"), 1):
        drawn = _drawn(tmp_path / str(number), words)
        rows = np.flatnonzero(drawn.max(axis=1) > 128)
        assert rows[0] == pytest.approx(bright[0], abs=8), words
        assert rows[-1] == pytest.approx(bright[-1], abs=8), words
        n_letters = len(words) - 1
        wider = np.ptp(np.flatnonzero(drawn.max(axis=0) > 128)) - np.ptp(
            np.flatnonzero(plain.max(axis=0) > 128)
        )
        assert wider > 10 * n_letters, words


def test_the_same_bytes_twice_and_signs_without_a_font(tmp_path: Path) -> None:
    """A video written twice is the same; a sign that no font has is told (private use)."""
    hashes = set()
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        file, notes = _written(tmp_path / name, "burned-in", "Look: \U0010fffd")
        hashes.add(hashlib.sha256(file.read_bytes()).hexdigest())
        assert len(notes) == 1
        assert "1 signs" in notes[0]

    assert len(hashes) == 1


def test_an_ffmpeg_that_lacks_something_is_told_in_one_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What is missing, and the other kind if it can be made; the bundled one has all of it."""
    refuse_unable(("burned-in", "switchable"))

    monkeypatch.setattr(video_kinds, "abilities", lambda _: {"libx264", "aac", "mov_text"})
    with pytest.raises(OutputError, match=r"no burned-in video: it cannot draw") as caught:
        refuse_unable(("burned-in",))
    assert caught.value.hint == "write --video switchable"

    monkeypatch.setattr(video_kinds, "abilities", lambda _: set())
    with pytest.raises(OutputError, match="no switchable video") as caught:
        refuse_unable(("switchable",))
    assert caught.value.hint == "build without --video"


def test_without_the_extra_one_line_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A base installation has no ffmpeg: `--video` says so before anything is voiced."""
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    script = tmp_path / "harbour.md"
    script.write_text(SCRIPT, "utf-8")
    engine = FakeEngine()
    options = Options(
        tmp_path / "out", engines=fake_engines(engine), profiles=fake_profiles(tmp_path),
        videos=("switchable",),
    )  # fmt: skip

    with pytest.raises(OutputError, match="the video encoder is not on this machine") as caught:
        build(script, options)

    line = 'type: pip install "pausewright[video]"; or build without --video'
    assert caught.value.hint == line
    assert not (tmp_path / "out").exists()
    build(script, replace(options, videos=()))


def test_what_an_ffmpeg_can_do_is_read_from_its_own_lists(tmp_path: Path) -> None:
    """Filters and encoders of the bundled one; nothing from a program that does not run."""
    assert {"subtitles", "mov_text"} <= ffmpeg.abilities(imageio_ffmpeg.get_ffmpeg_exe())
    assert ffmpeg.abilities(str(tmp_path / "none")) == set()


def test_kinds_are_named_by_the_user() -> None:
    """A list as with --format; anything else is refused with what to write."""
    assert videos_of("") == ()
    assert videos_of("Switchable, burned-in,switchable") == ("switchable", "burned-in")
    with pytest.raises(OutputError, match="‘open’ is no kind of video"):
        videos_of("open")


def test_a_failing_encoder_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An ffmpeg that is none: the build's folder stays as it was."""
    monkeypatch.setenv("IMAGEIO_FFMPEG_EXE", str(tmp_path / "none"))
    with pytest.raises(OutputError, match="video encoder cannot be started"):
        _written(tmp_path, "switchable", "words")
    assert list(tmp_path.iterdir()) == []
