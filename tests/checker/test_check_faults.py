"""Damage that is heard: each detector finds its own kind, and nothing on a good track."""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.checker.faults import gaps
from pausewright.checker.files.decoded_track import Kept
from pausewright.checker.files.intact import Crc16
from scipy.ndimage import maximum_filter1d, minimum_filter1d
from scipy.signal import butter, sosfiltfilt
from support.spoiling.spoil import db, hum, resampled, room_noise
from support.tracks.checker_tracks import SCRIPT, SPEECH_DBFS, laid, layout, worded, written

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.checker.faults.closer import Scene
    from pausewright.checker.result.findings import CheckResult
    from pausewright.wording.worded import Worded
    from support.tracks.checker_tracks import Wave

RATE_HZ = 22_050
DICE = np.random.default_rng(4)


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Worded:
    """Return the worded script of all tests here."""
    return worded(tmp_path_factory.mktemp("script"), SCRIPT)


@pytest.fixture(scope="module")
def wave() -> Wave:
    """Return the samples of a good track, 10 dB below clipping."""
    samples = laid(layout(), RATE_HZ)
    samples.flags.writeable = False
    return samples


def speech_at(wave: Wave, nth: int = 20) -> int:
    """Return a sample in the middle of a loud part of the track."""
    n = RATE_HZ // 50
    frames = np.sqrt((wave[: len(wave) // n * n].reshape(-1, n) ** 2).mean(axis=1))
    loud = [
        i
        for i in range(3, len(frames) - 3)
        if frames[i - 2 : i + 3].min() > db(SPEECH_DBFS - 4) and i > 30 * 50
    ]
    return int(loud[nth] * n + n // 2)


def silence_at(wave: Wave) -> int:
    """Return a sample in the middle of the longest silence."""
    loud = np.flatnonzero(wave)
    gap = int(np.diff(loud).argmax())
    return int(loud[gap] + loud[gap + 1]) // 2


def _edited(wave: Wave, start: int, new: Wave | float) -> Wave:
    changed = wave.copy()
    n = len(new) if isinstance(new, np.ndarray) else 1
    changed[start : start + n] = new
    return changed


def _dropout(wave: Wave) -> Wave:
    at = speech_at(wave)
    return _edited(wave, at, np.zeros(RATE_HZ // 50, dtype=np.float32))


def _closure(deepest_db: float) -> Callable[[Wave], Wave]:
    """Return what closes speech for 30 ms, by 28 dB within 6 ms, then further."""

    def closed(wave: Wave) -> Wave:
        at = speech_at(wave)
        ms = [0, 1, 4, 12, 18, 28, 30]
        gain_db = [0, -20, -28, deepest_db, deepest_db, -28, 0]
        there = np.arange(RATE_HZ * 30 // 1000)
        gain = 10 ** (np.interp(there, np.array(ms) * RATE_HZ / 1000, gain_db) / 20)
        part = wave[at : at + len(gain)] * gain
        return _edited(wave, at, part.astype(np.float32))

    return closed


def _cut(wave: Wave) -> Wave:
    at = speech_at(wave)
    loud = np.flatnonzero(wave[at:])
    gap = int(np.flatnonzero(np.diff(loud) > RATE_HZ // 2)[0])
    return _edited(wave, at, np.zeros(int(loud[gap]) + 1, dtype=np.float32))


def _stepped(wave: Wave, half_db: float) -> tuple[int, Wave]:
    """Return a place in a silence, and the wave turned up before it and down after it."""
    loud = np.flatnonzero(wave)
    after = loud[np.flatnonzero(np.diff(loud) > RATE_HZ // 2)] + 1
    at = int(after[after > len(wave) // 2][0])
    return at, np.concatenate([wave[:at] * db(half_db), wave[at:] * db(-half_db)])


def _click(wave: Wave) -> Wave:
    at = speech_at(wave)
    return _edited(wave, at, np.array([0.95, -0.6], dtype=np.float32))


def _noise_in_gap(wave: Wave) -> Wave:
    at = silence_at(wave) - RATE_HZ
    noise = room_noise(2 * RATE_HZ, RATE_HZ, SPEECH_DBFS - 16, DICE)
    return _edited(wave, at, noise)


def _both(wave: Wave) -> Wave:
    return np.repeat(wave[:, None], 2, axis=1) * np.float32(0.7)


def _channels(left: float, right: float) -> Callable[[Wave], Wave]:
    return lambda wave: _both(wave) * np.array([left, right], dtype=np.float32)


def _drops_out(wave: Wave) -> Wave:
    changed = _both(wave)
    at = speech_at(wave)
    changed[at - RATE_HZ : at + RATE_HZ, 1] = 0
    return changed


def _low_passed(wave: Wave) -> Wave:
    sos = butter(8, 4000, "lowpass", fs=RATE_HZ, output="sos")
    return np.asarray(sosfiltfilt(sos, wave), dtype=np.float32)


def _louder(wave: Wave) -> Wave:
    at = silence_at(wave)
    return np.concatenate([wave[:at], wave[at:] * np.float32(db(-4))])


SPOILERS: dict[str, tuple[Callable[[Wave], Wave], str]] = {
    "dropout of 20 ms": (_dropout, "dropout"),
    "speech cut off": (_cut, "speech-cut"),
    "click": (_click, "click"),
    "clipped by 6 dB": (lambda w: w.clip(-0.14, 0.14), "clipping"),
    "noise in a gap": (_noise_in_gap, "noise-in-gap"),
    "hum": (
        lambda w: w + hum(len(w), RATE_HZ, SPEECH_DBFS - 45, 50, np.random.default_rng(1)),
        "hum",
    ),
    "shifted zero": (lambda w: w + np.float32(0.004), "dc-offset"),
    "dead channel": (_channels(1, 0), "channel-dead"),
    "channel that drops out": (_drops_out, "channel-dead"),
    "inverted channel": (_channels(1, -1), "channels-out-of-phase"),
    "unequal channels": (_channels(1, 0.6), "channels-unequal"),
    "low-pass of 4 kHz": (_low_passed, "bandwidth"),
    "too fast by 0.5 %": (lambda w: resampled(w, 1.005), "wrong-speed"),
    "too slow by 0.5 %": (lambda w: resampled(w, 1 / 1.005), "wrong-speed"),
    "softer from one place on": (_louder, "level-uneven"),
}


def _checked(folder: Path, script: Worded, wave: Wave, name: str = "t.wav") -> CheckResult:
    return check_track(written(folder / name, wave, RATE_HZ), script, edition=None)


@pytest.mark.parametrize("name", SPOILERS)
def test_each_damage_has_its_finding(name: str, script: Worded, wave: Wave, tmp_path: Path) -> None:
    """A damaged track gives the finding of its damage."""
    spoil, code = SPOILERS[name]

    result = _checked(tmp_path, script, spoil(wave))

    assert code in {f.code for f in result.findings}


@pytest.mark.parametrize(("deepest_db", "name", "told"), [
    (-90, "t.mp3", ["dropout"]),
    (-34, "t.mp3", []),
    (-90, "t.wav", []),
])  # fmt: skip
def test_a_hole_with_soft_edges_is_a_dropout_where_coders_make_them(
    deepest_db: float, name: str, told: list[str], script: Worded, wave: Wave, tmp_path: Path
) -> None:
    """Voices close as quickly, but less; in exact samples only a gate makes such an edge."""
    result = _checked(tmp_path, script, _closure(deepest_db)(wave), name)

    assert [f.code for f in result.findings if f.code == "dropout"] == told


def test_a_good_track_of_two_channels_has_none(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """Two equal channels of a good track give no finding (they are 3 dB lower, so as loud)."""
    assert [f.code for f in _checked(tmp_path, script, _both(wave)).findings] == []


@pytest.mark.parametrize("zero", [0.004, 0.02])
def test_silences_of_an_editor_between_shifted_recordings_stay_silent(
    zero: float, script: Worded, wave: Wave, tmp_path: Path
) -> None:
    """The zero line of recordings is shifted, what an editor put between them is exactly 0."""
    silence = np.asarray(minimum_filter1d((wave == 0).astype(np.int8), RATE_HZ // 10))
    silence = maximum_filter1d(silence, RATE_HZ // 10).astype(bool)
    shifted = np.where(silence, 0, wave + np.float32(zero)).astype(np.float32)

    result = _checked(tmp_path, script, shifted)

    assert [f.code for f in result.findings] == ["dc-offset"]
    assert float(result.findings[0].measured or 0) == pytest.approx(zero, rel=0.1)


@pytest.mark.parametrize(("half_db", "told"), [(0.5, 0), (1.2, 1), (-1.2, 1)])
def test_a_step_in_level_is_told_where_it_is(
    half_db: float, told: int, script: Worded, wave: Wave, tmp_path: Path
) -> None:
    """All words after a place 2.4 dB softer or louder: each lies within 1.5 dB of the middle."""
    at, stepped = _stepped(wave, half_db)

    result = _checked(tmp_path, script, stepped)

    steps = [f for f in result.findings if f.code == "level-uneven"]
    assert len(steps) == told
    for step in steps:
        assert "than before" in step.sentence
        assert at / RATE_HZ <= (step.at_s or 0) <= at / RATE_HZ + 6


def test_speed_is_told_in_numbers(script: Worded, wave: Wave, tmp_path: Path) -> None:
    """Half a per cent is measured to a tenth of a per cent."""
    result = _checked(tmp_path, script, resampled(wave, 1.005))

    (finding,) = [f for f in result.findings if f.code == "wrong-speed"]
    assert float(finding.measured or 0) == pytest.approx(1.005, abs=0.001)


@pytest.mark.parametrize("below_db", [30, 40, 55])
def test_gaps_in_room_noise(below_db: int, script: Worded, wave: Wave, tmp_path: Path) -> None:
    """With room noise 30 dB or more below the speech every judged gap comes back within 50 ms."""
    noise = room_noise(len(wave), RATE_HZ, SPEECH_DBFS - below_db, np.random.default_rng(below_db))

    result = _checked(tmp_path, script, wave + noise)

    judged = [row.difference_s for row in result.silences if row.allowed_s is not None]
    assert len(judged) > 30
    assert all(d is not None and abs(d) <= 0.05 for d in judged), max(map(str, judged))
    assert [f.code for f in result.findings if f.severity == "error"] == []


def test_sum_of_the_catalogue() -> None:
    """CRC-16/ARC of "123456789" is BB3D hex (catalogue of CRC algorithms; from memory)."""
    crc = Crc16()
    crc.add(b"123456789")

    assert crc.value == 0xBB3D


def test_the_sum_does_not_depend_on_the_pieces() -> None:
    """Long data in one piece, in lanes, gives the sum of the same data byte by byte."""
    data = np.random.default_rng(2).integers(0, 256, 150_000, dtype=np.uint8).tobytes()
    whole, slow = Crc16(), Crc16()
    whole.add(data)
    for at in range(0, len(data), 1000):
        slow.add(data[at : at + 1000])

    assert whole.value == slow.value


def test_kept_samples_come_back() -> None:
    """What is kept is read back from anywhere, with zeros where it was silent."""
    wave = np.random.default_rng(3).standard_normal((1000, 2)).astype(np.float32)
    wave[300:600] = 0
    kept = Kept(RATE_HZ, 2)
    for at in range(0, 1000, 100):
        block = wave[at : at + 100]
        if block.any():
            kept.add(block)
        else:
            kept.add_silence(len(block))

    assert kept.runs() == [(0, 300), (600, 1000)]
    assert np.array_equal(kept.read(250, 650), wave[250:650])
    assert np.array_equal(kept.read(-10, 20)[10:], wave[:20])
    assert np.array_equal(np.concatenate([b for _, b in kept.loud_blocks()]), wave[wave.any(1)])


@pytest.mark.parametrize(("softest_db", "told"), [(0.0, 1), (-22.0, 0)])
def test_slow_words_without_a_pause_are_no_noise(softest_db: float, told: int) -> None:
    """Sound of five seconds that is soft nowhere: steady it is noise, but words swing.

    Levels 0 to 22 dB below the speech, drawn every 40 ms and seldom low: slow words of a British
    voice came down by 21.5 dB in their softest fiftieth, by 13 in their softest tenth. Noise 15 dB
    below the speech stays there.
    """
    dice = np.random.default_rng(5)
    frame = RATE_HZ // 25
    levels_db = np.repeat(softest_db * dice.uniform(0, 1, 125) ** 5, frame) if softest_db else -15.0
    wave = dice.standard_normal(125 * frame) * 10 ** ((SPEECH_DBFS + levels_db) / 20)
    kept = Kept(RATE_HZ, 1)
    kept.add(wave.astype(np.float32)[:, None])
    scene = SimpleNamespace(
        speech=lambda: [(0, len(wave))], rate_hz=RATE_HZ, kept=kept, speech_dbfs=SPEECH_DBFS,
        finding=lambda code, *_rest, **_more: code,
    )  # fmt: skip

    assert len(list(gaps._filled(cast("Scene", scene)))) == told
