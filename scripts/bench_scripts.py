"""Measures over whole scripts: reading speed, damage, and each track against every other script.

Parts of `scripts/bench.py`; the scripts are the samples under tests/ and the demo scripts.
"""

from __future__ import annotations

import multiprocessing
import re
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.wording.worded import Worded
    from support.damage.slips import Report

Row = tuple[str, str, str, bool]

ROOT: Final = Path(__file__).resolve().parent.parent
N_DAMAGES: Final = 50_000
N_WORKERS: Final = 2

sys.path.insert(0, str(ROOT / "tests"))


# ---- reading, against the Markdown library alone ---------------------------------------------


def questions_script(n_questions: int) -> str:
    """Return a script of so many questions with keys, sheets, spans and blocks."""
    head = (
        "---\ntitle: Long\nlanguage: en-GB\nvoice: joe\nreadings: 2\nbetween-readings: 2 s\n"
        'accept-voice-language: "made up"\nannounce: "Number {number}."\nanswer-time: 12 s\n---\n\n'
        "# Test\n\n"
    )
    rows = []
    for number in range(1, n_questions + 1):
        if number % 30 == 1:
            rows.append(f'## Set {number} {{answer-time="{6 + number // 30} s"}}\n\nListen well.\n')
        rows.append(
            f'{number}. Write [3/4]{{say="three quarters"}} of the **{number}** boats in the '
            f'harbour, and of the gulls on the old sea wall. {{sheet="{number}" key="{number}"}}\n'
        )
        if number % 10 == 0:
            rows.append("    ::: sheet\n    Boats and gulls.\n    :::\n")
    text = re.sub(r' \{sheet="\d*0" ', " {", "\n".join(rows))
    return f"{head}{text}\n\n# End\n\nThe test is over.\n"


def bench_reading(folder: Path) -> list[Row]:
    """Compare reading a script of 300 questions with markdown-it-py's own time for the text."""
    from markdown_it import MarkdownIt  # noqa: PLC0415
    from pausewright.script.reader import read  # noqa: PLC0415

    file = folder / "long.md"
    text = questions_script(300)
    file.write_text(text, encoding="utf-8")
    wrong = [p.message for p in read(file).problems]
    if wrong:
        sys.exit(f"the script for the benchmark has problems: {wrong[:3]}")
    ours_s, theirs_s = _best_of_both(
        lambda: read(file), lambda: MarkdownIt("commonmark").parse(text)
    )
    ratio = ours_s / theirs_s
    return [
        (
            f"reading 300 questions ({1000 * ours_s:.0f} ms) against markdown-it-py alone",
            f"{ratio:.1f} ×", "4 ×", ratio <= 4,
        )
    ]  # fmt: skip


def _best_of_both(
    one: Callable[[], object], other: Callable[[], object], n: int = 20
) -> tuple[float, float]:
    """Return the shortest time of each of two calls, made by turns so that both meet one load."""
    found: tuple[list[float], list[float]] = ([], [])
    for _ in range(n):
        for call, times_s in zip((one, other), found, strict=True):
            start_s = time.perf_counter()
            call()
            times_s.append(time.perf_counter() - start_s)
    return min(found[0]), min(found[1])


# ---- damage ----------------------------------------------------------------------------------


def _damaged(job: tuple[Path, int, int]) -> Report:
    from support.damage.slips import damage_report  # noqa: PLC0415

    file, n, seed = job
    return damage_report([file], n=n, seed=seed)


def bench_damage(folder: Path) -> list[Row]:
    """Damage all whole scripts 50,000 times in all and read each."""
    from support.scripts.whole_scripts import sources  # noqa: PLC0415

    del folder
    files = sources()
    jobs = [
        (file, N_DAMAGES // len(files) + (index < N_DAMAGES % len(files)), 1 + index)
        for index, file in enumerate(files)
    ]
    with multiprocessing.get_context("spawn").Pool(N_WORKERS) as pool:
        found = pool.map(_damaged, jobs, chunksize=1)
    for example in (example for report in found for example in report.examples[:3]):
        print(f"        {example}")
    n = sum(report.n for report in found)
    n_crashes = sum(report.n_crashes for report in found)
    n_markup = sum(report.n_markup for report in found)
    n_leaks = sum(report.n_leaks for report in found)
    n_refused = sum(report.n_refused for report in found)
    return [
        (
            f"{n} damages to {len(files)} scripts ({n_refused} gave problems)",
            f"{n_crashes} crashes, {n_markup} with markup in words, {n_leaks} leaks",
            "0, 0, 0", n_crashes + n_markup + n_leaks == 0,
        )
    ]  # fmt: skip


# ---- each track against each other script ----------------------------------------------------


class Whole(NamedTuple):
    """A built test."""

    name: str
    script: Path
    track: Path
    words: Worded
    edition: str


def built_tests(scripts: list[Path], out: Path) -> list[Whole]:
    """Build scripts with the voices that they name; return each with its track."""
    from pausewright.deliver.build import Options, build  # noqa: PLC0415
    from pausewright.deliver.project import open_project  # noqa: PLC0415

    found = []
    for script in scripts:
        built = build(script, Options(out / script.parent.name))
        track = next((built.folder / "version-A").glob("*[!k].mp3"))
        project = open_project(script)
        found.append(Whole(script.stem, script, track, project.worded, project.edition))
    return found


def exchanged(text: str) -> str | None:
    """Return a script in which the words of two questions have changed places, or None.

    Of all pairs of one-line questions of one group, those are taken whose words are nearest in
    length (and differ): the pair that is hardest to tell apart by lengths.
    """
    rows = text.split("\n")
    asked: list[tuple[int, int, str]] = []
    group = 0
    for at, row in enumerate(rows):
        group += row.startswith("#")
        found = re.fullmatch(r"\d+\. (.+?)( \{.*\})?", row)
        if found:
            asked.append((group, at, found[1]))
    pairs = [
        (abs(len(a[2]) - len(b[2])), a, b)
        for i, a in enumerate(asked)
        for b in asked[i + 1 :]
        if a[0] == b[0] and a[2] != b[2]
    ]
    if not pairs:
        return None
    _, (_, first, one), (_, second, other) = min(pairs, key=lambda pair: pair[0])
    rows[first] = rows[first].replace(one, other, 1)
    rows[second] = rows[second].replace(other, one, 1)
    return "\n".join(rows)


def bench_cross(folder: Path) -> list[Row]:
    """Check every track against every other script, and against its own with two questions changed.

    Refused by sound: errors without looking at the edition. By record: the edition alone.
    """
    from pausewright.checker.check import check_track  # noqa: PLC0415
    from pausewright.deliver.project import open_project  # noqa: PLC0415
    from support.scripts.whole_scripts import all_laid_out  # noqa: PLC0415

    tests = built_tests(all_laid_out(folder), folder / "out")
    n_own = sum(check_track(t.track, t.words, edition=t.edition).is_good for t in tests)
    n_pairs = n_by_sound = 0
    for test in tests:
        for other in tests:
            if other is test:
                continue
            n_pairs += 1
            result = check_track(test.track, other.words, edition=None)
            n_by_sound += not result.is_good
            if result.is_good:
                print(f"        {test.name} passes as {other.name}")
    n_twins = n_twins_by_sound = n_twins_by_record = 0
    for test in tests:
        changed = exchanged(test.script.read_text(encoding="utf-8"))
        if changed is None:
            continue
        twin = test.script.with_name(f"twin-{test.script.name}")
        twin.write_text(changed, encoding="utf-8")
        project = open_project(twin)
        if any(p.severity == "error" for p in project.problems):
            continue
        n_twins += 1
        by_sound = not check_track(test.track, project.worded, edition=None).is_good
        by_record = not check_track(test.track, project.worded, edition=project.edition).is_good
        n_twins_by_sound += by_sound
        n_twins_by_record += by_record
        if not by_sound:
            print(f"        {test.name}: two questions changed places; needs the ear or the record")
    return [
        (
            f"{len(tests)} tracks against their own scripts",
            f"{n_own} pass", str(len(tests)), n_own == len(tests),
        ),
        (
            f"{n_pairs} pairs of a track and another script",
            f"{n_by_sound} refused by sound alone", str(n_pairs), n_by_sound == n_pairs,
        ),
        (
            f"{n_twins} scripts in which the two likest questions changed places",
            f"{n_twins_by_record} refused by the record, {n_twins_by_sound} by sound alone",
            f"{n_twins} by the record", n_twins_by_record == n_twins,
        ),
    ]  # fmt: skip


PARTS: dict[str, Callable[[Path], list[Row]]] = {
    "reading": bench_reading,
    "damage": bench_damage,
    "cross": bench_cross,
}
