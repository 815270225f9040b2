"""Measure the peak memory of a build, its check included, with the longest pieces that voices say.

    python3 scripts/voice_memory.py emma,george emma,iris

For each set of voices a dialogue is built by the program itself, in a process of its own: for each
voice one sentence as long as a network takes at once (some 250 symbols) and shorter ones, so that
two workers are busy. Printed is the largest resident size that the system saw (getrusage).
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parent.parent
LONG: Final = (
    "In this part of the test you will hear a report from the harbour, and you should write down, "
    "in the order in which they are named, the six things that the keeper of the lighthouse "
    "carries up the stairs in the evening before the ferry comes back to the quay."
)
SHORTER: Final = (
    "You will hear each question twice, and you have nine seconds to answer it.",
    "The wooden boat lay beside the wall, and nobody came to paint the old lantern.",
    "Turn over.",
)
NAMES: Final = ("Ada", "Bruno", "Carys")
HEAD: Final = """---
title: Memory
language: en-GB
accept-voice-language: "measured here"
speakers:
"""


def script_text(voices: list[str]) -> str:
    """Return a script in which each voice says the same."""
    head = HEAD + "".join(f"  {NAMES[n]}: {{voice: {one}}}\n" for n, one in enumerate(voices))
    lines = [head + "---", "", "# Talk", "", '::: passage {readings="1" answer-time="2 s"}']
    for sentence in (*SHORTER, LONG):
        for n in range(len(voices)):
            lines += [f"**{NAMES[n]}:** {sentence}", ""]
    return "\n".join([*lines, ":::", "", "# End", "", "The test is over.", ""])


def peak_mb(voices: list[str], folder: Path, workers: int) -> tuple[float, float]:
    """Build, and return the peak in MB (millions of bytes) and the seconds it took."""
    script = folder / "memory.md"
    script.write_text(script_text(voices), encoding="utf-8")
    paths = os.pathsep.join([str(ROOT / "pipeline"), str(ROOT / "voices")])
    command = [sys.executable, "-m", "pausewright", "build", script.name, "-q"]
    start_s = time.monotonic()
    child = subprocess.Popen(
        [*command, "--workers", str(workers)], cwd=folder, env={**os.environ, "PYTHONPATH": paths}
    )
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        sys.exit(f"the build ended with {os.waitstatus_to_exitcode(status)}")
    return usage.ru_maxrss * 1024 / 1e6, time.monotonic() - start_s


def main() -> None:
    """Read the command line and print a line for each set of voices."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("voices", nargs="*", default=["emma", "emma,george", "emma,iris"])
    parser.add_argument("--workers", type=int, default=2)
    args = parser.parse_args()
    for names in args.voices:
        with tempfile.TemporaryDirectory() as folder:
            peak, took_s = peak_mb(names.split(","), Path(folder), args.workers)
        print(f"{names}: {peak:.0f} MB at most, {took_s:.0f} s", flush=True)


if __name__ == "__main__":
    main()
