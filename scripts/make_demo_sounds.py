"""Make the sounds that the demo scripts name: run it again only to change them.

    .venv/bin/python scripts/make_demo_sounds.py

The sounds are computed, so they belong to nobody; the files are kept in the repository, so
that building a demo needs no extra step. Music and effects come from `demo_instruments`. What
Nela says comes from the bundled voice iris, narrowed to the band of a telephone: it stands in for
a person's recordings and is none.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

import demo_instruments as play
import numpy as np
from pausewright.sound.meter import loudness_lufs, true_peak_dbtp

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Pcm = NDArray[np.float64]

FOLDER: Final = Path(__file__).resolve().parent.parent / "demo_scripts" / "audio"

STROKES_AT_S: Final = (0.0, 0.55, 1.1, 2.4, 2.95)
"""Three strokes of the station bell, a rest, and two more."""

BEAT_S: Final = 0.42
BAR_BEATS: Final = 3
CHORDS: Final = ("D F# A", "A C# E", "D F# A", "G B D", "D F# A", "A C# E", "A C# E", "D F# A")
"""One a bar: the string plays the first note low, then the others."""
PIPE_FROM_BAR: Final = 2
DRUM_FROM_BAR: Final = 4
PIPE_TUNE: Final = (
    "A5 1", "F#5 1", "G5 1", "A5 2", "B5 1", "A5 1", "G5 1", "F#5 1", "E5 2", "F#5 0.5", "G5 0.5",
    "F#5 1", "E5 1", "C#5 1", "D5 3",
)  # fmt: skip
"""Notes with their beats."""

VERSION_B_AT_S: Final = 7.5
TUNE: Final = (
    "D4 1", "G4 1", "B4 1", "A4 1", "G4 1", "B4 1", "D5 1", "B4 1", "A4 1", "F#4 1", "G4 2"
)  # fmt: skip
TUNE_BEATS_S: Final = {"A": 0.58, "B": 0.74}
"""Version B is slower, and minor: B flat in place of B."""

NELA: Final = {
    "nela-hello.ogg": "Hello, this is Nela from the upper lock.",
    "nela-back.ogg": "The red boat is back.",
    "nela-missing.ogg": "One oar is missing.",
    "nela-found.ogg": "The oar was under the bridge. I have dried it.",
    "nela-sunday.ogg": (
        "On Sunday six people from the choir want to row to the island. "
        "Please keep two boats for them."
    ),
}
TELEPHONE_HZ: Final = (300.0, 3400.0)
"""The band of an ordinary telephone line (ITU-T G.712, from memory)."""


@dataclass(frozen=True)
class Made:
    """One sound file."""

    make: Callable[[int], Pcm]
    """From the rate to samples of shape (n_samples, n_channels)."""
    rate_hz: int
    target_lufs: float = -23.0


def station_bell(rate_hz: int) -> Pcm:
    """Return the station bell of the railway; a hand ends it."""
    strokes = [(at_s, play.bell(587.0, 3.9 - at_s, rate_hz)) for at_s in STROKES_AT_S]
    return _mono(play.damped(play.laid(strokes, 3.9, rate_hz), 0.03, rate_hz))


def dance(rate_hz: int) -> Pcm:
    """Return a dance in three four time, D major: string to the left, pipe right, drum between."""
    bar_s = BAR_BEATS * BEAT_S
    length_s = len(CHORDS) * bar_s + 0.4
    low = [
        (bar * bar_s + beat * BEAT_S, _chord_note(chord, beat, rate_hz))
        for bar, chord in enumerate(CHORDS)
        for beat in range(BAR_BEATS)
    ]
    beats = [
        (bar * bar_s + beat * BEAT_S, (1.0 if beat == 0 else 0.45) * play.drum(0.4, rate_hz))
        for bar in range(DRUM_FROM_BAR, len(CHORDS))
        for beat in range(BAR_BEATS)
    ]
    string = play.laid(low, length_s, rate_hz)
    tune = _melody(PIPE_TUNE, BEAT_S, PIPE_FROM_BAR * bar_s, play.pipe, rate_hz)
    blown = 0.55 * play.laid(tune, length_s, rate_hz)
    drums = 0.8 * play.laid(beats, length_s, rate_hz)
    left = 0.9 * string + 0.4 * blown + 0.65 * drums
    right = 0.4 * string + 0.9 * blown + 0.65 * drums
    return np.stack([play.damped(side, 0.2, rate_hz) for side in (left, right)], axis=1)


def tune(rate_hz: int) -> Pcm:
    """Return one tune twice in one file: in G major, then slower and minor; equally loud."""
    minor = tuple(note.replace("B4", "Bb4") for note in TUNE)
    first = _version(TUNE, TUNE_BEATS_S["A"], VERSION_B_AT_S, rate_hz)
    second = _version(minor, TUNE_BEATS_S["B"], 12 * TUNE_BEATS_S["B"] + 0.5, rate_hz)
    return np.concatenate([first, levelled(second, rate_hz, loudness_of(first, rate_hz))])


def four_beats(rate_hz: int) -> Pcm:
    """Return four beats of a drum."""
    beats = [(at_s, play.drum(0.6, rate_hz)) for at_s in (0.0, 0.45, 0.9, 1.35)]
    return _mono(play.damped(play.laid(beats, 1.9, rate_hz), 0.05, rate_hz))


def two_blows(rate_hz: int) -> Pcm:
    """Return a whistle blown short, then long, with silent edges that a script may trim."""
    blows = [(0.3, play.whistle(0.5, rate_hz)), (0.92, play.whistle(1.0, rate_hz))]
    return _mono(play.laid(blows, 2.3, rate_hz))


def nela(words: str) -> Callable[[int], Pcm]:
    """Return what makes a sentence as if Nela said it on a telephone."""

    def make(rate_hz: int) -> Pcm:
        import soxr  # noqa: PLC0415  with the voice only
        from pausewright.voice.engine import Request  # noqa: PLC0415
        from pausewright.voice.engine_kinds import built_in_engines  # noqa: PLC0415
        from pausewright.voice.voice_list import bundled_profiles  # noqa: PLC0415
        from pausewright.wording.line_elements import SpokenPart  # noqa: PLC0415

        profile = bundled_profiles()["iris"]
        engine = built_in_engines()[profile.engine].load(profile)
        request = Request((SpokenPart(words),), "en-US", 0.8, 1)
        raw = engine.synthesise(engine.prepare(request))
        narrow = soxr.resample(raw.samples.astype(np.float64), raw.rate_hz, rate_hz, quality="VHQ")
        return _mono(_telephone(narrow, rate_hz))

    return make


SOUNDS: Final[dict[str, Made]] = {
    "station-bell.wav": Made(station_bell, 44_100),
    "dance.flac": Made(dance, 22_050),
    "tune.ogg": Made(tune, 32_000, target_lufs=-26.0),
    "drum.wav": Made(four_beats, 16_000),
    "whistle.flac": Made(two_blows, 24_000, target_lufs=-30.0),
    **{name: Made(nela(words), 16_000, target_lufs=-24.0) for name, words in NELA.items()},
}
"""File to how it is made. The kinds and rates differ on purpose: a demo shows that each is read.
A mono sound on a stereo track reads 3 dB higher, so the tune is made softer by that."""


def made(name: str) -> NDArray[np.float32]:
    """Return the sound of one file, shape (n_samples, n_channels), full scale ±1."""
    spec = SOUNDS[name]
    return levelled(spec.make(spec.rate_hz), spec.rate_hz, spec.target_lufs).astype(np.float32)


def levelled(sound: Pcm, rate_hz: int, target_lufs: float) -> Pcm:
    """Return the sound at a loudness after BS.1770."""
    return sound * 10 ** ((target_lufs - loudness_of(sound, rate_hz)) / 20)


def loudness_of(sound: Pcm, rate_hz: int) -> float:
    """Return the loudness of a sound after BS.1770 in LUFS."""
    return loudness_lufs((sound / np.max(np.abs(sound))).astype(np.float32), rate_hz) + float(
        20 * np.log10(np.max(np.abs(sound)))
    )


def write(name: str) -> None:
    """Make and write one sound and say how loud it is; the ending tells the kind of file."""
    import soundfile  # noqa: PLC0415

    sound, rate_hz = made(name), SOUNDS[name].rate_hz
    peak_dbtp = true_peak_dbtp(sound, rate_hz)
    if peak_dbtp > -1:
        sys.exit(f"{name}: a true peak of {peak_dbtp:.1f} dBTP is too high")
    FOLDER.mkdir(parents=True, exist_ok=True)
    subtype = "VORBIS" if name.endswith(".ogg") else "PCM_16"
    soundfile.write(FOLDER / name, sound, rate_hz, subtype=subtype)
    size = (FOLDER / name).stat().st_size
    print(
        f"{name}: {len(sound) / rate_hz:.2f} s, {loudness_lufs(sound, rate_hz):.1f} LUFS, "
        f"{peak_dbtp:.1f} dBTP, {size / 1000:.0f} kB"
    )


def main() -> None:
    """Make all sounds, or those that are named."""
    for name in sys.argv[1:] or SOUNDS:
        write(name)


def _mono(sound: Pcm) -> Pcm:
    return sound[:, np.newaxis]


def _chord_note(chord: str, beat: int, rate_hz: int) -> Pcm:
    octave = 3 if beat == 0 else 4
    return play.plucked(play.pitch_hz(f"{chord.split()[beat]}{octave}"), 1.4, rate_hz)


def _melody(
    notes: tuple[str, ...],
    beat_s: float,
    at_s: float,
    instrument: Callable[[float, float, int], Pcm],
    rate_hz: int,
) -> list[tuple[float, Pcm]]:
    found = []
    for note in notes:
        name, beats = note.split()
        length_s = float(beats) * beat_s
        found.append((at_s, instrument(play.pitch_hz(name), length_s + 0.03, rate_hz)))
        at_s += length_s
    return found


def _version(notes: tuple[str, ...], beat_s: float, length_s: float, rate_hz: int) -> Pcm:
    blown = _melody(notes, beat_s, 0.0, play.pipe, rate_hz)
    under = _melody(("G3 4", "D3 4", "G3 4"), beat_s, 0.0, play.plucked, rate_hz)
    both = play.laid([*blown, *((at, 0.6 * sound) for at, sound in under)], length_s, rate_hz)
    return _mono(play.damped(both, 0.05, rate_hz))


def _telephone(sound: Pcm, rate_hz: int) -> Pcm:
    """Return a sound without what lies outside the band, cut by a window of 401 taps."""
    at = np.arange(-200, 201)
    low, high = (2 * edge / rate_hz for edge in TELEPHONE_HZ)
    taps = (high * np.sinc(high * at) - low * np.sinc(low * at)) * np.hanning(len(at))
    return np.convolve(sound, taps, mode="same")


if __name__ == "__main__":
    main()
