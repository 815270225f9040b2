"""The machine's ear on recordings with words, and what it says of what it did not hear."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.checker.check import check_track
from pausewright.checker.ear.ear_cautions import MOST_TOLD, ear_cautions
from pausewright.checker.ear.hearing import Ear
from pausewright.checker.ear.recorded import LONGEST_S, PART_S, parts_of, shared_out
from pausewright.checker.ear.weigh import opinions, saying
from pausewright.checker.result.findings import EarSummary, Uncompared
from pausewright.problems import Place
from pausewright.script.reader import read_script
from pausewright.wording.worded import Worded
from support.voices.ear_stub import Stub

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult

RATE_HZ = 16_000
SCRIPT = """---
title: A message
language: en-GB
---

# Start

Listen to the message.

::: passage {answer-time="2 s"}
![A message](message.wav){words="The tank holds 39 litres. It is green."}
:::

![A horn](horn.wav)

# End

Stop here.
"""


def burst(length_s: float, seed: int) -> np.ndarray:
    """Return noise with soft ends, as loud as speech."""
    n = int(length_s * RATE_HZ)
    shape = np.minimum(1, np.minimum(np.arange(n), np.arange(n)[::-1]) / (0.03 * RATE_HZ))
    return 0.1 * shape * np.random.default_rng(seed).standard_normal(n)


def checked(tmp_path: Path, heard: list[str]) -> CheckResult:
    """Return what the check finds of a track in which the ear hears these texts."""
    message, horn = burst(3.5, 1), burst(1.0, 2)
    soundfile.write(str(tmp_path / "message.wav"), message, RATE_HZ)
    soundfile.write(str(tmp_path / "horn.wav"), horn, RATE_HZ)
    script = tmp_path / "t.md"
    script.write_text(SCRIPT, encoding="utf-8")
    gap = [np.zeros(int(s * RATE_HZ)) for s in (0.5, 0.8, 2.0, 0.8, 1.0)]
    sounds = [burst(1.6, 3), message, horn, burst(0.9, 4)]
    parts = [part for pair in zip(gap, [*sounds, np.zeros(0)], strict=True) for part in pair]
    soundfile.write(str(tmp_path / "t.wav"), np.concatenate(parts), RATE_HZ)
    worded = Worded(read_script(script))
    return check_track(tmp_path / "t.wav", worded, edition=None, ear=Ear(Stub(heard)))


def test_a_recording_is_heard(tmp_path: Path) -> None:
    """Its words are compared with the script's; a horn without words is not heard."""
    said = "The tank holds 39 litres. It is green."
    result = checked(tmp_path, ["Listen to the message.", said, "Stop here."])

    assert result.ear is not None
    assert (result.ear.n_heard, result.ear.n_same, result.ear.n_without_words) == (3, 3, 1)
    head = next(c for c in result.cautions if "machine's ear" in c)
    assert "heard 3 of 4 utterances and recordings: 3 word for word" in head
    assert "Not heard by it: 1 recordings whose words are not given." in result.cautions


def test_another_number_in_a_recording_is_found(tmp_path: Path) -> None:
    """49 for 39 in a recording is told, at its time (finding 5 of the trial by new users)."""
    wrong = "The tank holds 49 litres. It is green."
    result = checked(tmp_path, ["Listen to the message.", wrong, "Stop here."])

    (found,) = [f for f in result.findings if f.code == "heard-number"]
    assert found.severity == "error"
    assert found.at_s is not None
    assert abs(found.at_s - Fraction(29, 10)) < Fraction(1, 10)
    assert result.ear is not None
    assert result.ear.n_same == 2


def test_a_long_recording_is_heard_in_parts() -> None:
    """It is cut at its longest silences, and no part is longer than the recogniser can hear."""
    at, stretches = 0, []
    for k in range(30):
        stretches.append((at, at + 2 * RATE_HZ))
        at += 2 * RATE_HZ + (RATE_HZ if k % 5 == 4 else RATE_HZ // 4)
    parts = parts_of(stretches, RATE_HZ)

    assert parts[0][0] == 0
    assert parts[-1][1] == stretches[-1][1]
    assert all(end - start <= PART_S * RATE_HZ for start, end in parts)
    ends = [k for k, (_, end) in enumerate(stretches) if end in {p[1] for p in parts}]
    assert all(k % 5 == 4 for k in ends)

    whole = parts_of([(0, 60 * RATE_HZ)], RATE_HZ)
    assert len(whole) == 3
    assert all(end - start <= LONGEST_S * RATE_HZ for start, end in whole)


@pytest.mark.parametrize(
    ("heard", "texts"),
    [
        (
            ["The path starts at the gate.", "It ends at the lake."],
            ["The path starts at the gate.", "It ends at the lake."],
        ),
        (
            ["The bath starts at.", "the gate it ends at the lake"],
            ["The path starts at", "the gate. It ends at the lake."],
        ),
        (["The path starts at the great", "it ends at the lake"],
         ["The path starts at the gate.", "It ends at the lake."]),
        (["", "The path starts at the gate. It ends at the lake."],
         ["", "The path starts at the gate. It ends at the lake."]),
    ],
)  # fmt: skip
def test_words_are_shared_out(heard: list[str], texts: list[str]) -> None:
    """The words of a recording go to the parts in which they are heard, misheard ones too."""
    assert shared_out("The path starts at the gate. It ends at the lake.", heard) == texts


@pytest.mark.parametrize(
    ("said", "heard", "uncompared"),
    [
        ("Mara walks home.", "Mara walks home.", ()),
        ("Xanthe walks home at eight.", "Santa walks home at eight.", ("Xanthe",)),
        ("The answer is B or D.", "The answer is P or D.", ("B",)),
        ("The old mill stands by a lake.", "The old mill stands by the lake.", ()),
        ("Say * at the end of the line.", "Say bonjour at the end of the line.", ("…",)),
    ],
)
def test_what_could_not_be_compared_is_named(
    said: str, heard: str, uncompared: tuple[str, ...]
) -> None:
    """Names and letters that were heard as others are no reason for doubt, but they are told."""
    (opinion,) = opinions([saying(said)], [np.ones(16_000, np.float32)], Stub([heard]))

    assert opinion.verdict == "same"
    assert opinion.uncompared == uncompared


@pytest.mark.parametrize(
    ("heard", "is_shortened", "verdict"),
    [
        ("Write your answer in the box on your sheet.", True, "same"),
        ("Write your answer in the box.", False, "doubtful"),  # three words in a row are lost
        ("Write your answer in box on your sheet.", True, "same"),  # a small word
        ("Write answer in the box on your sheet.", False, "same"),
        ("Write answer in the box on your sheet.", True, "doubtful"),
    ],
)
def test_lost_words_are_a_reason_to_listen(
    heard: str, is_shortened: bool, verdict: str,  # noqa: FBT001
) -> None:  # fmt: skip
    """Words in a row that no hearing has; where the length is on the short side, each one."""
    text = "Write your answer in the box on your sheet."
    said = saying(text, is_shortened=is_shortened)
    (opinion,) = opinions([said], [np.ones(16_000, np.float32)], Stub([heard]))

    assert opinion.verdict == verdict


def test_a_number_that_is_taken_as_said_is_told() -> None:
    """Question A for Question eight: taken as said if that is about as likely, but told."""
    stub = Stub(["Question A"], likelier=1.0)
    (opinion,) = opinions([saying("Question eight.")], [np.ones(16_000, np.float32)], stub)

    assert opinion.verdict == "same"
    assert opinion.uncompared == ("eight",)


def test_the_summary_never_says_more_than_was_compared() -> None:
    """What was not heard and not compared stands in the sentences, by name and place."""
    place = Place(__file__, 3, 1)  # type: ignore[arg-type]  # only its line is of interest
    left = tuple(
        Uncompared(f"an instruction {n}", Fraction(n), place, ("Zsigmond",)) for n in range(25)
    )
    summary = EarSummary(
        n_heard=40, n_same=13, n_doubtful=2, n_other=0, n_other_language=1, n_beside_sounds=0,
        n_without_words=0, n_missing=3, versions={}, uncompared=left,
        doubtful=(("a part of the words of question 3", Fraction(61)),),
    )  # fmt: skip
    head, unheard, doubtful, names, _ = ear_cautions(summary)

    assert "heard 40 of 44" in head
    assert "13 word for word as the script says, 25 as far as it could compare" in head
    assert (
        unheard == "Not heard by it: 1 in other languages than English, 3 not found on the track."
    )
    assert doubtful == "To be listened to: a part of the words of question 3 at 01:01.000."
    assert names.count("“Zsigmond” in an instruction") == MOST_TOLD
    assert names.endswith("and 5 more.")


@pytest.mark.parametrize(
    ("heard", "verdict"),
    [
        ("Number 28, 26 plus 5 equals", "same"),
        ("Question twenty-eight. Twenty-six plus five equals.", "same"),
        ("26 plus 5 equals", "same"),
        ("Number 29, 26 plus 5 equals", "other"),
        ("Number 28, 26 plus 9 equals", "other"),
    ],
)
def test_a_reader_may_announce_the_number_of_a_question(heard: str, verdict: str) -> None:
    """A draft binds "Number 28. 26 + 5 =" to the words of the paper, which has no announcement."""
    (found,) = opinions(
        [saying("26 + 5 =", number="28")], [np.zeros(16, np.float32)], Stub([heard])
    )
    assert found.verdict == verdict


def test_what_the_words_announce_is_not_announced_twice() -> None:
    """A script that has the announcement among the words is heard as it is."""
    said = saying("Number 28. 26 + 5 =", number="28")
    (found,) = opinions([said], [np.zeros(16, np.float32)], Stub(["26 plus 5 equals"]))
    assert found.verdict != "same"
