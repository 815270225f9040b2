"""Measure how soon a question is heard, from a warm worker: voiced anew, and from kept takes.

    python scripts/hear_figures.py                     a British voice and the two quick ones
    python scripts/hear_figures.py emma --questions 12

The worker is the desk's own. It has said one question when measuring begins. The first sound can be
heard as soon as the WAV is there. Wanted: half a second and 0.6 of the length of the first
utterance for British voices, 1.5 s for quick ones, half a second for takes that were kept.
Run it with the project's own interpreter, on an idle machine.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final

from changed_question import script_text
from pausewright.desk.messages import Heard, HearLines
from pausewright.desk.workers import Worker

if TYPE_CHECKING:
    from collections.abc import Sequence

QUICK: Final = ("joe", "iris")
USUAL: Final = ("emma", *QUICK)
KEPT_S: Final = 0.5
QUICK_S: Final = 1.5
BRITISH_S, BRITISH_SHARE = 0.5, 0.6


def limit_s(voice: str, first_s: float) -> float:
    """Return how soon a question has to be heard whose first utterance is so long."""
    return QUICK_S if voice in QUICK else BRITISH_S + BRITISH_SHARE * first_s


def asked(worker: Worker, script: Path, what: str, sound: Path) -> tuple[float, Heard]:
    """Return how long an answer takes, and the answer."""
    start_s = time.perf_counter()
    answer = worker.ask(HearLines(str(script), what, str(sound))).result(timeout=300)
    took_s = time.perf_counter() - start_s
    if not isinstance(answer, Heard):
        sys.exit(f"{what} cannot be heard: {answer}")
    return took_s, answer


def first_utterance_s(found: Heard) -> float:
    """Return how long the first utterance is, with the silence after it at most."""
    starts = [one.start_s for one in found.sounds]
    return (starts[1] if len(starts) > 1 else found.length_s) - starts[0]


def measured(voice: str, folder: Path, n_questions: int) -> bool:
    """Measure one voice, print what was found, and return whether it is as wanted."""
    script = folder / f"{voice}.md"
    script.write_text(script_text(voice), encoding="utf-8")
    worker = Worker()
    new: list[tuple[float, float]] = []
    kept: list[float] = []
    try:
        asked(worker, script, "1", folder / f"{voice}-warm.wav")
        for number in range(2, 2 + n_questions):
            took_s, found = asked(worker, script, str(number), folder / f"{voice}-{number}.wav")
            new.append((took_s, first_utterance_s(found)))
            took_s, _ = asked(worker, script, str(number), folder / f"{voice}-{number}-again.wav")
            kept.append(took_s)
    finally:
        worker.end()
    over = [took_s - limit_s(voice, first_s) for took_s, first_s in new]
    print(
        f"{voice}: new {statistics.median(t for t, _ in new):.2f} s (at most "
        f"{max(t for t, _ in new):.2f}, first utterance "
        f"{statistics.median(f for _, f in new):.1f} s), {sum(one <= 0 for one in over)} of "
        f"{len(over)} in time, the latest {max(over):+.2f} s; kept {statistics.median(kept):.2f} s "
        f"(at most {max(kept):.2f})"
    )
    return max(over) <= 0 and max(kept) <= KEPT_S


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
