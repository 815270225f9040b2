"""Rows of the bench about the check: its speed against ffmpeg's own meters, and its memory."""

from __future__ import annotations

import json
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
ROUNDS = 3


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
    return next(built.folder.rglob("*.mp3")), script


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
    """Check a 20-minute MP3 against ffmpeg's silencedetect and ebur128 on the same file."""
    import imageio_ffmpeg  # noqa: PLC0415

    track, script = track_of(folder / "long", 75, 12)
    short, _ = track_of(folder / "short", 2, 1)
    ours, theirs, our_cpu = [], [], []
    length_s = 0.0
    for _ in range(ROUNDS):
        wall_s, cpu_s, _, length_s = checked(run, track, script, short)
        ours.append(wall_s)
        our_cpu.append(cpu_s)
        start_up_s = by_ffmpeg(imageio_ffmpeg.get_ffmpeg_exe(), short)
        theirs.append(by_ffmpeg(imageio_ffmpeg.get_ffmpeg_exe(), track) - start_up_s)
    ratio = min(ours) / min(theirs)
    return [
        (
            (
                f"checking {length_s / 60:.0f} min of MP3 ({min(ours):.2f} s, processor "
                f"{min(our_cpu):.2f} s) against ffmpeg silencedetect,ebur128=peak=true "
                f"({min(theirs):.2f} s), start-up left out"
            ),
            f"{ratio:.2f} ×",
            "1 ×",
            ratio <= 1,
        )
    ]


def by_ffmpeg(program: str, track: Path) -> float:
    """Return the seconds that ffmpeg takes to measure a file."""
    start_s = time.perf_counter()
    subprocess.run(
        [
            program, "-v", "error", "-nostdin", "-i", str(track),
            "-af", "silencedetect,ebur128=peak=true", "-f", "null", "-",
        ],
        check=True, capture_output=True, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    return time.perf_counter() - start_s


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
