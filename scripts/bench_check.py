"""Rows of the bench about the check: its speed against ffmpeg's own meters, and its memory."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

Row = tuple[str, str, str, bool]

_CHECK = """
import json, re, resource, sys, time
from pathlib import Path
from pausewright.checker.check import check_track
from pausewright.script.reader import read_script
from pausewright.wording.worded import Worded
track, script, warm = map(Path, sys.argv[1:4])
worded = Worded(read_script(script))
if warm.is_file():
    check_track(warm, worded, edition=None, second_decoder=True)
start_s, start_cpu_s = time.perf_counter(), time.process_time()
result = check_track(track, worded, edition=None, second_decoder=True)
wall_s, cpu_s = time.perf_counter() - start_s, time.process_time() - start_cpu_s
status = Path("/proc/self/status")  # ru_maxrss remembers the parent that started us
if status.exists():
    peak = int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1]) * 1024
else:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
errors = [f.code for f in result.errors]
print(json.dumps([wall_s, cpu_s, peak, result.n_frames / result.rate_hz, errors]))
"""
ROUNDS = 11
"""Of each command, in turn: a machine that others share strays by a fifth from one second to the
next."""


def bench_script(n_questions: int, wait_s: int) -> str:
    """Return a script with one reading and long answer times: a fifth of it is speech."""
    head = (
        "---\ntitle: Long\nlanguage: en-GB\nvoice: iris\n"
        'accept-voice-language: "made for the bench"\n'
        f'announce: "Number {{number}}."\nanswer-time: {wait_s} s\n---\n\n# Test\n\nListen.\n\n'
    )
    words = ("boat", "harbour", "lantern", "signal", "rope", "gull", "anchor", "tide")
    rows = [
        f"{i + 1}. Write the word {words[i % 8]} and then {words[(i // 8) % 8]}."
        for i in range(n_questions)
    ]
    return head + "\n".join(rows) + "\n\n# End\n\nThe test is over.\n"


def track_of(folder: Path, n_questions: int, wait_s: int) -> tuple[Path, Path]:
    """Build a track in a bundled voice; return it and its script."""
    from pausewright.deliver.build import Options, build  # noqa: PLC0415

    folder.mkdir()
    script = folder / "long.md"
    script.write_text(bench_script(n_questions, wait_s), encoding="utf-8")
    built = build(script, Options(folder / "out"))
    return next(built.folder.rglob("*[!k].mp3")), script


def checked(run: Callable[..., subprocess.CompletedProcess[str]], *files: Path) -> list[float]:
    """Return wall and processor seconds, peak bytes and length of a check in a new process."""
    code = files[0].with_name("check_alone.py")
    code.write_text(_CHECK, encoding="utf-8")
    *numbers, errors = json.loads(run(str(code), *map(str, files)).stdout)
    if errors:
        sys.exit(f"the check of the bench's track found {errors}")
    return [float(number) for number in numbers]


def bench_check_speed(
    folder: Path, run: Callable[..., subprocess.CompletedProcess[str]]
) -> list[Row]:
    """Check MP3s of 14 and 20 minutes against ffmpeg's silencedetect and ebur128, in turn.

    Whole commands with their start-up, compiled once as an installed package is; the
    processor's seconds stand beside the wall clock's, which other programs lengthen.
    """
    import imageio_ffmpeg  # noqa: PLC0415

    del run
    ffmpeg = imageio_ffmpeg.get_ffmpeg_exe()
    rows: list[Row] = []
    for minutes, n_questions in ((14, 53), (20, 75)):
        track, script = track_of(folder / str(minutes), n_questions, 12)
        ours: list[tuple[float, float]] = []
        theirs: list[tuple[float, float]] = []
        check = [sys.executable, "-m", "pausewright", "check", str(track), "--script", str(script)]
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        timed(check, environment)
        for _ in range(ROUNDS):
            ours.append(timed(check, environment))
            theirs.append(timed(by_ffmpeg(ffmpeg, track)))
        wall_s, cpu_s = (statistics.median(one) for one in zip(*ours, strict=True))
        ffmpeg_wall_s, ffmpeg_cpu_s = (statistics.median(one) for one in zip(*theirs, strict=True))
        for what, one_s, other_s in (
            ("wall clock", wall_s, ffmpeg_wall_s),
            ("processor", cpu_s, ffmpeg_cpu_s),
        ):
            rows.append(
                (
                    (
                        f"`check` of {minutes} min of MP3, {what} ({one_s:.2f} s), against ffmpeg "
                        f"silencedetect,ebur128=peak=true ({other_s:.2f} s), whole commands"
                    ),
                    f"{one_s / other_s:.2f} ×",
                    "0.8 ×",
                    one_s <= 0.8 * other_s,
                )
            )
    return rows


def timed(command: list[str], environment: dict[str, str] | None = None) -> tuple[float, float]:
    """Return the wall and processor seconds of a command that ends well."""
    before, start_s = os.times(), time.perf_counter()
    subprocess.run(
        command, check=True, capture_output=True, stdin=subprocess.DEVNULL, env=environment
    )
    after = os.times()
    cpu_s = after.children_user + after.children_system
    cpu_s -= before.children_user + before.children_system
    return time.perf_counter() - start_s, cpu_s


def by_ffmpeg(program: str, track: Path) -> list[str]:
    """Return the command by which ffmpeg measures a file."""
    return [
        program, "-v", "error", "-nostdin", "-i", str(track),
        "-af", "silencedetect,ebur128=peak=true", "-f", "null", "-",
    ]  # fmt: skip


def bench_check_memory(
    folder: Path, run: Callable[..., subprocess.CompletedProcess[str]]
) -> list[Row]:
    """Compare the peak memory of checking a 15-minute and a 2-hour track."""
    peaks, minutes = [], []
    for name, n_questions in (("short", 56), ("long", 450)):
        track, script = track_of(folder / name, n_questions, 12)
        _, _, peak, length_s = checked(run, track, script, folder / "none")
        peaks.append(peak)
        minutes.append(length_s / 60)
    ratio = peaks[1] / peaks[0]
    return [
        (
            (
                f"peak memory of a check, {minutes[1]:.0f} min ({peaks[1] / 2**20:.0f} MiB) "
                f"against {minutes[0]:.0f} min ({peaks[0] / 2**20:.0f} MiB)"
            ),
            f"{ratio:.2f} ×",
            "1.2 ×",
            ratio <= 1.2,
        )
    ]
