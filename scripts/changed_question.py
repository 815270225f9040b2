"""Measure what one changed question costs: 30 questions, a slate, five arrangements.

    python scripts/changed_question.py               in the usual voice of en-GB
    python scripts/changed_question.py --voice iris  in one that costs little to compute

What is saved is voicing. A voice that speaks almost at no cost saves little by it: five tracks
must be laid, coded and measured again whatever was changed.

A cold build and the build after the change, checks included, in one run: only the question and the
slate (which says the edition) may be voiced again, and it may take a quarter of the time at most.
Run it with the project's own interpreter, on an idle machine.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tempfile
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from bench_builds import FIVE, cost_of

if TYPE_CHECKING:
    from bench_builds import Cost

MOST: Final = 1 / 4
N_QUESTIONS: Final = 30
CHANGED: Final = 17
LATER_TAKE: Final = re.compile(r"line (\d+): take (\d+) of the voice is used")
HEAD: Final = """---
title: Thirty crates
language: en-GB
voice: {voice}
accept-voice-language: made to be measured
readings: 2
between-readings: 3 s
announce: "Question {{number}}."
slate: "{{title}}, edition {{edition}}, version {{version}}. Can all of you hear this?"
---

# Opening

You will hear thirty questions. Each of them is read twice. Write your answers on the sheet.

# Questions {{answer-time="10 s"}}

"""
THINGS: Final = ("crates", "barrels", "ropes", "lamps", "baskets", "oars")
PLACES: Final = ("quay", "ferry", "long shed", "lower deck", "slipway")


def script_text(voice: str, changed: str = "") -> str:
    """Return the script; with other words for one question if some are given."""
    rows = []
    for number in range(1, N_QUESTIONS + 1):
        thing, place = THINGS[number % len(THINGS)], PLACES[number % len(PLACES)]
        words = (
            f"There are {12 + 7 * number} {thing} on the {place}, and {3 + number} are taken away. "
        )
        words += "How many are left there?"
        rows.append(f'{number}. {changed if changed and number == CHANGED else words} {{key="1"}}')
    return (
        HEAD.format(voice=voice) + "\n".join(rows) + "\n\n# Close\n\nThat is the end of the test.\n"
    )


def built(script: Path) -> tuple[int, set[tuple[str, int]]]:
    """Build all versions; return how many takes were voiced, and which lines have a later take."""
    words = ("-m", "pausewright", "build", script.name, "--json")
    done = subprocess.run(
        [sys.executable, *words], cwd=script.parent, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        sys.exit(f"the build failed:\n{done.stdout}\n{done.stderr}")
    found = json.loads(done.stdout)
    later = {
        (told[1], int(told[2]))
        for one in found
        for note in one["notes"]
        if (told := LATER_TAKE.match(note))
    }
    return sum(one["n_voiced"] for one in found), later


def said(script: Path) -> dict[tuple[Fraction, str], bool]:
    """Return every utterance at its pace, and whether the slate or the changed question has it."""
    from pausewright.deliver.project import open_project  # noqa: PLC0415
    from pausewright.deliver.version import made_versions  # noqa: PLC0415
    from pausewright.plan.timeline import Say  # noqa: PLC0415
    from pausewright.script.model import Question, Stop  # noqa: PLC0415
    from pausewright.wording.line_elements import Utterance  # noqa: PLC0415

    found: dict[tuple[Fraction, str], bool] = {}
    for version in made_versions(open_project(script)):
        blocks = [block for _, _, block in version.script.blocks()]
        for step in version.steps:
            if not isinstance(step, Say) or not isinstance(step.element, Utterance):
                continue
            block = blocks[step.block]
            is_own = (isinstance(block, Stop) and block.is_slate) or (
                isinstance(block, Question) and block.number == CHANGED
            )
            key = step.element.speech.arranged_pace, step.element.words
            found[key] = found.get(key, False) or is_own
    return found


def measured(script: Path) -> tuple[int, set[tuple[str, int]], Cost]:
    """Build; return what `built` does, and what it took."""
    held: list[tuple[int, set[tuple[str, int]]]] = []
    cost = cost_of(lambda: held.append(built(script)))
    return *held[0], cost


def main() -> None:
    """Measure, print and end with 1 if it is missed."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--voice", default="emma")
    voice = options.parse_args().voice
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "thirty.md"
        script.write_text(script_text(voice), encoding="utf-8")
        script.with_suffix(".arrangements.yaml").write_text(FIVE, encoding="utf-8")
        before = said(script)
        first, later_cold, cold = measured(script)
        other = "Nineteen gulls sit on the roof, and six of them fly away. How many stay?"
        script.write_text(script_text(voice, other), encoding="utf-8")
        after = said(script)
        second, later_warm, warm = measured(script)
    anew = {key for key in after if key not in before}
    # slower speech is held against the same words at the pace of the script
    standards = {(Fraction(1), words) for _, words in anew}
    due = {key for key in anew | standards if key not in before}
    n_again = sum(take - 1 for _, take in later_warm - later_cold)
    is_exact = second == len(due) + n_again and all(after[key] for key in anew)
    share, cpu = warm.wall_s / cold.wall_s, warm.cpu_s / cold.cpu_s
    print(f"voiced: {first} cold, {second} after the change ({len(due)} new, {n_again} once more)")
    print(f"only the question and the slate: {'yes' if is_exact else 'NO'}")
    print(f"cold {cold.wall_s:.1f} s, after the change {warm.wall_s:.1f} s:")
    print(f"{share:.3f} by the clock, {cpu:.3f} by the processors; at most {MOST}")
    sys.exit(0 if is_exact and share <= MOST else 1)


if __name__ == "__main__":
    main()
