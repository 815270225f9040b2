"""MP3: exact lengths, places and levels in five decoders, and a first frame that tells the truth.

The decoders are libsndfile (which has mpg123's), PyAV (FFmpeg's libraries), miniaudio (dr_mp3), the
ffmpeg program and the mpg123 program: three independent ones, two of them in two releases.
"""

from __future__ import annotations

import itertools
import shutil
import subprocess
import threading
from typing import TYPE_CHECKING, Any, NamedTuple

import av
import imageio_ffmpeg
import lameenc
import miniaudio
import numpy as np
import pytest
import soundfile
from fastcrc.crc16 import arc
from mutagen.mp3 import MP3, BitrateMode
from pausewright.problems import OutputError
from pausewright.sound import mp3
from pausewright.sound.gapless import Frames
from pausewright.sound.track_files import write_track
from support.amounts import IS_LONG_SET

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.sound.take import Pcm

RATES_HZ = (22_050, 24_000, 44_100, 48_000)
KBPS = (64, 96, 160, 320)
MORE = (0, 1, 46, 47, 529, 576, 577, 623, 1_105, 1_151)
"""Samples beyond whole frames of 1,152 (check value FM-06) or 576 (FM-07): on both sides of where a
frame, half a frame and the delays of encoder and decoder end."""


class Shape(NamedTuple):
    """What is written."""

    rate_hz: int
    channels: int
    kbps: int
    n_more: int


def shapes() -> list[Shape]:
    """Return every shape in the long set, else some in which each value stands several times."""
    whole = [
        Shape(*one)
        for one in itertools.product(RATES_HZ, (1, 2), KBPS, MORE)
        if one[0] >= 32_000 or one[2] <= mp3.MOST_KBPS_BELOW_32_KHZ
    ]
    return whole if IS_LONG_SET else whole[::7]


def chirp(n_frames: int, rate_hz: int, channels: int) -> NDArray[np.int16]:
    """Return a tone that rises from 300 Hz, so that it fits in one place only."""
    at = np.arange(n_frames) / rate_hz
    wave = np.rint(8_000 * np.sin(2 * np.pi * (300 + 800 * at) * at)).astype(np.int16)
    return np.repeat(wave[:, np.newaxis], channels, axis=1)


def in_blocks(samples: NDArray[np.int16], n_block: int = 20_000) -> Iterator[Pcm]:
    """Yield an array in pieces."""
    for at in range(0, len(samples), n_block):
        yield samples[at : at + n_block]


def written(path: Path, samples: NDArray[np.int16], rate_hz: int, kbps: int = 96) -> Path:
    """Write an MP3."""
    write_track(
        in_blocks(samples), path, format="mp3", rate_hz=rate_hz, channels=samples.shape[1],
        bitrate_kbps=kbps,
    )  # fmt: skip
    return path


def by_libsndfile(path: Path, shape: Shape) -> NDArray[Any]:
    """Decode with libsndfile."""
    samples, rate_hz = soundfile.read(path, always_2d=True)
    assert rate_hz == shape.rate_hz
    return np.asarray(samples)


def by_pyav(path: Path, shape: Shape) -> NDArray[Any]:
    """Decode with PyAV."""
    with av.open(str(path)) as container:
        assert container.streams.audio[0].rate == shape.rate_hz
        return np.concatenate([frame.to_ndarray().T for frame in container.decode(audio=0)])


def by_miniaudio(path: Path, shape: Shape) -> NDArray[Any]:
    """Decode with miniaudio."""
    floats = miniaudio.SampleFormat.FLOAT32
    found = miniaudio.decode(path.read_bytes(), floats, shape.channels, shape.rate_hz)
    return np.array(found.samples).reshape(-1, shape.channels)


def by_program(command: list[str], shape: Shape) -> NDArray[Any]:
    """Decode with a program that writes 32-bit floats; it must not complain."""
    done = subprocess.run(command, capture_output=True, check=True)
    assert done.stderr == b""
    return np.frombuffer(done.stdout, "<f4").reshape(-1, shape.channels)


def by_ffmpeg(path: Path, shape: Shape) -> NDArray[Any]:
    """Decode with the ffmpeg program."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    return by_program([program, "-v", "error", "-i", str(path), "-f", "f32le", "-"], shape)


def by_mpg123(path: Path, shape: Shape) -> NDArray[Any]:
    """Decode with the mpg123 program, where it is."""
    program = shutil.which("mpg123")
    if program is None:
        pytest.skip("there is no mpg123: apt-get install mpg123")
    return by_program([program, "-q", "-e", "f32", "-s", str(path)], shape)


@pytest.mark.parametrize("decode", [by_libsndfile, by_pyav, by_miniaudio, by_ffmpeg, by_mpg123])
def test_a_decoder_gives_back_every_sample_in_its_place(
    tmp_path: Path, decode: Callable[[Path, Shape], NDArray[Any]]
) -> None:
    """As many samples as were written, the first one first, and as loud within 0.005 dB."""
    assert len(shapes()) > 30
    for shape in shapes():
        n_frames = 30 * (1_152 if shape.rate_hz >= 32_000 else 576) + shape.n_more
        given = chirp(n_frames, shape.rate_hz, shape.channels)
        path = written(tmp_path / "t.mp3", given, shape.rate_hz, shape.kbps)

        heard = decode(path, shape)

        assert (shape, len(heard)) == (shape, n_frames)
        wave = given.astype(float) / 32_768
        middle = wave[1_000:-1_000]
        likeness = {
            lag: float(np.sum(middle * heard[1_000 + lag : n_frames - 1_000 + lag]))
            for lag in range(-50, 51)
        }
        best = max(likeness, key=lambda lag: likeness[lag])
        assert (shape, best) == (shape, 0)
        gain_db = 20 * np.log10(likeness[0] / np.sum(middle * middle))
        assert abs(gain_db) <= 0.005, shape


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("kbps", [32, 64, 96, 128, 160, 192, 224, 256, 320])
def test_it_is_as_loud_as_the_samples(tmp_path: Path, channels: int, kbps: int) -> None:
    """Two tones come back with their own level within 0.02 dB, at every usual bit rate."""
    rate_hz = 44_100
    at = np.arange(rate_hz * 2) / rate_hz
    wave = 3_000 * np.sin(2 * np.pi * 700 * at) + 2_000 * np.sin(2 * np.pi * 1_230 * at)
    samples = np.repeat(np.rint(wave).astype(np.int16)[:, np.newaxis], channels, axis=1)

    path = written(tmp_path / "t.mp3", samples, rate_hz, kbps)

    middle = slice(rate_hz // 2, -rate_hz // 2)
    given = samples[middle].astype(float) / 32_768
    heard = soundfile.read(path, always_2d=True)[0][middle]
    gain = float(np.sum(given * heard) / np.sum(given * given))
    assert abs(20 * np.log10(gain)) <= 0.02


@pytest.mark.parametrize("kbps", [64, 96])
def test_it_keeps_clicks_in_their_places(tmp_path: Path, kbps: int) -> None:
    """Clicks come back within 0.1 ms of their written samples."""
    places = [20_000 + 33_333 * number for number in range(12)]
    samples = np.zeros((places[-1] + 20_000, 1), np.int16)
    for place in places:
        samples[place] = 24_000

    path = written(tmp_path / "t.mp3", samples, 44_100, kbps)

    heard = np.abs(soundfile.read(path, always_2d=True)[0][:, 0])
    found = [place - 2_000 + int(heard[place - 2_000 : place + 2_000].argmax()) for place in places]
    assert max(abs(a - b) for a, b in zip(found, places, strict=True)) <= 0.0001 * 44_100


@pytest.mark.parametrize(("channels", "kbps"), [(1, 96), (2, 160)])
def test_it_has_a_constant_bit_rate(tmp_path: Path, channels: int, kbps: int) -> None:
    """By default 96 kbit/s mono and 160 stereo, constant, encoded by LAME, as mutagen reads it."""
    path = tmp_path / "t.mp3"
    samples = chirp(60_000, 44_100, channels)

    write_track(in_blocks(samples), path, format="mp3", rate_hz=44_100, channels=channels)

    info: Any = MP3(path).info
    assert (info.bitrate_mode, info.channels) == (BitrateMode.CBR, channels)
    assert info.bitrate == pytest.approx(kbps * 1000, rel=0.001)
    assert info.encoder_info == "LAME 3.100.0+"
    assert info.length == pytest.approx(60_000 / 44_100, abs=1e-4)


def test_the_size_of_the_blocks_changes_no_byte(tmp_path: Path) -> None:
    """The same samples give the same bytes, however they come, and twice."""
    samples = chirp(150_000, 44_100, 2)
    found = set()
    for number, n_block in enumerate((20_000, 20_000, 777, 150_000)):
        path = tmp_path / f"{number}.mp3"
        blocks = in_blocks(samples, n_block)
        write_track(blocks, path, format="mp3", rate_hz=44_100, channels=2)
        found.add(path.read_bytes())
    assert len(found) == 1


def test_full_scale_stays_full_scale(tmp_path: Path) -> None:
    """What the encoder's loss leaves no room to give back is held, and never turns over."""
    samples = np.where(np.arange(44_100) // 441 % 2, 32_767, -32_768).astype(np.int16)

    path = written(tmp_path / "t.mp3", samples[:, np.newaxis], 44_100, 320)
    other = written(tmp_path / "u.mp3", samples[:, np.newaxis], 44_100, 96)

    for file in (path, other):
        heard = soundfile.read(file)[0]
        middle = slice(220, None, 441)  # of each half wave
        assert (np.sign(heard[middle]) == np.sign(samples[middle])).all()


def test_silence_is_silence(tmp_path: Path) -> None:
    """Digital silence is decoded as exactly nothing."""
    path = written(tmp_path / "t.mp3", np.zeros((100_000, 1), np.int16), 44_100)

    assert not soundfile.read(path)[0].any()


def test_no_samples_at_all(tmp_path: Path) -> None:
    """A track without a sample is a file that decodes to none."""
    path = tmp_path / "t.mp3"

    write_track([], path, format="mp3", rate_hz=44_100, channels=1)

    assert len(by_miniaudio(path, Shape(44_100, 1, 96, 0))) == 0


def test_the_interpreter_goes_on_while_it_encodes() -> None:
    """LAME lets other threads run: this one counts on while another encodes.

    What the encoder's thread in `sound.mp3` is for. Without it, nothing would be counted.
    """
    encoder = lameenc.Encoder()
    encoder.silence()
    encoder.set_channels(1)
    encoder.set_quality(2)
    samples = chirp(44_100 * 20, 44_100, 1).tobytes()
    thread = threading.Thread(target=encoder.encode, args=(samples,))
    n_counted = 0

    thread.start()
    while thread.is_alive():
        n_counted += 1

    assert n_counted > 1_000


def test_a_stream_that_breaks_off_is_refused() -> None:
    """Frames are counted from their headers; one that is not whole, or not there, is told."""
    encoder = lameenc.Encoder()
    encoder.silence()
    encoder.set_channels(1)
    encoder.set_bit_rate(96)
    stream = bytes(encoder.encode(chirp(50_000, 44_100, 1).tobytes()) + encoder.flush())

    whole = Frames(rate_hz=44_100, channels=1, kbps=96)
    for at in range(0, len(stream), 3):  # headers come in parts too
        whole.add(stream[at : at + 3])
    frame = whole.first_frame(50_000)
    assert len(frame) == whole.n_first_bytes
    at = frame.index(b"Info")
    assert int.from_bytes(frame[at + 8 : at + 12], "big") == whole.n_frames
    assert int.from_bytes(frame[at + 152 : at + 154], "big") == arc(stream)

    cut = Frames(rate_hz=44_100, channels=1, kbps=96)
    cut.add(stream[:-10])
    with pytest.raises(ValueError, match="frames for 50000 samples"):
        cut.first_frame(50_000)
    with pytest.raises(ValueError, match="frames for 90000 samples"):
        whole.first_frame(90_000)
    damaged = Frames(rate_hz=44_100, channels=1, kbps=96)
    with pytest.raises(ValueError, match="frame 2 begins with"):
        damaged.add(stream[:200] + stream[201:])


class _Broken:
    """An encoder that fails."""

    @staticmethod
    def encode(_: bytes) -> bytearray:
        """Fail as LAME does."""
        raise RuntimeError("LAME encoding failed")


class _Odd:
    """An encoder that gives something else."""

    @staticmethod
    def encode(_: bytes) -> bytearray:
        """Give what is no MP3."""
        return bytearray(b"no sound at all")


@pytest.mark.parametrize(
    ("coder", "reason"), [(_Broken, "LAME encoding failed"), (_Odd, "frame 1 begins with 6e6f2073")]
)
def test_a_failing_encoder_is_quoted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, coder: type, reason: str
) -> None:
    """An encoder that fails is reported with its own words; nothing is left."""
    monkeypatch.setattr(mp3, "_coder", lambda *_: coder())

    with pytest.raises(OutputError, match=rf"t\.mp3’ cannot be written \({reason}\)"):
        written(tmp_path / "t.mp3", chirp(400_000, 44_100, 1), 44_100)

    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("rate_hz", "kbps"), [(44_101, 96), (96_000, 96), (44_100, 97), (44_100, 321), (22_050, 320)]
)
def test_rates_out_of_range_are_refused(tmp_path: Path, rate_hz: int, kbps: int) -> None:
    """A rate that MP3 does not know is a caller's mistake, never silently another rate."""
    with pytest.raises((ValueError, OutputError), match=r"an MP3 (has a rate in|cannot hold)"):
        write_track(
            [], tmp_path / "t.mp3", format="mp3", rate_hz=rate_hz, channels=1, bitrate_kbps=kbps
        )
