"""`pausewright hear`: what is chosen is a stretch of the built track, sample for sample."""

from __future__ import annotations

import json
import shutil
import subprocess
import wave
from typing import TYPE_CHECKING

import imageio_ffmpeg
import pytest
from pausewright.cli import app
from pausewright.problems import OutputError, PausewrightError, ScriptError
from pausewright.tasks import playback
from pausewright.tasks.heard_lines import Meanwhile, Wanted, hear_lines
from pausewright.voice import studio as studios
from support.voices.fake_voice import UNSAYABLE, FakeEngine, fake_engines
from typer.testing import CliRunner

if TYPE_CHECKING:
    from pathlib import Path

SCRIPT = """\
---
title: Lock keeper
language: en-GB
voice: mika
accept-voice-language: made for a test
---

# Opening {announce="Question {number}." again="Question {number} again."}

You will hear each question twice.
It is then your turn to write,
and nobody speaks.

Mr Quellenby listens. He has £3.50.

1. What is 9 times 8? {answer-time="4 s" readings=2}

2. How many locks are on the long canal? {answer-time="4 s" readings=2}

3. Write both numbers. {answer-time="2 s"}

    - a. The first is 40.
    - b. The second is 60.

The test is over.
"""
TWICE = ("Question two.", "How many locks are on the long canal?")
LENGTHS_S = {"1": 2, "2": 2, "3b": 1, "1-2": 4, "announcement:2": 1, "line:14": 2, "line:11": 1}
"""What can be heard, and how many sentences it begins at least."""


@pytest.fixture
def folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Return a folder with a script and a fake voice."""
    monkeypatch.chdir(tmp_path)
    engines = fake_engines(FakeEngine(ramp_s=0.02))
    monkeypatch.setattr(studios, "built_in_engines", lambda: {"piper": engines["fake"]})
    (tmp_path / "m.onnx").write_bytes(b"m")
    (tmp_path / "mika.voice.yaml").write_text(
        "engine: piper\nlanguage: es-ES\nlicence: none\norigin: a test\nmodel: m.onnx\n"
        "loudness-offset: 0\npace-table: [[0.5, 300], [3, 60]]\n"
    )
    (tmp_path / "lock.md").write_text(SCRIPT, encoding="utf-8")
    (tmp_path / "lock.arrangements.yaml").write_text(
        "standard: {label: A}\nmore: {label: B, readings: 3, basis: file 1}\n", encoding="utf-8"
    )
    return tmp_path


def frames(file: Path) -> bytes:
    """Return all samples of a WAV file."""
    with wave.open(str(file)) as opened:
        return bytes(opened.readframes(opened.getnframes()))


def hear(*words: str) -> str:
    """Call the command for the script and return what it prints."""
    done = CliRunner().invoke(app, ["hear", "lock.md", *words, "--quiet"])
    if done.exception is not None:
        raise done.exception
    return done.output


@pytest.mark.parametrize("label", ["A", "B"])
def test_what_is_heard_is_a_stretch_of_the_track(folder: Path, label: str) -> None:
    """Every choice lies in the built track, sample for sample, silences with it."""
    built = CliRunner().invoke(
        app, ["build", "lock.md", "--format", "wav", "--arrangement", label, "--quiet"]
    )
    assert built.exit_code == 0, built.output
    (track,) = (folder / "out" / "lock" / f"version-{label}").glob("*[!k].wav")
    whole = frames(track)

    for number, (what, n_sentences) in enumerate(LENGTHS_S.items()):
        out = folder / f"{number}.wav"
        told = hear(what, "--arrangement", label, "--out", out.name)

        assert len(told.splitlines()) > n_sentences
        part = frames(out)
        assert len(part) > 10_000
        assert whole.find(part) >= 0, what


@pytest.mark.parametrize("label", ["A", "B"])
def test_it_can_be_heard_while_the_rest_is_voiced(folder: Path, label: str) -> None:
    """The file that grows holds the same samples, the first of them before all is voiced.

    ffmpeg, a program of its own, plays it to its end though its header states no length.
    """
    for number, what in enumerate(("1-3", *LENGTHS_S)):
        shutil.rmtree(folder / ".pausewright", ignore_errors=True)
        growing, out = folder / f"g{number}.wav", folder / f"{number}.wav"
        at_first: list[tuple[int, int]] = []

        def begins(growing: Path = growing, seen: list[tuple[int, int]] = at_first) -> None:
            seen.append((growing.stat().st_size, n_takes(folder)))

        hear_lines(
            folder / "lock.md", Wanted(what, label, "", out), meanwhile=Meanwhile(growing, begins)
        )

        whole = frames(out)
        ((n_bytes, n_voiced),) = at_first
        assert growing.read_bytes()[44:] == whole
        assert 44 < n_bytes <= len(whole) + 44
        assert n_voiced == 1 or what == "line:11"  # which has two sentences of one utterance each
        assert n_takes(folder) >= n_voiced
        assert growing.stat().st_mode & 0o077 == 0
        command = (imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-i", str(growing))
        played = subprocess.run((*command, "-f", "s16le", "-"), capture_output=True, check=True)
        assert played.stdout == whole
    assert n_takes(folder) > 0


def test_a_fault_is_told_whole_though_it_grows(folder: Path) -> None:
    """All sentences that cannot be said, and nothing is at the place of the sound."""
    text = SCRIPT.replace("What is 9 times 8?", f"{UNSAYABLE}.")
    text = text.replace("How many locks are on the long canal?", f"{UNSAYABLE.title()}.")
    (folder / "lock.md").write_text(text, encoding="utf-8")
    begun: list[bool] = []
    meanwhile = Meanwhile(folder / "g.wav", lambda: begun.append(True))
    with pytest.raises(ScriptError) as caught:
        hear_lines(folder / "lock.md", Wanted("1-2", "", "", folder / "x.wav"), meanwhile=meanwhile)

    assert len(caught.value.problems) == 2
    assert begun == [True]  # the announcement can be said
    assert not (folder / "x.wav").exists()


def n_takes(folder: Path) -> int:
    """Return how many finished takes are kept."""
    return len(list((folder / ".pausewright").glob("takes-*/*.pcm")))


@pytest.mark.usefixtures("folder")
def test_readings_are_those_of_the_version() -> None:
    """A version with three readings has three here too, with what is said before each."""
    standard = hear("2", "--out", "a.wav")
    more = hear("2", "--arrangement", "more", "--out", "b.wav")

    assert standard.count(TWICE[1]) == 2
    assert more.count(TWICE[1]) == 3
    assert TWICE[0] in standard
    assert TWICE[0] not in hear("3", "--out", "c.wav")


@pytest.mark.usefixtures("folder")
def test_a_line_inside_a_sentence_is_the_sentence() -> None:
    """The third line of a paragraph belongs to the sentence that begins on the second."""
    assert "It is then your turn to write, and nobody speaks." in hear("line:12", "--out", "a.wav")


def test_a_word_is_tried(folder: Path) -> None:
    """It is said in another way, and the script stays as it is."""
    told = hear("line:14", "--try", "Quellenby=kwellen bee", "--out", "a.wav")

    assert "Mister kwellen bee listens." in told
    assert "      Quellenby: kwellen bee\n" in told
    assert "{ipa: kwɛlənbi}" in hear("line:14", "--try", "Quellenby=/kwɛlənbi/", "--out", "b.wav")
    assert (folder / "lock.md").read_text(encoding="utf-8") == SCRIPT


def test_what_is_kept_is_confidential_and_one(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without --out it is played from the folder of kept takes, and the next takes its place."""
    played: list[Path] = []

    def play(file: Path) -> bool:
        played.append(file)
        return True

    monkeypatch.setattr(playback, "play", play)

    assert "start low" in hear("1")
    hear("2")

    assert [one.parent.name for one in played] == [".pausewright", ".pausewright"]
    assert len(list(folder.rglob("*.wav"))) == 1
    assert (folder / ".pausewright" / "heard.wav").stat().st_mode & 0o077 == 0


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("4",), "nothing is said for question 4"),
        (("1-9",), "no question 9 follows question 1"),
        (("3-2",), "nothing is said for questions 3-2"),
        (("line:13",), "nothing is said on line 13"),
        (("line:999",), "nothing is said on line 999"),
        (("practice:1",), "nothing is said for practice 1"),
        (("seven",), "names nothing that can be heard"),
        (("line:1a",), "names nothing that can be heard"),
        (("1", "--arrangement", "none"), "is not declared"),
        (("1", "--try", "Quellenby=quell"), "changes nothing in what was chosen"),
        (("line:14", "--try", "Quellenby"), "does not say how"),
        (("line:14", "--try", "Quellenby={x}"), "stands in"),
    ],
)
def test_what_cannot_be_heard_is_said(folder: Path, words: tuple[str, ...], said: str) -> None:
    """A plain sentence, and nothing is written."""
    with pytest.raises(PausewrightError, match=said):
        hear(*words, "--out", "x.wav")
    assert not (folder / "x.wav").exists()


def test_a_file_of_the_user_stays(folder: Path) -> None:
    """Nothing is written over."""
    (folder / "mine.wav").write_bytes(b"mine")
    with pytest.raises(OutputError, match="exists already"):
        hear("1", "--out", "mine.wav")
    assert (folder / "mine.wav").read_bytes() == b"mine"


def test_what_was_played_to_its_end_counts_as_heard(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only where a known player played it; a word that is tried is another sound."""
    kept = folder / "lock.heard.json"
    monkeypatch.setattr(playback, "play", lambda _: True)
    monkeypatch.setattr(playback, "plays_here", lambda: False)
    hear("1")
    monkeypatch.setattr(playback, "plays_here", lambda: True)
    hear("1", "--out", "a.wav")
    assert not kept.exists()
    hear("1")
    noted = json.loads(kept.read_text("utf-8"))["takes"]
    assert len(noted) >= 1
    assert all(one["spans"] == [[0, one["n_samples"]]] for one in noted)
