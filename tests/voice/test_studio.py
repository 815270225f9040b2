"""The studio with the fake voice: voiced once, kept, repeatable, all faults at once."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.problems import ScriptError
from pausewright.voice import studio as studio_module
from pausewright.voice.engine_kinds import EngineKind
from pausewright.voice.studio import Studio
from support.places import TESTS
from support.voices.fake_voice import (
    FakeEngine,
    fake_engines,
    fake_profiles,
    fake_studio,
    n_samples_of,
    utterance,
)

if TYPE_CHECKING:
    from pathlib import Path

NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEXTS = [f"Question {word}." for word in NUMBERS]


def test_lengths_are_exact(tmp_path: Path) -> None:
    """The length of a take is that of its words, to the sample, before and after a rebuild."""
    for _ in range(2):
        studio = fake_studio(tmp_path)
        for text in TEXTS:
            assert studio.n_sound_samples(utterance(text, tmp_path)) == n_samples_of(text)


def test_lengths_of_what_is_kept(tmp_path: Path) -> None:
    """Lengths of kept takes are told without voicing or calibrating anything."""
    engine = FakeEngine()
    said = utterance("Nine melons.", tmp_path)
    studio = Studio(
        profiles=fake_profiles(tmp_path, calibrated=False),
        script_folder=tmp_path,
        pace_wpm=Fraction(140),
        engines=fake_engines(engine),
    )
    assert studio.kept_n_sound_samples(said) is None
    assert engine.n_prepared == 0
    studio.record([said])
    assert studio.kept_n_sound_samples(said) == studio.n_sound_samples(said)
    assert studio.kept_n_sound_samples(utterance("Ten.", tmp_path)) is None
    assert studio.kept_n_sound_samples(utterance("Ten.", tmp_path, voice="jo")) is None


def test_equal_words_are_voiced_once(tmp_path: Path) -> None:
    """Places and captions do not make a new take; voice, take number and words do."""
    engine = FakeEngine()
    studio = fake_studio(tmp_path, names=("joe", "ann"), engine=engine)
    said = [
        utterance("Stop.", tmp_path),
        utterance("Stop.", tmp_path, line=7),
        utterance("Stop.", tmp_path, take=2),
        utterance("Stop!", tmp_path),
    ]
    report = studio.record(said)
    assert (report.n_voiced, report.n_kept, engine.n_synthesised) == (3, 0, 3)


def test_a_rebuild_voices_nothing(tmp_path: Path) -> None:
    """With everything kept no engine is loaded; one changed question voices one take."""
    fake_studio(tmp_path).record(utterance(t, tmp_path) for t in TEXTS)
    engine = FakeEngine()
    report = fake_studio(tmp_path, engine=engine).record(utterance(t, tmp_path) for t in TEXTS)
    assert (report.n_voiced, report.n_kept) == (0, len(TEXTS))
    assert engine.n_prepared == engine.n_synthesised == 0
    changed = [*TEXTS[:-1], "Question ten."]
    report = fake_studio(tmp_path, engine=engine).record(utterance(t, tmp_path) for t in changed)
    assert (report.n_voiced, engine.n_synthesised) == (1, 1)


def test_another_rate_or_level_does_not_voice_again(tmp_path: Path) -> None:
    """Raw takes serve every rate: only finishing is done again."""
    fake_studio(tmp_path).record(utterance(t, tmp_path) for t in TEXTS)
    engine = FakeEngine()
    other = fake_studio(tmp_path, engine=engine, rate_hz=48_000)
    assert other.record(utterance(t, tmp_path) for t in TEXTS).n_voiced == 0
    assert engine.n_synthesised == 0
    expected_s = n_samples_of(TEXTS[0]) / 44_100
    measured_s = other.n_sound_samples(utterance(TEXTS[0], tmp_path)) / 48_000
    assert measured_s == pytest.approx(expected_s, abs=0.001)


def test_order_and_workers_change_nothing(tmp_path: Path) -> None:
    """One worker or four, forwards or backwards: the same samples."""
    results = []
    for i, (workers, texts) in enumerate([(1, TEXTS), (4, TEXTS[::-1])]):
        folder = tmp_path / str(i)
        folder.mkdir()
        studio = fake_studio(folder, workers=workers)
        studio.record(utterance(t, folder) for t in texts)
        results.append([studio.take(utterance(t, folder)).samples.tobytes() for t in TEXTS])
    assert results[0] == results[1]


@pytest.mark.parametrize("ending", [".pcm", ".json"])
def test_damaged_takes_are_voiced_again(tmp_path: Path, ending: str) -> None:
    """Damaged files in the store are noticed and replaced by the same sound."""
    said = [utterance(t, tmp_path) for t in TEXTS]
    studio = fake_studio(tmp_path)
    studio.record(said)
    before = [studio.take(u).samples.tobytes() for u in said]
    for file in (tmp_path / ".pausewright").rglob(f"*{ending}"):
        file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    again = fake_studio(tmp_path)
    assert again.record(said).n_voiced == len(said)
    assert [again.take(u).samples.tobytes() for u in said] == before
    assert fake_studio(tmp_path).record(said).n_voiced == 0


def test_damage_between_recording_and_laying(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A take that is lost after recording is made again when it is asked for."""
    monkeypatch.setattr(studio_module, "AT_HAND_BYTES", 0)
    studio = fake_studio(tmp_path)
    said = [utterance(t, tmp_path) for t in TEXTS]
    studio.record(said)
    for file in (tmp_path / ".pausewright").rglob("*.pcm"):
        file.unlink()
    assert studio.take(said[0]).n_sound_samples == n_samples_of(TEXTS[0])


def test_memory_is_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Takes at hand stay within their limit; each can still be had."""
    monkeypatch.setattr(studio_module, "AT_HAND_BYTES", 200_000)
    studio = fake_studio(tmp_path)
    said = [utterance(t, tmp_path) for t in TEXTS]
    studio.record(said)
    assert len(studio._at_hand) < len(said)
    assert studio._at_hand.n_bytes <= 200_000
    assert [studio.take(u).n_sound_samples for u in said] == [n_samples_of(t) for t in TEXTS]


def test_all_faults_are_told_with_their_places(tmp_path: Path) -> None:
    """What cannot be said is one error with every place; the rest is voiced and kept."""
    said = [
        utterance("Nine melons.", tmp_path, line=1),
        utterance("…", tmp_path, line=2),
        utterance("unsayable", tmp_path, line=3),
        utterance("One.", tmp_path, line=4, voice="jo"),
        utterance("Two.", tmp_path, line=5, voice="jo"),
    ]
    with pytest.raises(ScriptError) as caught:
        fake_studio(tmp_path).record(said)
    problems = caught.value.problems
    assert [p.place.line for p in problems] == [2, 3, 4]
    assert all(p.hint and p.code == "voice-cannot-say" for p in problems)
    assert "did you mean ‘joe’?" in problems[2].hint
    assert fake_studio(tmp_path).record(said[:1]).n_kept == 1


def test_progress_reaches_all(tmp_path: Path) -> None:
    """Progress counts every distinct utterance once, in order, kept or voiced."""
    seen: list[tuple[int, int]] = []
    for _ in range(2):
        studio = Studio(
            profiles=fake_profiles(tmp_path),
            script_folder=tmp_path,
            pace_wpm=Fraction(140),
            engines=fake_engines(),
            progress=lambda done, n: seen.append((done, n)),
        )
        studio.record(utterance(t, tmp_path) for t in TEXTS)
    assert seen == [(i + 1, len(TEXTS)) for i in range(len(TEXTS))] * 2


def test_report_names_voice_and_rate(tmp_path: Path) -> None:
    """The report gives voice, terms and words a minute of what was said.

    By hand: two words of two syllables in all are 0.24 + 0.04 s and one gap of 0.4 s lies between.
    """
    report = fake_studio(tmp_path).record(utterance(t, tmp_path) for t in ("One two", "Six ten"))
    n_words = 4
    spoken_s = (n_samples_of("One two") + n_samples_of("Six ten")) / 44_100 + 0.4
    assert report.words_per_minute == pytest.approx(60 * n_words / spoken_s)
    assert [(v.name, v.language, v.licence) for v in report.voices] == [("joe", "en-GB", "none")]
    assert report.reduced == ()


def test_word_ranges(tmp_path: Path) -> None:
    """Each word has its range of samples in the take."""
    studio = fake_studio(tmp_path)
    spans = studio.word_spans(utterance("Nine melons", tmp_path))
    assert [end - start for start, end in spans] == [n_samples_of("Nine"), n_samples_of("melons")]


def test_no_words_in_the_store(tmp_path: Path) -> None:
    """Neither names nor facts in the store hold words of the test."""
    fake_studio(tmp_path).record([utterance("Zanzibar quokka.", tmp_path)])
    for file in (tmp_path / ".pausewright").rglob("*"):
        assert "quokka" not in file.name.lower()
        if file.suffix == ".json":
            assert b"quokka" not in file.read_bytes().lower()


def test_two_studios_at_once(tmp_path: Path) -> None:
    """Two builds of one script at the same time end with the same takes."""

    def build(_: int) -> list[bytes]:
        studio = fake_studio(tmp_path)
        said = [utterance(t, tmp_path) for t in TEXTS]
        studio.record(said)
        return [studio.take(u).samples.tobytes() for u in said]

    with ThreadPoolExecutor(3) as pool:
        results = list(pool.map(build, range(3)))
    assert results[0] == results[1] == results[2]


def test_an_unknown_engine_is_a_problem(tmp_path: Path) -> None:
    """A profile whose engine is not registered says which ones are."""
    studio = Studio(
        profiles=fake_profiles(tmp_path),
        script_folder=tmp_path,
        pace_wpm=Fraction(140),
        engines={"fakes": EngineKind("fakes", lambda _: FakeEngine())},
    )
    with pytest.raises(ScriptError, match="asks for the engine ‘fake’"):
        studio.record([utterance("One.", tmp_path)])


def test_kept_takes_load_no_engine_libraries(tmp_path: Path) -> None:
    """A rebuild from the store imports neither onnxruntime nor onnx, piper, hibari or scipy."""
    fake_studio(tmp_path).record([utterance("One.", tmp_path)])
    code = (
        f"import sys; sys.path.insert(0, {str(TESTS)!r})\n"
        "from pathlib import Path; from support.voices.fake_voice import *\n"
        f"folder = Path({str(tmp_path)!r})\n"
        "studio = fake_studio(folder); u = utterance('One.', folder)\n"
        "assert studio.record([u]).n_kept == 1; studio.take(u)\n"
        "print([m for m in ('onnxruntime', 'onnx', 'piper', 'hibari', 'scipy', 'pyloudnorm') "
        "if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_takes_are_int16_mono(tmp_path: Path) -> None:
    """A take from the store and a fresh one have the same shape and type."""
    for _ in range(2):
        samples = fake_studio(tmp_path).take(utterance("One.", tmp_path)).samples
        assert (samples.dtype.name, samples.shape[1]) == ("int16", 1)
