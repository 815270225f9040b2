"""The demo scripts, their sound and the script that `new` writes are as good as they say."""

from __future__ import annotations

import re
import wave
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from pausewright.build.project import open_project
from pausewright.plan.steps import steps
from pausewright.script.reader import read_script
from pausewright.sound.meter import loudness_lufs, true_peak_dbtp

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_scripts"
SCRIPTS = sorted(DEMO.glob("*.md"))
NEW = ROOT / "pipeline" / "pausewright" / "script" / "new_script.md"
BELL = DEMO / "audio" / "station-bell.wav"

MINUTES = {"9.50": 590, "13:45": 825, "15:10": 910, "8": 480, "9.05": 545, "12.50": 770}
"""Clock times of the questions in minutes after midnight."""


def _clock(minutes: int) -> str:
    return f"{minutes // 60}.{minutes % 60:02d}"


ANSWERS: dict[int, Fraction | int | str] = {
    1: 8 * 6,
    2: 100 - 37,
    3: 2 * 46,
    4: Fraction(27, 3),
    5: Fraction(5, 2) * 60,
    6: 4 * Fraction("1.75"),
    7: 10 - Fraction("6.35"),
    8: 500 // 60,
    9: 12 * (1 - Fraction(25, 100)),
    10: min(Fraction("4.40"), Fraction("4.04"), Fraction("4.14")),
    11: Fraction("31.50") / 7,
    12: Fraction("8.70") / 2,
    13: _clock(MINUTES["9.50"] + 35),
    14: MINUTES["15:10"] - MINUTES["13:45"],
    15: (MINUTES["8"] + 3 * 40) // 60,
    16: _clock(MINUTES["12.50"] - (MINUTES["12.50"] - MINUTES["9.05"]) // 3),
    17: Fraction("0.6") * Fraction("0.5"),
    18: Fraction(3, 4) * 52,
    19: 4 - 9,
    20: 1200 - 485,
    21: 25 * 18,
    22: Fraction(960 - 960 // 4, 12),
    23: 5 * Fraction("8.4") + 23,
    24: Fraction(90 + 210, 5),
}
"""The sums of demo_scripts/arithmetic.md, done here again from the words of the questions."""


@pytest.mark.parametrize("script", [*SCRIPTS, NEW], ids=lambda path: path.name)
def test_it_has_no_problem(script: Path) -> None:
    """Each reads, is worded, finds its voices and sounds, and plans, without even a warning."""
    project = open_project(script)

    assert not [p.message for p in project.problems]
    assert steps(project.worded)


def test_there_are_three_kinds_of_demo() -> None:
    """Sums, spelling and a dialogue are there."""
    assert [p.name for p in SCRIPTS] == ["arithmetic.md", "dialogue.md", "spelling.md"]


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_every_question_has_a_key(script: Path) -> None:
    """No question of a demo is left without its answer."""
    assert not [q.label for q in read_script(script).questions() if q.key is None]


def test_every_sum_is_right() -> None:
    """The first alternative of each key is the value computed from the question."""
    questions = [q for q in read_script(DEMO / "arithmetic.md").questions() if not q.practice]

    assert sorted(ANSWERS) == [q.number for q in questions]
    for question in questions:
        assert question.key is not None
        keyed = question.key.text.split("|")[0].replace("−", "-")
        figure = re.search(r"-?\d+(?:\.\d+)?", keyed)
        assert figure, question.label
        answer = ANSWERS[question.number]
        if isinstance(answer, str):
            assert answer == figure[0], question.label
        else:
            assert Fraction(answer) == Fraction(figure[0]), question.label


def test_every_sum_has_a_sheet() -> None:
    """A candidate sees something beside every number of the arithmetic demo."""
    assert not [q.label for q in read_script(DEMO / "arithmetic.md").questions() if q.sheet is None]


def test_the_first_script_is_short() -> None:
    """What `new` writes fits on a screen, and shows what it should."""
    text = NEW.read_text(encoding="utf-8")

    assert len(text.splitlines()) <= 45
    for shown in (
        "states=",
        "::: stop",
        "::: page-turn",
        "key=",
        "sheet=",
        "\n# ",
        "\n## ",
        "<!--",
    ):
        assert shown in text


def test_the_bell_is_as_loud_as_speech_and_clean() -> None:
    """Mono, 16 bits, 44.1 kHz, −23 LUFS within 0.1 LU, no sample near full scale, under 400 kB."""
    with wave.open(str(BELL), "rb") as file:
        shape = (file.getnchannels(), file.getsampwidth(), file.getframerate())
        raw = file.readframes(file.getnframes())
    sound = np.frombuffer(raw, "<i2").astype(np.float32)[:, np.newaxis] / np.float32(32768)

    assert shape == (1, 2, 44_100)
    assert abs(loudness_lufs(sound, 44_100) + 23) <= 0.1
    assert true_peak_dbtp(sound, 44_100) < -6
    assert BELL.stat().st_size < 400_000


def test_the_bell_is_what_its_script_computes() -> None:
    """The file in the repository is what scripts/make_demo_sounds.py makes, to one step."""
    from make_demo_sounds import bell  # noqa: PLC0415  a script, found by pytest's path

    with wave.open(str(BELL), "rb") as file:
        kept = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.int32)
    made = np.rint(bell()[:, 0] * 32767).astype(np.int32)

    assert len(made) == len(kept)
    assert int(np.max(np.abs(made - kept))) <= 1
