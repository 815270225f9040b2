"""Tracks in pieces as they are handed over: good ones pass, and what happened to them is told."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import jsonschema
import mutagen
import numpy as np
import pytest
import soundfile
from mutagen.id3 import TXXX
from pausewright.checker.files.piece_set import NO_WHOLE, check_pieces, piece_sets, set_around
from pausewright.checker.report.blind import as_blind_text
from pausewright.checker.report.page import as_page
from pausewright.checker.report.report import as_data, schema
from pausewright.checker.unscripted import measure_track
from pausewright.deliver.recheck import recheck
from pausewright.problems import TrackError
from support.scripts.short_scripts import SMALL
from support.spoiling.files import write
from support.spoiling.kinds import PIECES
from support.tracks.delivered_tests import built_test, stick
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from pausewright.checker.result.delivered import Delivered
    from pausewright.deliver.build import Built

SCRIPT = SMALL.replace("# End", '::: stop {for="3 s"}\nRest your hand.\n:::\n\n# End')


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a test in three pieces, built once."""
    return built_test(tmp_path_factory.mktemp("office"), SCRIPT, split_at_stops=True)


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return another edition of it, whose questions are longer."""
    text = SCRIPT.replace("How many boats", "How many red and yellow boats")
    folder = tmp_path_factory.mktemp("other")
    return built_test(folder, text, ("mp3",), split_at_stops=True)


def script_of(built: Built) -> Path:
    """Return the script that was built."""
    return built.folder.parent.parent / "morning.md"


def codes(found: Delivered) -> set[str]:
    """Return codes and severities of all findings but those that the fake voice is known for."""
    return {f"{one.severity} {one.code}" for one in found.all_findings} - UNLIKE_SPEECH


def piece(folder: Path, number: int, ending: str = "mp3") -> Path:
    """Return one piece in a folder."""
    return next(folder.glob(f"*_{number}-of-*.{ending}"))


def test_names_part_pieces_from_whole_tracks() -> None:
    """By the end of the name alone: a title may hold the same words."""
    names = ("a_1-of-2_A_X.wav", "a_1-of-2_A_X_02-of-10.wav", "a_1-of-2_A_X_01-of-10.wav", "b.wav")
    wholes, sets = piece_sets([Path(name) for name in names])

    assert [one.name for one in wholes] == ["a_1-of-2_A_X.wav", "b.wav"]
    assert [(one.whole.name, [n for n, _, _ in one.by_number]) for one in sets] == [
        ("a_1-of-2_A_X.wav", [1, 2])
    ]


def test_a_copy_with_its_pieces_is_good_without_the_script_and_with_it(
    built: Built, tmp_path: Path
) -> None:
    """The pieces of each format are one more track, as long as the whole."""
    copy = stick(built, tmp_path / "stick")
    for found in (recheck(copy), recheck(copy, script=script_of(built))):
        assert codes(found) == set()
        (room,) = found.rooms
        assert len(room.checks) == 4
        assert len({check.n_frames for check in room.checks}) == 1
    judged = next(check for check in room.checks if "1-of-3 to 3-of-3" in check.track)
    assert [row.is_good for row in judged.rows] == [True, True]
    assert NO_WHOLE not in judged.cautions


def test_one_piece_stands_for_all_beside_it(built: Built, tmp_path: Path) -> None:
    """`check PIECE --script` judges the joined pieces, not a third of a test."""
    copy = stick(built, tmp_path / "stick")
    found = recheck(piece(copy, 2, "wav"), script=script_of(built))

    assert codes(found) == set()
    assert [row.is_good for row in found.checks[0].rows] == [True, True]


def test_pieces_alone_are_judged_and_the_caution_says_so(built: Built, tmp_path: Path) -> None:
    """Without the whole track beside them nothing can be compared with it."""
    copy = stick(built, tmp_path / "stick")
    for file in copy.iterdir():
        if "-of-3.wav" not in file.name:
            file.unlink()
    found = recheck(copy, script=script_of(built))

    assert codes(found) == set()
    assert NO_WHOLE in found.checks[0].cautions


Damage = Callable[[Path, "Built"], object]


def _swap(copy: Path, other: Built) -> None:
    del other
    first, second = piece(copy, 1), piece(copy, 2)
    between = copy / "between"
    first.rename(between)
    second.rename(first)
    between.rename(second)


def _of_another_edition(copy: Path, other: Built) -> None:
    piece(copy, 2).write_bytes(piece(other.folder / "version-A", 2).read_bytes())


def _relabelled(copy: Path, other: Built) -> None:
    del other
    file = mutagen.File(piece(copy, 3))
    file.tags.add(TXXX(encoding=1, desc="VERSION LABEL", text="B"))
    file.save()


def _out_of_count(copy: Path, other: Built) -> None:
    del other
    file = piece(copy, 3)
    file.rename(file.with_name(file.name.replace("3-of-3", "3-of-4")))


def _beyond_the_count(copy: Path, other: Built) -> None:
    del other
    file = piece(copy, 1)
    file.with_name(file.name.replace("1-of-3", "4-of-3")).write_bytes(file.read_bytes())


def _a_number_twice(copy: Path, other: Built) -> None:
    del other
    file = piece(copy, 1)
    file.with_name(file.name.replace("1-of-3", "01-of-3")).write_bytes(file.read_bytes())


def _a_sample_more(copy: Path, other: Built) -> None:
    del other
    wave, rate_hz = soundfile.read(piece(copy, 2, "wav"), dtype="int16")
    soundfile.write(piece(copy, 2, "wav"), np.insert(wave, 100, 0), rate_hz)


def _one_sample_else(copy: Path, other: Built) -> None:
    del other
    wave, rate_hz = soundfile.read(piece(copy, 2, "wav"), dtype="int16")
    wave[44_100] += 1
    soundfile.write(piece(copy, 2, "wav"), wave, rate_hz)


DAMAGES: dict[str, tuple[str, Damage, set[str]]] = {
    "missing": ("mp3", lambda copy, _: piece(copy, 2).unlink(), {"piece-missing"}),
    "last missing": ("mp3", lambda copy, _: piece(copy, 3).unlink(), {"piece-missing"}),
    "swapped": ("mp3", _swap, {"piece-number", "piece-differs"}),
    "another edition": ("mp3", _of_another_edition, {"editions-mixed", "piece-differs"}),
    "another label": ("mp3", _relabelled, {"labels-mixed"}),
    "out of count": ("mp3", _out_of_count, {"piece-count", "piece-number", "piece-missing"}),
    "beyond the count": (
        "mp3", _beyond_the_count, {"piece-count", "piece-number", "piece-differs"}
    ),
    "a number twice": ("mp3", _a_number_twice, {"piece-count", "piece-differs"}),
    "a sample more": ("wav", _a_sample_more, {"piece-differs"}),
    "a sample changed": ("wav", _one_sample_else, {"piece-differs"}),
}  # fmt: skip


@pytest.mark.parametrize(("ending", "damage", "expected"), DAMAGES.values(), ids=DAMAGES.keys())
def test_what_happened_to_the_pieces_is_told(
    built: Built, other: Built, tmp_path: Path, ending: str, damage: Damage, expected: set[str]
) -> None:
    """From the files alone, without list and script: exactly these, each with what to do."""
    for file in (built.folder / "version-A").glob(f"*[!k].{ending}"):
        shutil.copy(file, tmp_path)
    damage(tmp_path, other)
    pieces = set_around(piece(tmp_path, 1, ending))
    assert pieces is not None
    result = check_pieces(pieces, measure_track)

    assert {one.code for one in result.errors} == expected
    assert all(one.hint for one in result.errors)


def test_the_fault_is_named_where_it_is(built: Built, other: Built, tmp_path: Path) -> None:
    """A changed sample has its time in the whole track, the piece's own name, and a drawing."""
    copy = stick(built, tmp_path / "stick")
    _one_sample_else(copy, other)
    found = recheck(piece(copy, 2, "wav"), script=script_of(built))

    (finding,) = [one for one in found.all_findings if one.code == "piece-differs"]
    before = soundfile.info(piece(copy, 1, "wav")).frames
    assert finding.at_s is not None
    assert finding.at_s * 44_100 == before + 44_100
    assert "_2-of-3.wav" in finding.sentence
    assert "<svg" in as_page(found)
    assert "harbour" not in as_blind_text(found)
    assert "piece-differs" in as_blind_text(found)
    jsonschema.validate(as_data(found.checks[0]), schema())


def test_a_missing_piece_names_its_questions(built: Built, tmp_path: Path) -> None:
    """With the script the report also says what candidates would not hear."""
    copy = stick(built, tmp_path / "stick")
    piece(copy, 2, "wav").unlink()
    found = recheck(piece(copy, 1, "wav"), script=script_of(built))

    named = {str(one.question) for one in found.all_findings if one.code == "question-missing"}
    assert named == {"1", "2"}


def test_pieces_of_two_kinds_are_no_track(built: Built, tmp_path: Path) -> None:
    """A piece at another rate is named in an error of the call."""
    copy = stick(built, tmp_path / "stick")
    wave, rate_hz = soundfile.read(piece(copy, 2, "wav"), dtype="int16")
    soundfile.write(piece(copy, 2, "wav"), wave, rate_hz // 2)

    with pytest.raises(TrackError, match=r"2-of-3\.wav.*differ in format"):
        recheck(copy)


RATE_HZ = 44_100


def voice_and_hiss(seed: int) -> np.ndarray:
    """Return two seconds: a hummed sound of 120 Hz, hiss above 4 kHz, and soft hiss alone.

    Hiss of about −45 dBFS is what coders change most: each encoding of it is another wave.
    """
    n = np.arange(2 * RATE_HZ)
    hum = sum(np.sin(2 * np.pi * 120 * k * n / RATE_HZ) / k for k in range(1, 12))
    white = np.random.default_rng(seed).standard_normal(len(n))
    spectrum = np.fft.rfft(white)
    spectrum[: 4000 * len(n) // RATE_HZ] = 0
    hiss = np.fft.irfft(spectrum, len(n))
    is_hum = (n // (RATE_HZ // 2)) % 2 == 0
    return np.where(is_hum, 0.05 * hum, 0.006 * hiss).astype(np.float32)


@pytest.mark.parametrize("form", PIECES)
def test_a_coder_that_starts_anew_makes_no_other_sound(tmp_path: Path, form: str) -> None:
    """Voice and hiss, cut in the hiss, where it tells most: the same sound in every coder."""
    cut = 40_001
    sound = np.concatenate([voice_and_hiss(1), voice_and_hiss(2)])

    assert told(tmp_path, form, sound, [sound[:cut], sound[cut:]]) == []


@pytest.mark.parametrize("form", ["ogg", "opus"])
def test_what_a_coder_puts_before_a_hard_beginning_is_no_other_sound(
    tmp_path: Path, form: str
) -> None:
    """Bursts of hiss out of silence, in many places of the coder's blocks."""
    dice = np.random.default_rng(5)
    sound = np.zeros(30 * RATE_HZ, np.float32)
    for at in range(1, 29):
        start = at * RATE_HZ + int(dice.integers(RATE_HZ // 2))
        n = RATE_HZ // 10
        sound[start : start + n] = 0.25 * dice.standard_normal(n)
    cut = 147 * 150  # whole frames of Opus too

    assert told(tmp_path, form, sound, [sound[:cut], sound[cut:]]) == []


@pytest.mark.parametrize("form", ["mp3-64", "opus"])
@pytest.mark.parametrize("change", ["late", "silence", "hiss lost", "hiss added", "other words"])
def test_another_sound_is_told(tmp_path: Path, form: str, change: str) -> None:
    """1 ms late, 0.1 s of silence in voice or hiss, hiss in a silence, another hum: the piece."""
    sound = np.concatenate([voice_and_hiss(1), np.zeros(RATE_HZ, np.float32), voice_and_hiss(2)])
    cut = 2 * RATE_HZ + 1_000
    last = sound[cut:].copy()
    hummed, hissed = RATE_HZ + RATE_HZ // 4, RATE_HZ + 3 * RATE_HZ // 4
    tenth = RATE_HZ // 10
    if change == "late":
        last = np.roll(last, RATE_HZ // 1000)
    elif change == "silence":
        last[hummed : hummed + tenth] = 0
    elif change == "hiss lost":
        last[hissed : hissed + tenth] = 0
    elif change == "hiss added":
        last[tenth : 2 * tenth] = sound[RATE_HZ - 2 * tenth : RATE_HZ - tenth]
    else:
        n = np.arange(tenth * 2)
        last[hummed : hummed + len(n)] = 0.08 * np.sin(2 * np.pi * 330 * n / RATE_HZ)

    (sentence,) = told(tmp_path, form, sound, [sound[:cut], last])

    assert "_2-of-2" in sentence


def told(folder: Path, form: str, whole: np.ndarray, parts: list[np.ndarray]) -> list[str]:
    """Write a track and its pieces with a coder; return what is said of the pieces' sound."""
    write(folder, whole, RATE_HZ, form)
    files = [
        write(folder, part, RATE_HZ, form, name=f"track_{number}-of-{len(parts)}")
        for number, part in enumerate(parts, 1)
    ]
    _, (found,) = piece_sets(files)
    result = check_pieces(found, measure_track)
    return [one.sentence for one in result.findings if one.code == "piece-differs"]
