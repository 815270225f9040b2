"""Writing: exact samples, exact lengths, all files or none."""

from __future__ import annotations

import subprocess
import sys
import warnings
import wave
from typing import TYPE_CHECKING, Any

import imageio_ffmpeg
import numpy as np
import pytest
import soundfile
from pausewright.problems import OutputError
from pausewright.sound import pcm
from pausewright.sound.lay import lay
from pausewright.sound.track_files import Target, write_track, write_tracks
from pausewright.sound.track_tags import Tags
from support.tracks.sound_samples import RATE_HZ, laid_out, small_test, take_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.sound.take import Pcm
    from pausewright.sound.track_files import Format

TAGS = Tags("Road", "K7M2", "A", "en-GB")


def noise(n_frames: int, channels: int = 1, seed: int = 1) -> NDArray[Any]:
    """Return white noise at a fifth of full scale."""
    random = np.random.default_rng(seed)
    return random.integers(-6000, 6000, (n_frames, channels), np.int16)


def in_blocks(samples: NDArray[Any], n_block: int = 30_000) -> Iterator[Pcm]:
    """Yield an array in pieces."""
    for at in range(0, len(samples), n_block):
        yield samples[at : at + n_block]


def decoded_by_pydub(path: Path) -> int:
    """Return how many samples pydub decodes."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pydub import AudioSegment  # noqa: PLC0415  warns at import without ffmpeg

        converter = AudioSegment.converter
        AudioSegment.converter = imageio_ffmpeg.get_ffmpeg_exe()
        try:
            segment = AudioSegment.from_file_using_temporary_files(str(path), "mp3")
            return int(segment.frame_count())
        finally:
            AudioSegment.converter = converter


@pytest.mark.parametrize("channels", [1, 2])
def test_wav_and_flac_hold_the_samples_unchanged(tmp_path: Path, channels: int) -> None:
    """The standard library's WAV reader and libsndfile give back every sample."""
    samples = noise(100_137, channels)
    wav, flac = tmp_path / "t.wav", tmp_path / "t.flac"

    written = write_tracks(
        in_blocks(samples),
        [Target(wav, "wav"), Target(flac, "flac", tags=TAGS)],
        rate_hz=RATE_HZ,
        channels=channels,
    )

    with wave.open(str(wav)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (
            RATE_HZ,
            channels,
            2,
        )
        raw = np.frombuffer(file.readframes(file.getnframes()), "<i2")
    assert np.array_equal(raw.reshape(-1, channels), samples)
    assert np.array_equal(soundfile.read(flac, dtype="int16", always_2d=True)[0], samples)
    assert [item.n_samples for item in written] == [100_137, 100_137]
    assert [item.n_bytes for item in written] == [wav.stat().st_size, flac.stat().st_size]


def test_pydub_agrees_on_the_length(tmp_path: Path) -> None:
    """The frame count of pydub is the written one."""
    path = tmp_path / "t.mp3"

    write_track(in_blocks(noise(50_021)), path, format="mp3", rate_hz=RATE_HZ, channels=1)

    assert decoded_by_pydub(path) == 50_021


def test_the_same_blocks_give_the_same_bytes(tmp_path: Path) -> None:
    """Every format is written byte for byte the same again."""
    timeline = laid_out(small_test())

    def write(folder: Path) -> list[bytes]:
        folder.mkdir()
        targets = [
            Target(folder / "t.wav", "wav"),
            Target(folder / "t.flac", "flac", tags=TAGS),
            Target(folder / "t.mp3", "mp3", tags=TAGS),
        ]
        blocks = lay(timeline, take_of, channels=1)
        return [item.path.read_bytes() for item in write_tracks(blocks, targets, **FORM)]

    assert write(tmp_path / "a") == write(tmp_path / "b")


FORM: Any = {"rate_hz": RATE_HZ, "channels": 1}


@pytest.mark.parametrize("form", ["wav", "flac", "mp3"])
def test_a_folder_that_is_not_there(tmp_path: Path, form: Format) -> None:
    """A missing folder is an error that names the file and says what to do."""
    with pytest.raises(OutputError, match=r"t\.x’ cannot be written \(No such file") as caught:
        write_track(in_blocks(noise(10)), tmp_path / "no" / "t.x", format=form, **FORM)
    assert "--out" in caught.value.hint


@pytest.mark.parametrize("form", ["wav", "flac", "mp3"])
def test_an_interrupted_build_leaves_nothing(tmp_path: Path, form: Format) -> None:
    """If the blocks break off, no file is left and an older one stays as it was."""
    path = tmp_path / "t"
    path.write_text("older")

    def broken() -> Iterator[Pcm]:
        yield noise(30_000)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_track(broken(), path, format=form, **FORM)

    assert [item.name for item in tmp_path.iterdir()] == ["t"]
    assert path.read_text() == "older"


def test_one_bad_target_spoils_all(tmp_path: Path) -> None:
    """If one of several files cannot be written, none appears."""
    targets = [Target(tmp_path / "t.wav", "wav"), Target(tmp_path / "no" / "t.mp3", "mp3")]

    with pytest.raises(OutputError, match="cannot be written"):
        write_tracks(in_blocks(noise(90_000)), targets, **FORM)

    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="file size limits are a Unix matter")
@pytest.mark.parametrize("form", ["wav", "flac", "mp3"])
def test_a_full_disk_leaves_nothing(tmp_path: Path, form: Format) -> None:
    """When no more bytes fit, an OutputError with a hint comes and no file is left.

    The limit on file sizes stands for the full disk: both make a write fail half-way.
    """
    program = """
import resource, sys
from pathlib import Path
import numpy as np
from pausewright.problems import OutputError
from pausewright.sound.track_files import write_track
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
random = np.random.default_rng(1)
blocks = (random.integers(-6000, 6000, (30_000, 1), np.int16) for _ in range(20))
try:
    write_track(blocks, Path(sys.argv[1]), format=sys.argv[2], rate_hz=44_100, channels=1)
except OutputError as error:
    print(error.message, "/", error.hint)
"""
    path = tmp_path / "t.audio"

    done = subprocess.run(
        [sys.executable, "-c", program, str(path), form], capture_output=True, text=True, check=True
    )

    assert "t.audio’ cannot be written" in done.stdout
    assert "make room on the disk" in done.stdout
    assert done.stderr == ""
    assert list(tmp_path.iterdir()) == []


def test_a_wav_file_never_passes_four_gib(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A WAV file that would outgrow its own counters is refused with another format named."""
    monkeypatch.setattr(pcm, "LARGEST_WAV_BYTES", 100_000)

    with pytest.raises(OutputError, match="would pass 4 GiB") as caught:
        write_track(in_blocks(noise(60_000)), tmp_path / "t.wav", format="wav", **FORM)
    assert "--format flac" in caught.value.hint
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "block", [np.zeros(5, np.int16), np.zeros((5, 2), np.int16), np.zeros((5, 1), np.float32)]
)
def test_misshapen_blocks_are_refused(tmp_path: Path, block: NDArray[Any]) -> None:
    """A block of another shape or type is a caller's mistake."""
    with pytest.raises(ValueError, match=r"a block is int16 of shape \(n, 1\)"):
        write_track([block], tmp_path / "t.wav", format="wav", **FORM)


def test_targets_must_differ(tmp_path: Path) -> None:
    """Two targets with one name, or none at all, are a caller's mistake."""
    target = Target(tmp_path / "t.wav", "wav")
    for targets in ([target, target], []):
        with pytest.raises(ValueError, match="each only once"):
            write_tracks([], targets, **FORM)


def test_names_of_files_may_look_like_options(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A relative name that begins with a dash or holds a colon is only a name."""
    monkeypatch.chdir(tmp_path)
    names = ["-y.mp3", "%03d é.mp3"] + ([] if sys.platform == "win32" else ["a:b.mp3"])
    for name in names:
        write_track(in_blocks(noise(3_000)), type(tmp_path)(name), format="mp3", **FORM)

    assert sorted(item.name for item in tmp_path.iterdir()) == sorted(names)
