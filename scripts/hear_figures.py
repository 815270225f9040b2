"""Measure how soon a question is heard, from a warm worker: voiced anew, and from kept takes.

    python scripts/hear_figures.py                     a British voice and the two quick ones
    python scripts/hear_figures.py emma --questions 12

The worker is the desk's own. It has said one question when measuring begins. The first sound can be
heard as soon as the worker says that it is in the WAV that grows: the desk's player has it then.
Wanted: half a second and 0.6 of the length of the first utterance for British voices (from its
first to its last sound), 1.5 s for quick ones, half a second for takes that were kept. Beside it
stands when all of the question was voiced, and the time of the worker's processors until then.
Run it with the project's own interpreter, on an idle machine.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
import wave
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Final

from changed_question import script_text
from pausewright.desk.messages import SOUNDING, Heard, HearLines
from pausewright.desk.workers import Worker

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.desk.messages import Step

QUICK: Final = ("joe", "iris")
USUAL: Final = ("emma", *QUICK)
KEPT_S: Final = 0.5
QUICK_S: Final = 1.5
BRITISH_S, BRITISH_SHARE = 0.5, 0.6


def limit_s(voice: str, first_s: float) -> float:
    """Return how soon a question has to be heard whose first utterance is so long."""
    return QUICK_S if voice in QUICK else BRITISH_S + BRITISH_SHARE * first_s


@dataclass(frozen=True, slots=True)
class Asked:
    """What a question took, in seconds."""

    first_s: float
    """Until its first sound could be heard."""
    all_s: float
    cpu_s: float
    """Of the worker's processors, until all was voiced."""
    utterance_s: float
    """Length of the first utterance."""


def asked(worker: Worker, script: Path, what: str, sound: Path) -> Asked:
    """Return what it takes to hear a question."""
    at_s: list[float] = []

    def tell(step: Step) -> None:
        if step.stage == SOUNDING:
            at_s.append(time.perf_counter())

    before_s, start_s = cpu_s(worker.pid), time.perf_counter()
    answer = worker.ask(HearLines(str(script), what, str(sound)), tell).result(timeout=300)
    all_s = time.perf_counter() - start_s
    if not isinstance(answer, Heard) or not at_s:
        sys.exit(f"{what} cannot be heard: {answer}")
    with wave.open(str(sound)) as opened:
        utterance_s = answer.sounds[0].n_samples / opened.getframerate()
    return Asked(at_s[0] - start_s, all_s, cpu_s(worker.pid) - before_s, utterance_s)


def cpu_s(pid: int | None) -> float:
    """Return what a process has used of the processors (Linux; elsewhere 0)."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    except OSError:
        return 0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def measured(voice: str, folder: Path, n_questions: int) -> bool:
    """Measure one voice, print what was found, and return whether it is as wanted."""
    script = folder / f"{voice}.md"
    script.write_text(script_text(voice), encoding="utf-8")
    worker = Worker()
    new: list[Asked] = []
    kept: list[Asked] = []
    try:
        asked(worker, script, "1", folder / f"{voice}-warm.wav")
        for number in range(2, 2 + n_questions):
            new.append(asked(worker, script, str(number), folder / f"{voice}-{number}.wav"))
            kept.append(asked(worker, script, str(number), folder / f"{voice}-{number}-again.wav"))
    finally:
        worker.end()
    over = [one.first_s - limit_s(voice, one.utterance_s) for one in new]
    first_s, again_s = [one.first_s for one in new], [one.first_s for one in kept]
    print(
        f"{voice}: new {median(first_s):.2f} s (at most {max(first_s):.2f}; first utterance "
        f"{median(one.utterance_s for one in new):.1f} s), {sum(one <= 0 for one in over)} of "
        f"{len(over)} in time, the latest {max(over):+.2f} s; whole "
        f"{median(one.all_s for one in new):.2f} s, {median(one.cpu_s for one in new):.2f} of the "
        f"processors; kept {median(again_s):.2f} s (at most {max(again_s):.2f}, "
        f"{median(one.cpu_s for one in kept):.2f} of the processors)"
    )
    return max(over) <= 0 and max(one.first_s for one in kept) <= KEPT_S


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure all voices, and end with 1 if one is late."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("voices", nargs="*", default=USUAL)
    options.add_argument("--questions", type=int, default=8)
    given = options.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        good = [measured(voice, Path(folder), given.questions) for voice in given.voices]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
