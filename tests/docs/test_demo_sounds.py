"""The sounds and pictures of the demo scripts: made by our own scripts, small, of several kinds."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import make_demo_sounds
import numpy as np
import pytest
import soundfile
from pausewright.papers.typeset.template_files import own_templates
from pausewright.script.reader import read
from pausewright.sound.meter import loudness_lufs, true_peak_dbtp
from support.places import DEMO
from support.scripts.demo_scripts import SCRIPTS
from support.voices.heard_words import UNDERSTOOD, is_about_as_long, share_heard

if TYPE_CHECKING:
    from pathlib import Path

AUDIO = DEMO / "audio"
DRAWN = {"svg", "title", "g", "path", "circle", "ellipse", "text"}
SVG = "{http://www.w3.org/2000/svg}"
LOSSLESS = [name for name in make_demo_sounds.SOUNDS if not name.endswith(".ogg")]
LOSSY = ["tune.ogg"]


def test_there_are_the_sounds_that_the_script_makes_and_no_others() -> None:
    """Each file has its maker; together they are small."""
    files = sorted(AUDIO.iterdir())

    assert [f.name for f in files] == sorted(make_demo_sounds.SOUNDS)
    assert sum(f.stat().st_size for f in files) <= 1_500_000


def test_several_kinds_of_file_are_there() -> None:
    """Three kinds, at least four rates, mono and stereo: the demos show that each is read."""
    found = [soundfile.info(str(file)) for file in sorted(AUDIO.iterdir())]

    assert {info.format for info in found} == {"WAV", "FLAC", "OGG"}
    assert len({info.samplerate for info in found}) >= 4
    assert {info.channels for info in found} == {1, 2}


@pytest.mark.parametrize("name", LOSSLESS)
def test_a_kept_sound_is_what_its_script_computes(name: str) -> None:
    """The file in the repository is what scripts/make_demo_sounds.py makes, to one step."""
    kept, rate_hz = soundfile.read(AUDIO / name, dtype="int16", always_2d=True)
    made = np.rint(make_demo_sounds.made(name) * 32767)

    assert rate_hz == make_demo_sounds.SOUNDS[name].rate_hz
    assert kept.shape == made.shape
    assert np.max(np.abs(made - kept)) <= 1


@pytest.mark.parametrize("name", LOSSY)
def test_a_kept_lossy_sound_is_what_its_script_computes(name: str, tmp_path: Path) -> None:
    """Made and coded again, it differs from the file in the repository by less than −30 dB."""
    spec = make_demo_sounds.SOUNDS[name]
    soundfile.write(tmp_path / name, make_demo_sounds.made(name), spec.rate_hz, subtype="VORBIS")
    kept, _ = soundfile.read(AUDIO / name, always_2d=True)
    again, _ = soundfile.read(tmp_path / name, always_2d=True)

    assert kept.shape == again.shape
    assert np.sum((again - kept) ** 2) <= 10**-3 * np.sum(kept**2)


def test_every_sound_is_tested_as_what_it_is() -> None:
    """Computed exactly, computed and coded, or said by the voice: no sound is passed over."""
    assert sorted([*LOSSLESS, *LOSSY, *make_demo_sounds.NELA]) == sorted(make_demo_sounds.SOUNDS)


@pytest.mark.parametrize("name", make_demo_sounds.NELA)
def test_a_kept_sentence_is_narrowed_to_the_telephone(name: str) -> None:
    """One channel of Vorbis at its rate; under a thousandth of it outside the telephone's band.

    The voice's samples depend on the processor, so the file is measured, not made again.
    """
    info = soundfile.info(str(AUDIO / name))
    sound, rate_hz = soundfile.read(AUDIO / name)
    power = np.abs(np.fft.rfft(sound)) ** 2
    at_hz = np.fft.rfftfreq(len(sound), 1 / rate_hz)
    low_hz, high_hz = make_demo_sounds.TELEPHONE_HZ
    is_outside = (at_hz < low_hz - 100) | (at_hz > high_hz + 200)

    assert (info.format, info.subtype, info.channels) == ("OGG", "VORBIS", 1)
    assert rate_hz == make_demo_sounds.SOUNDS[name].rate_hz
    assert power[is_outside].sum() < 1e-3 * power.sum()


@pytest.mark.voice
@pytest.mark.parametrize("name", make_demo_sounds.NELA)
def test_a_kept_sentence_is_as_long_as_the_voice_says_it(name: str) -> None:
    """Said again on this machine, within what the voice promises for its pace."""
    kept_s = soundfile.info(str(AUDIO / name)).duration
    said_s = len(make_demo_sounds.made(name)) / make_demo_sounds.SOUNDS[name].rate_hz

    assert is_about_as_long(kept_s, said_s)


@pytest.mark.voice
def test_the_kept_sentences_are_heard() -> None:
    """The machine's ear understands in each file what its script gives to the voice."""
    sounds = [(*soundfile.read(AUDIO / name), said) for name, said in make_demo_sounds.NELA.items()]

    assert min(share_heard(sounds)) >= UNDERSTOOD


@pytest.mark.parametrize("name", make_demo_sounds.SOUNDS)
def test_a_sound_is_neither_loud_nor_soft(name: str) -> None:
    """Its loudness is the one that its script aims at, to what the coder does; no peak is high."""
    sound, rate_hz = soundfile.read(AUDIO / name, dtype="float32", always_2d=True)

    target_lufs = make_demo_sounds.SOUNDS[name].target_lufs
    assert loudness_lufs(sound, rate_hz) == pytest.approx(target_lufs, abs=0.3)
    assert true_peak_dbtp(sound, rate_hz) < -3


def test_the_station_bell_has_its_strokes() -> None:
    """Question 1 of the dialogue: three strokes, a rest, two more; loudest where each begins."""
    sound, rate_hz = soundfile.read(AUDIO / "station-bell.wav")
    n = rate_hz // 20
    level = np.sqrt(np.mean(sound[: len(sound) // n * n].reshape(-1, n) ** 2, axis=1))

    assert np.flatnonzero(level[1:] > 1.5 * level[:-1]).tolist() == [10, 21, 47, 58]


def test_every_file_of_the_demos_is_named_and_there() -> None:
    """No picture, sound or text lies about unused, and none that a script names is missing."""
    texts = {file: text for script in SCRIPTS for file, text in read(script).script.sources.items()}
    lists = "\n".join(f.read_text("utf-8") for f in sorted(DEMO.glob("*.yaml")))
    every = "\n".join([*texts.values(), lists])
    every += "".join(f"{folder}/{name}" for folder in re.findall(r"paper-templates: (\S+)", every)
                     for name in own_templates().texts)  # fmt: skip
    kept = [f for f in sorted(DEMO.rglob("*")) if f.is_file() and ".pausewright" not in f.parts]
    files = [f.relative_to(DEMO).as_posix() for f in kept if f.parent not in {DEMO, EXAMPLES}]

    assert files
    assert [name for name in files if name not in every] == []


EXAMPLES = DEMO / "arrangements"
"""Examples of declared arrangements; they are tests of their own."""


@pytest.mark.parametrize("file", sorted((DEMO / "pictures").iterdir()), ids=lambda f: f.name)
def test_a_picture_is_small_and_plain(file: Path) -> None:
    """An SVG with a title and a size, black on nothing, without scripts or outside parts."""
    root = ET.fromstring(file.read_text(encoding="utf-8"))  # noqa: S314  our own file
    tags = {str(one.tag) for one in root.iter()}

    assert root.tag == f"{SVG}svg"
    assert root.get("viewBox")
    assert (root.findtext(f"{SVG}title") or "").strip()
    assert tags <= {
        f"{SVG}{name}" for name in ("svg", "title", "g", "path", "circle", "ellipse", "text")
    }
    assert "href" not in file.read_text(encoding="utf-8")
    assert file.stat().st_size < 1000


def test_the_music_answers_the_questions_about_it() -> None:
    """Three beats a bar; string, pipe, drum; A down to D; version B slower and minor (B flat)."""
    notes = [note.split() for note in make_demo_sounds.PIPE_TUNE]
    names = [name for name, _ in notes]
    n_beats = sum(float(beats) for _, beats in notes)
    n_bars = len(make_demo_sounds.CHORDS)

    assert make_demo_sounds.BAR_BEATS == 3
    assert 0 < make_demo_sounds.PIPE_FROM_BAR < make_demo_sounds.DRUM_FROM_BAR < n_bars
    assert n_beats == 3 * (n_bars - make_demo_sounds.PIPE_FROM_BAR)
    assert (names[0], names[-1]) == ("A5", "D5")
    assert make_demo_sounds.TUNE_BEATS_S["B"] > 1.2 * make_demo_sounds.TUNE_BEATS_S["A"]
    assert any(note.startswith("B4") for note in make_demo_sounds.TUNE)
