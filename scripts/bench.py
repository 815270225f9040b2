"""Measure what the README promises, as ratios within one run, against stated baselines.

    python scripts/bench.py            everything (about half an hour)
    python scripts/bench.py voicing    one part; --help names them

Run it with the project's own interpreter, for example .venv/bin/python, on an idle machine.
Absolute times are printed for information only.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import bench_builds
import bench_scripts
from bench_check import bench_check_memory, bench_check_speed
from bench_papers import bench_papers

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.plan.timeline import Step

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo_scripts"

sys.path.insert(0, str(ROOT / "tests"))

Row = tuple[str, str, str, bool]


def timed(call: Callable[[], object]) -> float:
    """Return how long a call takes, in seconds."""
    start_s = time.perf_counter()
    call()
    return time.perf_counter() - start_s


def run(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run this interpreter and return what it printed; stop the benchmark if it fails."""
    done = subprocess.run(
        [sys.executable, *arguments], cwd=cwd, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, arguments))} failed:\n{done.stdout}\n{done.stderr}")
    return done


def pausewright(*arguments: str, cwd: Path) -> str:
    """Run the command line and return what it printed."""
    return run("-m", "pausewright", *arguments, cwd=cwd).stdout


def demo_copy(folder: Path) -> Path:
    """Copy the demo scripts, without what was kept of earlier builds."""
    target = folder / "demo"
    shutil.copytree(DEMO, target, ignore=shutil.ignore_patterns(".pausewright", "out"))
    return target


# ---- silences on the delivered file ----------------------------------------------------------


def bench_gaps(folder: Path) -> list[Row]:
    """Compare declared silences with ffmpeg's silencedetect on the delivered MP3 of each demo."""
    import imageio_ffmpeg  # noqa: PLC0415
    from pausewright.checker.check import check_track  # noqa: PLC0415
    from pausewright.deliver.project import open_project  # noqa: PLC0415

    rows: list[Row] = []
    demo = demo_copy(folder)
    for script in sorted(demo.glob("*.md")):
        pausewright("build", script.name, "--quiet", cwd=demo)
        track = next((demo / "out" / script.stem / "version-A").glob("*[!k].mp3"))
        project = open_project(script)
        result = check_track(track, project.worded, edition=project.edition)
        if result.threshold_dbfs is None:
            sys.exit(f"no speech was found in {track}")
        found = silences_by_ffmpeg(
            imageio_ffmpeg.get_ffmpeg_exe(), track, result.threshold_dbfs, shortest_s=0.5
        )
        worst_theirs, n_missing, worst_ours, n = 0.0, 0, Fraction(0), 0
        for row in result.silences:
            if row.allowed_s is None or row.at_s is None or row.difference_s is None:
                continue
            n += 1
            worst_ours = max(worst_ours, abs(row.difference_s))
            beside = [f for f in found if abs(f[0] - float(row.at_s)) < 0.1]
            if not beside:
                n_missing += 1
                continue
            worst_theirs = max(worst_theirs, abs(beside[0][1] - float(row.expected_s)))
        good = n_missing == 0 and worst_theirs <= 0.020 and worst_ours <= Fraction(2, 100)
        rows.append(
            (
                f"{script.name}: {n} declared silences on the MP3",
                (
                    f"off by {1000 * worst_theirs:.1f} ms at most by silencedetect "
                    f"({n_missing} not found), {1000 * float(worst_ours):.1f} ms by our check"
                ),
                "20 ms",
                good and n > 0,
            )
        )
    return rows


def silences_by_ffmpeg(
    ffmpeg: str, track: Path, threshold_dbfs: float, *, shortest_s: float
) -> list[tuple[float, float]]:
    """Return start and length of silences in seconds, as ffmpeg's silencedetect finds them."""
    noise = 10 ** (threshold_dbfs / 20)
    done = subprocess.run(
        [
            ffmpeg, "-hide_banner", "-nostats", "-i", str(track),
            "-af", f"silencedetect=noise={noise:.8f}:duration={shortest_s}", "-f", "null", "-",
        ],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    starts = [float(x) for x in re.findall(r"silence_start: (-?[\d.]+)", done.stderr)]
    lengths = [float(x) for x in re.findall(r"silence_duration: ([\d.]+)", done.stderr)]
    return list(zip(starts, lengths, strict=False))


# ---- the same bytes --------------------------------------------------------------------------


def bench_bytes(folder: Path) -> list[Row]:
    """Build one script four ways and compare the WAV files."""
    digests = {}
    demo = demo_copy(folder)
    runs = (("fresh, 2 workers", "2", True), ("warm, 2 workers", "2", False),
            ("fresh, 1 worker", "1", True), ("warm, 1 worker", "1", False))  # fmt: skip
    for name, workers, fresh in runs:
        shutil.rmtree(demo / "out", ignore_errors=True)
        if fresh:
            shutil.rmtree(demo / ".pausewright", ignore_errors=True)
        pausewright("build", "spelling.md", "--format", "wav", "--workers", workers, cwd=demo)
        digests[name] = next((demo / "out").rglob("*[!k].wav")).read_bytes()
    same = len(set(digests.values())) == 1
    return [("WAV bytes: " + "; ".join(digests), "alike" if same else "DIFFERENT", "alike", same)]


# ---- laying, against pydub -------------------------------------------------------------------


def bench_laying(folder: Path) -> list[Row]:
    """Lay 400 takes with silences and write a WAV; the same with pydub's `+`."""
    import numpy as np  # noqa: PLC0415
    from pausewright.plan.timeline import Say, Wait, timeline  # noqa: PLC0415
    from pausewright.sound.lay import lay  # noqa: PLC0415
    from pausewright.sound.track_files import write_track  # noqa: PLC0415
    from pydub import AudioSegment  # noqa: PLC0415
    from support.voices.fake_voice import fake_studio, utterance  # noqa: PLC0415

    n = 400
    said = [utterance(f"number {'word ' * 6}{i}", folder) for i in range(n)]
    studio = fake_studio(folder)
    studio.record(said)
    steps: list[Step] = []
    for one in said:
        steps += [Say(one, "question", captioned=False), Wait("answer-time", Fraction(2))]
    takes = {one: studio.take(one) for one in said}

    def ours() -> None:
        line = timeline(steps, lambda p: takes[p].n_sound_samples, 44_100)  # type: ignore[index]
        blocks = lay(line, lambda p: takes[p], channels=1)  # type: ignore[index]
        write_track(blocks, folder / "ours.wav", format="wav", rate_hz=44_100, channels=1)

    segments = [
        AudioSegment(
            np.ascontiguousarray(t.samples[t.edge_start : t.edge_end]).tobytes(),
            sample_width=2, frame_rate=44_100, channels=1,
        )
        for t in takes.values()
    ]  # fmt: skip
    silence = AudioSegment.silent(2000, frame_rate=44_100)

    def theirs() -> None:
        track = AudioSegment.empty()
        for segment in segments:
            track = track + segment + silence
        track.export(str(folder / "theirs.wav"), format="wav")

    ours_s = min(timed(ours) for _ in range(3))
    theirs_s = timed(theirs)
    ratio = theirs_s / ours_s
    return [
        (
            (f"laying {n} takes and writing WAV ({ours_s:.2f} s) against pydub's + "
            f"({theirs_s:.1f} s)"),
            f"{ratio:.0f} × faster", "20 ×", ratio >= 20,
        )
    ]  # fmt: skip


# ---- memory ----------------------------------------------------------------------------------

_LONG_BUILD = """
import re, resource, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles
from pausewright.deliver.build import Options, build
script = Path(sys.argv[2])
built = build(script, Options(script.parent / "out", engines=fake_engines(FakeEngine(ramp_s=0.02)),
              profiles=fake_profiles(script.parent)))
status = Path("/proc/self/status")  # ru_maxrss remembers the parent that started us
if status.exists():
    peak = int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1]) * 1024
else:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(peak, float(built.length_s))
"""


def long_script(n_questions: int) -> str:
    """Return a script of about 22.5 s a question, all questions different."""
    head = (
        "---\ntitle: Long\nlanguage: en-GB\nvoice: joe\nreadings: 2\nbetween-readings: 2 s\n"
        'announce: "Number {number}."\nanswer-time: 12 s\n---\n\n# Test\n\nListen.\n\n'
    )
    words = ("boat", "harbour", "lantern", "signal", "rope", "gull", "anchor", "tide")
    rows = [
        f"{i + 1}. Write the word {words[i % 8]} and then {words[(i // 8) % 8]} for number {i}."
        for i in range(n_questions)
    ]
    return head + "\n".join(rows) + "\n\n# End\n\nThe test is over.\n"


def bench_memory(folder: Path) -> list[Row]:
    """Compare the peak memory of building and checking a 15-minute and a 3-hour track."""
    peaks, minutes = [], []
    for name, n_questions in (("short", 40), ("long", 480)):
        script = folder / name / "long.md"
        script.parent.mkdir()
        script.write_text(long_script(n_questions), "utf-8")
        code = folder / "long_build.py"
        code.write_text(_LONG_BUILD)
        peak, length_s = run(str(code), str(ROOT / "tests"), str(script)).stdout.split()
        peaks.append(float(peak))
        minutes.append(float(length_s) / 60)
    ratio = peaks[1] / peaks[0]
    return [
        (
            (f"peak memory, {minutes[1]:.0f} min ({peaks[1] / 2**20:.0f} MiB) against "
            f"{minutes[0]:.0f} min ({peaks[0] / 2**20:.0f} MiB)"),
            f"{ratio:.2f} ×", "1.2 ×", ratio <= 1.2,
        )
    ]  # fmt: skip


# ---- start-up --------------------------------------------------------------------------------

_HELP = """
import sys

sys.argv = ["pausewright", "--help"]
from pausewright.cli import main
try:
    main()
except SystemExit:
    pass
heavy = ("onnxruntime", "numpy", "scipy", "soundfile", "soxr", "av", "piper", "hibari", "onnx")
print("HEAVY:", *sorted(name for name in heavy if name in sys.modules))
"""


def bench_help(folder: Path) -> list[Row]:
    """Say which heavy libraries `pausewright --help` loads."""
    code = folder / "help.py"
    code.write_text(_HELP)
    heavy = run(str(code)).stdout.rpartition("HEAVY:")[2].split()
    return [("libraries that --help loads", ", ".join(heavy) or "none", "none", not heavy)]


def bench_start(folder: Path) -> list[Row]:
    """Compare the first answer of the command with importing typer, which reads its arguments."""
    script = folder / "thirty.md"
    script.write_text(long_script(30), "utf-8")
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    calls = {
        "import typer": ["-c", "import typer"],
        "pausewright --help": ["-m", "pausewright", "--help"],
        "outline of 30 questions": ["-m", "pausewright", "outline", str(script)],
    }
    costs: dict[str, list[bench_builds.Cost]] = {name: [] for name in calls}
    for _ in range(15):  # the first run compiles
        for name, arguments in calls.items():
            command = partial(
                subprocess.run, [sys.executable, *arguments],
                env=environment, check=True, capture_output=True,
            )  # fmt: skip
            costs[name].append(bench_builds.cost_of(command))
    typer, called_help, called_outline = (rounds[1:] for rounds in costs.values())
    rows: list[Row] = []
    for name, rounds, wanted in (
        ("pausewright --help", called_help, 1.7), ("outline of 30 questions", called_outline, 5),
    ):  # fmt: skip
        wall, cpu = bench_builds.ratio(rounds, typer)
        measured = f"{wall:.2f} × by the clock, {cpu:.2f} × by the processors"
        rows.append((f"{name}, against importing typer", measured, f"{wanted} ×", wall <= wanted))
    return rows


# ---- wording -----------------------------------------------------------------------------------


LINES = (
    "A shelf holds {small} boxes and each weighs {decimal} kg.",
    "What is {grouped} plus {hundreds}?",
    "The bill is £{money} and {small} people share it.",
    "At {hour}:{minute} the water held {decimal} mg/l of oxygen.",
    "Take {fraction} of {grouped} and add {hundreds}.",
    "The train leaves at {hour}:{minute} and goes {decimal} km.",
    "It was {small} °C in the shade and {hundreds} m away.",
    "Add {small} % to {grouped}.",
    "There are {grouped} words on {small} pages.",
    "{small} × {hundreds} = {grouped}",
)
"""Sentences of tests with one to three figures each."""


def bench_wording(folder: Path) -> list[Row]:
    """Word 10,000 lines; the yardstick is `num2words` on the numbers in them, nothing else."""
    from num2words import num2words  # noqa: PLC0415
    from pausewright.wording.plain_lines import LineWorder  # noqa: PLC0415

    dice = random.Random(20)  # noqa: S311  no secret
    lines = [dice.choice(LINES).format_map(_figures(dice)) for _ in range(10_000)]
    numbers = [
        figure.replace(",", "")
        for line in lines
        for figure in re.findall(r"\d[\d,]*(?:\.\d+)?", line)
    ]
    worder = LineWorder(folder / "lines", "en-GB", {})
    ours_s = timed(lambda: [worder.spoken(line, n) for n, line in enumerate(lines, start=1)])
    theirs_s = timed(lambda: [num2words(number) for number in numbers])
    ratio = ours_s / theirs_s
    measured = f"{ratio:.2f} × num2words alone on their {len(numbers)} numbers ({ours_s:.1f} s)"
    good = ratio <= 1.5 and not worder.problems.errors
    return [("10,000 lines put into words", measured, "1.5 ×", good)]


def _figures(dice: random.Random) -> dict[str, str]:
    """Return one figure of each kind."""
    return {
        "small": str(dice.randrange(2, 100)),
        "hundreds": str(dice.randrange(100, 1000)),
        "grouped": f"{dice.randrange(1000, 999_999):,}",
        "decimal": f"{dice.uniform(0.1, 99):.1f}",
        "money": f"{dice.uniform(1, 500):.2f}",
        "hour": str(dice.randrange(13, 24)),
        "minute": f"{dice.randrange(60):02d}",
        "fraction": f"{dice.randrange(1, 9)}/{dice.randrange(9, 20)}",
    }


PARTS: dict[str, Callable[[Path], list[Row]]] = {
    "help": bench_help,
    "start": bench_start,
    "wording": bench_wording,
    "voicing": lambda folder: bench_builds.bench_voicing(demo_copy(folder), run),
    "arrangements": lambda folder: bench_builds.bench_arrangements(demo_copy(folder), run),
    "gaps": bench_gaps,
    "bytes": bench_bytes,
    "laying": bench_laying,
    "memory": bench_memory,
    "papers": lambda folder: bench_papers(demo_copy(folder)),
    "check-speed": lambda folder: bench_check_speed(folder, run),
    "check-memory": lambda folder: bench_check_memory(folder, run),
    **bench_scripts.PARTS,
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the named parts and print a table; return 1 if a figure is missed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("parts", nargs="*", choices=[*PARTS, []], help="default: all")
    chosen = parser.parse_args(arguments).parts or list(PARTS)
    missed = 0
    for name in chosen:
        with tempfile.TemporaryDirectory(prefix="pausewright-bench-") as folder:
            for what, measured, wanted, good in PARTS[name](Path(folder)):
                missed += not good
                print(f"{'good  ' if good else 'MISSED'}  {what}: {measured} (wanted: {wanted})",
                      flush=True)  # fmt: skip
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
