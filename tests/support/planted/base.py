"""The test that faults are planted in, and how it is built and checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias

import numpy as np
import soundfile
from pausewright.deliver.build import CheckFailedError, build_versions
from pausewright.deliver.recheck import recheck
from pausewright.problems import PausewrightError, ScriptError

from support.scripts.versions import options

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest

Plant: TypeAlias = "Callable[[pytest.MonkeyPatch], None]"
"""Puts a fault in place; it is taken out when the test is over."""

SCRIPT: Final = """---
title: Planted
language: en-GB
voice: joe
accept-voice-language: "A voice of bursts"
readings: 2
between-readings: 1.5 s
announce: "Number {number}."
test-time: 5 min
tones:
  chime: {frequency: 660 Hz, length: 0.6 s}
speakers:
  Mila: {voice: iris}
  Otto: {voice: joe}
patterns:
  said-twice:
    steps:
      - say: "{1}. {2}"
      - pause: 1 s
      - say: "{1}."
    again:
      - say: "{1}."
---

# First {answer-time="3 s"}

There are [three]{states="questions"} questions in this part. You will hear each
[twice]{states="readings"} and have [three seconds]{states="answer-time"}.
[Whisperwords]{captions="nothing"} come too. {pause-after="1 s"}

1. How many boats, of all those here, sail home? {key="ZEBRAFISH"}
2. Two gulls fly north; where do they rest? Tell me. {sheet="gulls rest on" key="B"}

    - A. the harbour wall
    - B. a fishing net

3. The bell weighs £14.50, and it rang nine times. {key="IGUANA"}

::: stop {for="4 s"}
Ask now.
:::

Look at your map. You have [four seconds]{states="look-time"}. {look-time="4 s"}

# Second

4. A garden has a pond. {answer-time="none"}

    - a. What is its area? {answer-time="3 s" key="AXOLOTL"}
    - b. How wide is it? {answer-time="4 s"}

::: page-turn {for="4 s"}
Turn over.
:::

::: passage {announce="Reading {reading} of {readings}." between-readings="2 s" answer-time="5 s"}
[chime]{.tone}

**Mila:** Good morning. Two melons, please.
**Otto:** Here you are.
:::

5. What does Mila buy? {.printed key="melons"}
6. Seven plus seven. {.withdrawn answer-time="3 s"}

# Third {answer-time="2 s"}

7. orchard {pattern="said-twice"}

    The orchard is white in May.

8. Write this down. {answer-time="none" readings="1"}

    ::: dictation {order="whole, phrases" phrase-time="2 s to 3 s" answer-time="3 s"}
    - The frost came early
    - and the pears were green.

    - We picked them.
    :::

9. Describe the sound. {answer-time="32 s" time-cue="half"}

    ![A brook](brook.wav){pause-after="1 s"}

    It is a brook.

# Close

Stop writing. [2 s]{.pause} Thank you.
"""
ARRANGEMENTS: Final = """standard: {label: A}
readings: {label: B, basis: file 1, readings: 3}
look: {label: C, basis: file 2, look-time: {in-script: 6 s, before-questions: 2 s}}
breaks: {label: D, basis: file 3, rest-breaks: {after-questions: "2", words: "There is a break."}}
leave: {label: E, basis: file 4, leave-out: [Second]}
pauses: {label: F, basis: file 5, pauses: {sentence: 1.2 s, clause: 0.7 s}}
loud: {label: G, basis: file 6, loudness: loudspeaker}
slow: {label: H, basis: file 7, pace: 80 %}
voice: {label: I, basis: file 8, voice: iris}
nothing: {label: J, basis: file 9, captions: nothing}
everything: {label: K, basis: file 10, captions: everything}
quarter: {label: L, basis: file 11, extra-time: 25 %, share-of: listed-silences,
  stretch: [answer-time], where: each-gap, extra-time-confirmed: 15.25 s}
end: {label: M, basis: file 12, extra-time: 30 s, where: test-end,
  extra-words: "You have {time} more."}
after-four: {label: N, basis: file 13, extra-time: 20 s, where: {question 4: 10 s, test-end: 10 s}}
transcript: {label: O, basis: file 14, transcript: everything}
formats: {label: P, basis: file 15, format: [wav, flac]}
pieces: {label: Q, split: at-stops}
large: {label: R, basis: file 16, print: {size: 36 pt}}
timed: {label: S, basis: file 17, rest-breaks: {every: 60 s, words: "There is a break."}}
"""

Found = Literal["check", "folder", "ear", "person"]
"""Who finds a fault: the check of the build, that of the folder, the machine's ear, or a person."""
Layer = Literal["script", "wording", "arrange", "plan", "sound", "captions", "papers", "packing"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One declared thing dropped, halved, moved, doubled or leaked."""

    layer: Layer
    name: str
    plant: Plant
    version: str = "standard"
    """Name of the arrangement that is built."""
    found_by: Found = "check"


def changed(owner: Any, name: str, wrong: Callable[[Any], Any]) -> Plant:
    """Return a fault that puts what `wrong` makes of a function, method or value in its place.

    A property stays one: `wrong` takes and gives its getter.
    """

    def plant(monkeypatch: pytest.MonkeyPatch) -> None:
        right = owner.__dict__[name] if isinstance(owner, type) else getattr(owner, name)
        if isinstance(right, property):
            monkeypatch.setattr(owner, name, property(wrong(right.fget)))
        elif isinstance(right, staticmethod):
            monkeypatch.setattr(owner, name, staticmethod(wrong(right.__func__)))
        else:
            monkeypatch.setattr(owner, name, wrong(right))

    return plant


def after(change: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Return what makes a function give something else: `change` of what it gives."""
    return lambda right: lambda *args, **more: change(right(*args, **more))


def giving(value: Any) -> Callable[[Any], Any]:
    """Return what makes a function give one value whatever it is asked."""
    return lambda _: lambda *_args, **_more: value


def laid_out(folder: Path) -> Path:
    """Write the script, its arrangements and its recording; return the script."""
    script = folder / "planted.md"
    script.write_text(SCRIPT, encoding="utf-8")
    (folder / "planted.arrangements.yaml").write_text(ARRANGEMENTS, encoding="utf-8")
    n = np.arange(int(1.5 * 44_100))
    swing = 0.6 + 0.4 * np.sin(2 * np.pi * 3 * n / 44_100)
    wave = 0.08 * swing * np.sin(2 * np.pi * 300 * n / 44_100)
    soundfile.write(folder / "brook.wav", wave, 44_100, subtype="PCM_16")
    return script


def outcome(folder: Path, version: str) -> tuple[Found | None, list[str]]:
    """Build a version and check what was delivered; return who refused it, and why."""
    script = laid_out(folder)
    try:
        build_versions(script, options(folder, formats=("flac",)), [version])
    except CheckFailedError as error:
        return "check", sorted({one.code for check in error.checks for one in check.errors})
    except ScriptError as error:
        return "check", [f"{one.place.line}: {one.message}" for one in error.problems]
    except PausewrightError as error:
        return "check", [str(error)]
    out = folder / "out" / "planted"
    try:
        found = recheck(out, script=script)
    except PausewrightError as error:
        return "folder", [str(error)]
    wrong = [one.code for one in found.all_findings if one.severity == "error"]
    return ("folder" if wrong else None), sorted(set(wrong))
