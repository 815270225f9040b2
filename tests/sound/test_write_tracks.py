"""Writing: exact samples, exact lengths, all files or none."""

from __future__ import annotations

import subprocess
import sys
import warnings
import wave
from typing import TYPE_CHECKING, Any

import av
import imageio_ffmpeg
import numpy as np
import pytest
import soundfile
from mutagen.mp3 import MP3, BitrateMode
from pausewright.problems import OutputError
from pausewright.sound import encoders
from pausewright.sound.lay import lay
from pausewright.sound.tags import Tags
from pausewright.sound.write import Target, write_track, write_tracks
from sound_samples import RATE_HZ, laid_out, small_test, take_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.sound.take import Pcm
    from pausewright.sound.write import Format

TAGS = Tags("Road", "K7M2", "A", "en-GB")


def noise(n_frames: int, channels: int = 1, seed: int = 1) -> NDArray[Any]:
    """Return white noise at a fifth of full scale."""
    random = np.random.default_rng(seed)
    return random.integers(-6000, 6000, (n_frames, channels), np.int16)


def in_blocks(samples: NDArray[Any], n_block: int = 30_000) -> Iterator[Pcm]:
    """Yield an array in pieces."""
    for at in range(0, len(samples), n_block):
        yield samples[at : at + n_block]


def decoded_by_av(path: Path) -> int:
    """Return how many samples PyAV decodes."""
    with av.open(str(path)) as container:
        return sum(frame.samples for frame in container.decode(audio=0))


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


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000])
@pytest.mark.parametrize("n_more", [0, 1, 46, 600, 1_151])
def test_mp3_decodes_to_the_written_length(
    tmp_path: Path, channels: int, rate_hz: int, n_more: int
) -> None:
    """Both libsndfile and PyAV decode exactly as many samples as were written.

    Lengths lie on both sides of a whole frame of 1,152 samples (check value FM-06; 576 at
    22,050 Hz, FM-07), where the encoder's own header is wrong by up to 46 samples.
    """
    samples = noise(3 * 1_152 * 10 + n_more, channels)
    path = tmp_path / "t.mp3"

    write_track(in_blocks(samples), path, format="mp3", rate_hz=rate_hz, channels=channels)

    with soundfile.SoundFile(path) as file:
        n_by_soundfile = len(file.read(always_2d=True))
    assert n_by_soundfile == len(samples)
    assert decoded_by_av(path) == len(samples)


def test_pydub_agrees_on_the_length(tmp_path: Path) -> None:
    """A third decoder's frame count is the written one."""
    path = tmp_path / "t.mp3"

    write_track(in_blocks(noise(50_021)), path, format="mp3", rate_hz=RATE_HZ, channels=1)

    assert decoded_by_pydub(path) == 50_021


@pytest.mark.parametrize("kbps", [64, 96])
def test_mp3_keeps_clicks_in_their_places(tmp_path: Path, kbps: int) -> None:
    """Clicks come back within 0.1 ms of their written samples."""
    places = [20_000 + 33_333 * number for number in range(12)]
    samples = np.zeros((places[-1] + 20_000, 1), np.int16)
    for place in places:
        samples[place] = 24_000
    path = tmp_path / "t.mp3"

    write_track(
        in_blocks(samples), path, format="mp3", rate_hz=RATE_HZ, channels=1, bitrate_kbps=kbps
    )

    heard = np.abs(soundfile.read(path, always_2d=True)[0][:, 0])
    found = [place - 2_000 + int(heard[place - 2_000 : place + 2_000].argmax()) for place in places]
    assert max(abs(a - b) for a, b in zip(found, places, strict=True)) <= 0.0001 * RATE_HZ


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("kbps", [64, 96, 128, 160, 192, 224, 256, 320])
def test_mp3_is_as_loud_as_the_samples(tmp_path: Path, channels: int, kbps: int) -> None:
    """Two tones come back with their own level within 0.02 dB, at every usual bit rate."""
    at = np.arange(RATE_HZ * 2) / RATE_HZ
    wave = 3_000 * np.sin(2 * np.pi * 700 * at) + 2_000 * np.sin(2 * np.pi * 1_230 * at)
    samples = np.repeat(np.rint(wave).astype(np.int16)[:, np.newaxis], channels, axis=1)
    path = tmp_path / "t.mp3"

    write_track(
        [samples], path, format="mp3", rate_hz=RATE_HZ, channels=channels, bitrate_kbps=kbps
    )

    middle = slice(RATE_HZ // 2, -RATE_HZ // 2)
    given = samples[middle].astype(float) / 32_768
    heard = soundfile.read(path, always_2d=True)[0][middle]
    gain = float(np.sum(given * heard) / np.sum(given * given))
    assert abs(20 * np.log10(gain)) <= 0.02


@pytest.mark.parametrize(("channels", "kbps"), [(1, 96), (2, 160)])
def test_mp3_has_a_constant_bit_rate(tmp_path: Path, channels: int, kbps: int) -> None:
    """By default 96 kbit/s mono and 160 stereo, constant, as mutagen reads it."""
    path = tmp_path / "t.mp3"

    write_track(
        in_blocks(noise(60_000, channels)), path, format="mp3", rate_hz=RATE_HZ, channels=channels
    )

    info: Any = MP3(path).info
    assert (info.bitrate_mode, info.channels) == (BitrateMode.CBR, channels)
    assert info.bitrate == pytest.approx(kbps * 1000, rel=0.001)


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
from pausewright.sound.write import write_track
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


def test_a_failing_encoder_is_quoted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An ffmpeg that fails is reported with its own last words; nothing is left."""
    monkeypatch.setattr(encoders, "_FASTEST_GOOD", "no number")

    with pytest.raises(OutputError, match=r"t\.mp3’ cannot be written \(.+\)"):
        write_track(in_blocks(noise(900_000)), tmp_path / "t.mp3", format="mp3", **FORM)

    assert list(tmp_path.iterdir()) == []


def test_a_program_that_does_not_encode(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An ffmpeg that takes nothing and says nothing is an error too."""
    monkeypatch.setenv("IMAGEIO_FFMPEG_EXE", sys.executable)

    with pytest.raises(OutputError, match=r"t\.mp3’ cannot be written"):
        write_track(in_blocks(noise(900_000)), tmp_path / "t.mp3", format="mp3", **FORM)

    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("rate_hz", "kbps"), [(44_101, 96), (96_000, 96), (44_100, 97), (44_100, 321)]
)
def test_mp3_rates_out_of_range_are_refused(tmp_path: Path, rate_hz: int, kbps: int) -> None:
    """A rate that MP3 does not know is a caller's mistake, never silently another rate."""
    with pytest.raises(ValueError, match="an MP3 has a rate in"):
        write_track(
            [], tmp_path / "t.mp3", format="mp3", rate_hz=rate_hz, channels=1, bitrate_kbps=kbps
        )


def test_an_encoder_that_is_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A missing ffmpeg is an error with something to type."""
    monkeypatch.setenv("IMAGEIO_FFMPEG_EXE", str(tmp_path / "no-ffmpeg"))

    with pytest.raises(OutputError, match="MP3 encoder cannot be started") as caught:
        write_track(in_blocks(noise(10)), tmp_path / "t.mp3", format="mp3", **FORM)
    assert "pip install" in caught.value.hint
    assert list(tmp_path.iterdir()) == []


def test_a_wav_file_never_passes_four_gib(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A WAV file that would outgrow its own counters is refused with another format named."""
    monkeypatch.setattr(encoders, "LARGEST_WAV_BYTES", 100_000)

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
