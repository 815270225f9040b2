"""Reads damaged files as the commands do, and counts what must never come of it.

    PYTHONPATH=tests python -m support.fuzz.reading --kind script --first 0 --cases 1000

prints a report as JSON; a seed always gives the same case.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import tempfile
import time
import traceback
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from unittest import mock

from pausewright.arrange.apply import apply_arrangement
from pausewright.arrange.declarations import read_arrangements
from pausewright.deliver.needs_list import read_needs
from pausewright.problems import PausewrightError, Problems, ScriptError
from pausewright.script import reader
from pausewright.script.recordings.caption_files import read_caption_file
from pausewright.script.settings.lexicon_files import read_lexicon
from pausewright.script.settings.settings_reader import read_settings
from pausewright.shown_text import ROW_LIMIT, problems_data, shown_problem
from pausewright.wording.lexicon import Lookup
from pausewright.wording.worded import Worded

from support.damage.slips import Report as SlipReport
from support.damage.slips import damages, judge
from support.fuzz.bases import ARRANGEMENTS, END, KINDS, Kind, bases, head_and_body
from support.fuzz.damages import damaged
from support.places import DEMO

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Problem
    from pausewright.script.source.source_text import Source

MOST_S: Final = 10.0
"""Seconds of processor time that one case may take."""
_ACTING: Final = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@dataclass
class Report:
    """What came of the cases."""

    n: int = 0
    n_refused: int = 0
    slowest_s: float = 0.0
    peak_mb: float = 0.0
    crashes: dict[str, int] = field(default_factory=dict)
    """Error and place → a seed."""
    faults: list[str] = field(default_factory=list)
    """What else must not be: over time, markup or keys among the words, signs that act."""


def run(kind: str, first: int, n: int) -> Report:
    """Read `n` damaged files of a kind, from seed `first` on."""
    report = Report()
    with tempfile.TemporaryDirectory() as folder, _settings_read_once():
        judge_one = _slip if kind == "slip" else _of_kind(kind, Path(folder))
        for seed in range(first, first + n):
            start_s = time.process_time()
            try:
                judge_one(seed, report)
            except Exception as error:  # noqa: BLE001  a crash is what is looked for
                last = traceback.extract_tb(error.__traceback__)[-1]
                where = f"{kind}: {type(error).__name__} {Path(last.filename).name}:{last.lineno}"
                report.crashes.setdefault(where, seed)
            took_s = time.process_time() - start_s
            report.n += 1
            report.slowest_s = max(report.slowest_s, took_s)
            if took_s > MOST_S:
                report.faults.append(f"{kind} {seed}: took {took_s:.1f} s")
    report.peak_mb = _peak_mb()
    return report


def _peak_mb() -> float:
    """Return the most memory of this process; `ru_maxrss` counts whoever started it on Linux."""
    if sys.platform == "win32":
        return 0.0
    if sys.platform == "linux":
        rows = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
        return next(int(row.split()[1]) for row in rows if row.startswith("VmHWM:")) / 1024
    import resource  # noqa: PLC0415  not on every system

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1 << 20 if sys.platform == "darwin" else 1 << 10)


@contextmanager
def _settings_read_once() -> Iterator[None]:
    """Read settings that were not damaged only once: they take longer than all the rest."""
    kept: dict[tuple[Path, str], tuple[Any, Problems]] = {}

    def read_kept(source: Source, problems: Problems) -> Any:
        key = source.file, source.settings_text
        if key not in kept:
            found = Problems()
            read = read_settings(source, found)
            if source.settings_line != 1 or len(kept) > 500:
                problems.extend(found.all)
                return read
            kept[key] = read, found
        problems.extend(kept[key][1].all)
        return kept[key][0]

    with mock.patch.object(reader, "read_settings", read_kept):
        yield


# ---- one case -------------------------------------------------------------------------------


def _slip(seed: int, report: Report) -> None:
    """Judge a slip of the hand in a part of a demo: no markup, no key among its words."""
    texts = [text for text in bases("script") if 'accept-voice-language: "invented' not in text]
    text = texts[seed % len(texts)]
    ((kind, one),) = damages(text, seed, 1)
    found = SlipReport()
    judge(kind, one, DEMO / "damaged.md", found)
    report.n_refused += found.n_refused
    if found.n_crashes:
        report.crashes.setdefault(f"slip: {found.examples[0][:80]}", seed)
    elif found.examples:
        report.faults.append(f"slip {seed}: {found.examples[0]}")


def _of_kind(kind: str, folder: Path) -> Callable[[int, Report], None]:
    readers: dict[str, Callable[[str], tuple[Path, Sequence[Problem]]]] = {
        "script": _read_script,
        "settings": _read_script,
        "arrangements": lambda text: _read_arrangements(text, folder),
        "lexicon": _read_lexicon,
        "captions": lambda text: _read_captions(text, folder),
        "needs": lambda text: _read_needs(text, folder),
    }
    found: Kind = next(one for one in KINDS if one == kind)
    read = readers[kind]

    def judge_one(seed: int, report: Report) -> None:
        text = _damaged_body(seed) if found == "script" else damaged(bases(found), seed)
        try:
            file, problems = read(text)
        except ScriptError as error:
            file, problems = DEMO / "damaged.md", error.problems
        except PausewrightError:
            report.n_refused += 1
            return
        report.n_refused += any(one.severity == "error" for one in problems)
        _show(file, text, problems, f"{kind} {seed}", report)

    return judge_one


@cache
def _bodies() -> tuple[tuple[str, ...], tuple[str, ...]]:
    heads, bodies = zip(*map(head_and_body, bases("script")), strict=True)
    return heads, bodies


def _damaged_body(seed: int) -> str:
    """Return a script of which all but the settings is damaged: those are a kind of their own."""
    heads, bodies = _bodies()
    return heads[seed % len(heads)] + damaged(bodies, seed)


def _read_script(text: str) -> tuple[Path, Sequence[Problem]]:
    file = DEMO / "damaged.md"
    reading = reader.read(file, text)
    worded = Worded(reading.script)
    for _ in worded.all_elements():
        pass
    return file, (*reading.problems, *worded.problems.all)


@cache
def _good() -> reader.Reading:
    text = bases("settings")[0].replace(END, f"\n2. Write 6. {{.withdrawn}}\n{END}")
    return reader.read(DEMO / "damaged.md", text)


def _read_arrangements(text: str, folder: Path) -> tuple[Path, Sequence[Problem]]:
    file = folder / "damaged.arrangements.yaml"
    file.write_text(text, encoding="utf-8", errors="replace", newline="")
    found, problems = read_arrangements(_good(), folder / "damaged.md")
    for one in found[:20]:
        apply_arrangement(_good().script, one, problems)
    return file, problems.all


def _read_lexicon(text: str) -> tuple[Path, Sequence[Problem]]:
    file, problems = DEMO / "damaged.lexicon.yaml", Problems()
    lexicon = read_lexicon(file, text, problems)
    if lexicon.entries:
        Lookup(mock.Mock(lexicons=(lexicon,), words=()), "en-GB", "joe").entry("Ceilidh", 0)
    return file, problems.all


def _read_captions(text: str, folder: Path) -> tuple[Path, Sequence[Problem]]:
    file, problems = folder / f"damaged{'.vtt' if 'WEBVTT' in text else '.srt'}", Problems()
    file.write_text(text, encoding="utf-8", errors="replace", newline="")
    held = read_caption_file(file, problems)
    for cue in held.cues:
        held.words(cue)
    return file, problems.all


@cache
def _declared(folder: Path) -> tuple[Arrangement, ...]:
    (folder / "good.arrangements.yaml").write_text(ARRANGEMENTS, encoding="utf-8")
    return read_arrangements(_good(), folder / "good.md")[0]


def _read_needs(text: str, folder: Path) -> tuple[Path, Sequence[Problem]]:
    file = folder / "damaged.csv"
    file.write_text(text, encoding="utf-8", errors="replace", newline="")
    _, problems = read_needs(file, _declared(folder))
    return file, problems.all


def _show(file: Path, text: str, problems: Sequence[Problem], case: str, report: Report) -> None:
    """Show the first problems, and look at what would reach a terminal."""
    rows = {file: text.replace("\r\n", "\n").replace("\r", "\n").split("\n")}
    for problem in problems[:5]:
        shown = shown_problem(problem, rows)
        if _ACTING.search(shown) or max(map(len, shown.split("\n"))) > 2 * ROW_LIMIT + 100:
            report.faults.append(f"{case}: {shown[:200]!r}")
    json.dumps(problems_data("problems", problems))


def main() -> None:
    """Print a report as JSON."""
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--kind", choices=("slip", *KINDS), required=True)
    arguments.add_argument("--first", type=int, default=0)
    arguments.add_argument("--cases", type=int, default=1000)
    chosen = arguments.parse_args()
    report = run(chosen.kind, chosen.first, chosen.cases)
    sys.stdout.write(json.dumps(asdict(report), ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
