"""The rarer constructs, built and checked end to end with a voice without a model."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.deliver.build import CheckFailedError, Options, build
from pausewright.plan import steps as plan_steps
from pausewright.plan.timeline import Step, Wait
from support.scripts.short_scripts import RULES
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built

HEAD = (
    """---
title: Kinds of question
language: en-GB
voice: joe
accept-voice-language: "invented"
use: practice
"""
    + RULES
    + """---

# One

Begin now, and listen to everything that is said about the harbour.

"""
)
TAIL = "\n\n# End\n\nThat is all.\n"

KINDS = {
    "dictation": """1. The text begins. {answer-time="none"}

    ::: dictation {between-readings="5 s, 9 s" phrase-time="14 s to 20 s" phrase-readings=2}
    - The last ferry left the island
    - a little after ten, {phrase-time="16 s"}

    - carrying eleven passengers.
    :::
""",
    "sub-questions": """1. Listen to the words about the harbour.

    - a. How many boats came in? {key="4"}
    - b. Was it raining? {key="no" answer-time="4 s"}
""",
    "by hand": '1. Write down what you think. {answer-time="by hand" readings="1"}',
    "withdrawn": "1. The old lighthouse keeper. {.withdrawn}\n2. What came next, and why?",
    "time cue": '1. Describe the picture. {answer-time="45 s" time-cue="half"}',
    "rest stop": '::: stop {.rest for="25 s"}\nYou may rest.\n:::',
    "again": """1. harbour {readings="1"}
2. signal {readings="1"}

::: again {questions="1-2" pattern="only" answer-time="2 s"}
The words once more.
:::
""",
    "reading plan": """::: passage {order="whole,pieces,whole" between-readings=5s answer-time=20s}
The first boat left at seven in the morning.

The second boat waited for the tide.
:::""",
    "passage inside": """1. Listen to the bell. {readings=1}

    ::: passage {readings=2 between-readings="4 s"}
    The bell rings over the water.
    :::

    How often does it ring?
""",
    "answers": """1. How many boats? {key="four"}
2. Which way is the tide? {key="out"}

# Answers {.answers}

Now the answers.
""",
    "options": """1. Which of these is a boat? {readings=1}

    - A. a gull
    - B. a ferry
    - C. a tide
""",
    "long fade": """::: passage {readings=2 between-readings="4 s" answer-time="8 s"}
![A mill](nora.wav){to="1.1 s" fade-out="0.9 s"}

![A mill](nora.wav){edges="trimmed" fade-out="0.8 s"}
:::""",
    "speaker of a recording": """## Open {captions="everything" captions-reason="invented"}

::: passage {answer-time="8 s"}
![A call](nora.wav){words="Where is the ferry?" speaker="Nora"}
:::""",
    "recorded words": """::: passage {readings=2 between-readings="4 s" answer-time="8 s"}
![Nora](nora.wav){words="Where is the ferry?"}

It left an hour ago.
:::""",
}


def _build(folder: Path, text: str) -> Built:
    rng = np.random.default_rng(5)
    swing = 0.6 + 0.4 * np.sin(2 * np.pi * 4 * np.arange(44_100) / 44_100)
    said = 0.1 * rng.standard_normal(44_100) * swing
    soundfile.write(folder / "nora.wav", np.concatenate([np.zeros(9_000), said]), 44_100)
    script = folder / "kinds.md"
    script.write_text(HEAD + text + TAIL, "utf-8")
    return build(
        script,
        Options(
            folder / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(folder),
        ),
    )  # fmt: skip


@pytest.mark.parametrize("text", KINDS.values(), ids=KINDS.keys())
def test_each_kind_builds_and_passes_the_check(tmp_path: Path, text: str) -> None:
    """The check expects each kind from the declaration alone, and finds it."""
    built = _build(tmp_path, text)

    assert built.is_good
    assert [f for check in built.checks for f in check.errors] == []


@pytest.mark.parametrize(
    ("kind", "silence"),
    [
        ("dictation", "phrase-time"),
        ("dictation", "between-phrase-readings"),
        ("sub-questions", "answer-time"),
        ("time cue", "answer-time"),
        ("again", "answer-time"),
        ("reading plan", "between-readings"),
        ("rest stop", "hold"),
        ("passage inside", "between-readings"),
    ],
)
def test_a_short_silence_in_each_kind_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, silence: str
) -> None:
    """50 ms taken from the first silence of that kind: the build is refused."""
    right = plan_steps.steps

    def short(worded: object) -> tuple[Step, ...]:
        steps = list(right(worded))  # type: ignore[arg-type]
        at = next(i for i, s in enumerate(steps) if isinstance(s, Wait) and s.kind == silence)
        step = steps[at]
        assert isinstance(step, Wait)
        steps[at] = Wait(silence, step.wait_s - Fraction(1, 20), step.place)  # type: ignore[arg-type]
        return tuple(steps)

    monkeypatch.setattr(plan_steps, "steps", short)
    with pytest.raises(CheckFailedError):
        _build(tmp_path, KINDS[kind])
