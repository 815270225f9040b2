"""The sounds, pictures and voices that tests/sample_scripts name, computed: nobody's recordings.

`lay_out(folder)` copies the five scripts and makes all that they need beside them. Speech is
noise in bursts, a word each; music is plain tones with decay, in stereo.
"""

from __future__ import annotations

import shutil
import zlib
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from support.places import TESTS
from support.tracks.checker_tracks import speech

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

SAMPLES = TESTS / "sample_scripts"
SCRIPTS = tuple(sorted(path.name for path in SAMPLES.glob("*.md")))

SPANISH = {
    "marta-recorded": ("Buenos días", "¿Tiene naranjas?", "Dos kilos, por favor.",
                       "Y un poco de perejil.", "¿Diga?"),
    "own-es": ("Sí, a dos cincuenta el kilo", "¿Cuántas quiere?", "El perejil se lo regalo",
               "Son cinco euros"),
}  # fmt: skip
"""What each recorded voice says in d-dialogue.md."""

MESSAGE = (
    "Hola, soy Iker. Llego mañana por la tarde. El tren sale a las seis y veinte. "
    "Voy a llevar pan y un mapa. Si hay algún cambio, te llamo por la mañana. Hasta luego."
)

PROFILE = """engine: recorded
language: es-ES
licence: computed for these tests
origin: noise in bursts, no person's voice
model: {name}.recordings.yaml
"""

PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60" height="40"><path d="{path}"/></svg>\n'
)
PICTURES = {
    "bars": "M0 10H60M0 15H60M0 20H60M0 25H60M0 30H60",
    "g1": "M0 40L60 0",
    "g2": "M0 0L60 40",
    "g3": "M0 20H60",
    "g4": "M0 40L30 0L60 40",
}


def music(name: str, length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return plucked notes without pause, shape (n_samples, 2), and a hum that ends with them."""
    dice = np.random.default_rng(zlib.crc32(name.encode()))
    n = int(length_s * rate_hz)
    at = np.arange(n) / rate_hz
    wave = np.zeros((n, 2))
    for start_s in np.arange(0, length_s, 0.3):
        pitch_hz = 220 * 2 ** (dice.choice([0, 2, 4, 7, 9, 12]) / 12)
        first = int(start_s * rate_hz)
        t = at[first : first + 3 * rate_hz] - at[first]
        note = np.exp(-t / 0.35) * np.sin(2 * np.pi * pitch_hz * t)
        pan = dice.uniform(0.2, 0.8)
        wave[first : first + len(t)] += 0.12 * np.stack([pan * note, (1 - pan) * note], axis=1)
    wave += 0.02 * np.sin(2 * np.pi * 110 * at)[:, np.newaxis]
    n_damped = rate_hz // 50
    wave[-n_damped:] *= np.linspace(1, 0, n_damped)[:, np.newaxis]
    return wave


def lay_out(folder: Path) -> Path:
    """Copy the scripts into a folder, with everything that they name; return the folder."""
    for name in SCRIPTS:
        shutil.copyfile(SAMPLES / name, folder / name)
    audio, pictures = folder / "audio", folder / "pictures"
    audio.mkdir()
    pictures.mkdir()
    for name, path in PICTURES.items():
        (pictures / f"{name}.svg").write_text(PICTURE.format(path=path), encoding="utf-8")
    for voice, lines in SPANISH.items():
        _record(folder, voice, lines)
    (audio / "unit4-message.txt").write_text(MESSAGE + "\n", encoding="utf-8")
    _message(audio / "unit4.wav")
    ring = music("ring", 4, 22_050)[:, :1]
    soundfile.write(audio / "ring.wav", ring, 22_050, subtype="PCM_16")
    soundfile.write(audio / "dance.flac", music("dance", 48, 44_100), 44_100)
    soundfile.write(audio / "song-a.flac", music("song a", 21, 48_000), 48_000)
    soundfile.write(audio / "song-b.flac", music("song b", 24.5, 48_000), 48_000)
    return folder


def _record(folder: Path, voice: str, lines: tuple[str, ...]) -> None:
    """Make a recorded voice: its profile, its list, and a file for each thing that it says."""
    (folder / f"{voice}.voice.yaml").write_text(PROFILE.format(name=voice), encoding="utf-8")
    rows = []
    for number, words in enumerate(lines, 1):
        file = f"audio/{voice}-{number}.wav"
        quiet = np.zeros(4_000, np.float32)
        wave = np.concatenate([quiet, speech(words), quiet])
        soundfile.write(folder / file, wave, 44_100, subtype="PCM_16")
        rows.append(f'"{words}": {file}\n')
    (folder / f"{voice}.recordings.yaml").write_text("".join(rows), encoding="utf-8")


def _message(file: Path) -> None:
    """Write 92 s, in which the message stands from 1:02.5 to 1:31."""
    rate_hz = 32_000
    said = speech(MESSAGE, rate_hz, seconds_a_letter=0.07)
    wave = np.zeros(92 * rate_hz, np.float32)
    start = int(62.6 * rate_hz)
    assert start + len(said) < 91 * rate_hz, len(said) / rate_hz
    wave[start : start + len(said)] = said
    soundfile.write(file, wave, rate_hz, subtype="PCM_16")
