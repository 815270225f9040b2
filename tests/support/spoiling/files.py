"""Writing the harness's tracks in every format that the check reads."""

from __future__ import annotations

import subprocess
from typing import TYPE_CHECKING

import imageio_ffmpeg
import numpy as np
import soundfile
import soxr
from pausewright.sound.track_files import Target, write_tracks
from pausewright.sound.track_tags import Tags

if TYPE_CHECKING:
    from pathlib import Path

    from support.spoiling.tracks import GoodTrack, Wave

FORMATS = ("wav", "flac", "mp3-64", "mp3-96", "mp3-128", "mp3-320", "ogg", "opus", "m4a")
"""Formats of undamaged tracks."""
BUILT = frozenset({".wav", ".flac", ".mp3"})
"""Those that the builder codes; the others are written here."""
CEILING_DBTP = -1.0
"""EBU R 128: what the check allows."""


def write(
    folder: Path,
    wave: Wave,
    rate_hz: int,
    kind: str,
    *,
    track: GoodTrack | None = None,
    name: str = "track",
) -> Path:
    """Write samples, shape (n,) or (n, n_channels), and return the file.

    `kind` is a format, for MP3 with its bit rate: "wav", "mp3-96" … `track` gives the tags.
    """
    form, _, kbps = kind.partition("-")
    path = folder / f"{name}.{form}"
    wide = wave.reshape(len(wave), -1)
    if form in {"wav", "flac", "mp3"}:
        tags = None
        if track is not None:
            title = track.worded.script.settings.title
            language = track.worded.script.settings.language
            tags = Tags(title, track.edition, track.label, language, track.chapters)
        pcm = np.rint(wide * 32768).clip(-32767, 32767).astype(np.int16)
        target = Target(path, form, int(kbps) if kbps else None, tags)  # type: ignore[arg-type]
        write_tracks([pcm], [target], rate_hz=rate_hz, channels=pcm.shape[1])
    elif form == "ogg":
        _in_pieces(path, wide, rate_hz, "OGG", "VORBIS")
    elif form == "opus":
        _in_pieces(path, soxr.resample(wide, rate_hz, 48_000), 48_000, "OGG", "OPUS")
    else:
        source = folder / f"{name}.source.wav"
        soundfile.write(str(source), wide, rate_hz, subtype="PCM_16")
        ffmpeg(["-i", str(source), "-c:a", "aac", "-b:a", "96k", str(path)])
        source.unlink()
    return path


def _in_pieces(path: Path, wide: Wave, rate_hz: int, form: str, subtype: str) -> None:
    """Write Ogg in pieces: libsndfile fails on long blocks of Vorbis."""
    with soundfile.SoundFile(
        str(path), "w", rate_hz, wide.shape[1], subtype=subtype, format=form
    ) as file:
        for at in range(0, len(wide), 1 << 15):
            file.write(wide[at : at + (1 << 15)])


def peak_is_right(file: Path) -> bool:
    """Return whether a finding about the true peak of an undamaged file is right.

    A coder drove it over 0 dBTP; or over the ceiling of −1 dBTP, in a file that another program
    coded: what the builder codes itself must stay below that. Measured with ffmpeg's decoder and
    soxr at four times the rate.
    """
    plain = file.with_name(f"{file.stem}.decoded.wav")
    ffmpeg(["-i", str(file), "-c:a", "pcm_f32le", str(plain)])
    wave, rate_hz = soundfile.read(str(plain), dtype="float32", always_2d=True)
    plain.unlink()
    most = 1.0 if file.suffix in BUILT else 10 ** (CEILING_DBTP / 20)
    return bool(np.abs(soxr.resample(wave, rate_hz, 4 * rate_hz)).max() > most)


def ffmpeg(arguments: list[str]) -> None:
    """Run ffmpeg quietly."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    command = [program, "-v", "error", "-nostdin", "-y", *arguments]
    subprocess.run(command, check=True, stdin=subprocess.DEVNULL)
