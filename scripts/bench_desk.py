"""Measure how quick the desk is: words on the disk, what is wrong on the page, pages at all.

    python scripts/bench_desk.py                         60 and 300 questions
    python scripts/bench_desk.py --questions 60 --rounds 31

The client asks what the page's own script asks, in that order: the card is saved, the reading is
waited for, the page is fetched again. Times are medians, counted from the end of the pause of
400 ms after the last key. Beside them stands the processor time of the desk's processes, which
other work on the machine changes little. For comparison: one request for a small file, the same
reading without a desk, and the memory of Python with the desk's libraries alone.
Run it with the project's own interpreter, on an idle machine. Exit code 1: something is too slow.
"""

from __future__ import annotations

import argparse
import html
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from bench_scripts import questions_script
from pausewright.desk.messages import Look
from pausewright.desk.work import look
from support.desks.client import children, let_in, started
from support.desks.folder import Place

if TYPE_CHECKING:
    from collections.abc import Callable

    from support.desks.client import Client

PROC: Final = Path("/proc")
TICKS: Final = os.sysconf("SC_CLK_TCK")
PAUSE_S: Final = 0.4
"""`PAUSE_MS` of desk.js."""
ON_DISK_S, PAGE_S, SERVER_MB = 1.0, 0.2, 120.0
SHOWN_S: Final = {60: 0.3, 300: 0.7}
PULSE_EVERY_S, N_PULSES, IDLE_S = 20.0, 200, 5.0
LIBRARIES: Final = "import starlette.applications, uvicorn, jinja2, msgspec, pausewright"
PAGES: Final = (
    "words",
    "make",
    "versions",
    "papers",
    "listen",
    "rooms",
    "day",
    "changes",
    "more",
)


class Row(NamedTuple):
    """One figure."""

    what: str
    found: str
    wanted: str = ""
    is_good: bool = True


def cpu_s(pids: list[int]) -> float:
    """Return the processor time of processes since they began."""
    total = 0
    for pid in pids:
        fields = (PROC / str(pid) / "stat").read_bytes().rpartition(b")")[2].split()
        total += int(fields[11]) + int(fields[12])  # proc(5): utime, stime
    return total / TICKS


def memory_mb(pid: int | str, name: str = "VmRSS") -> float:
    """Return the memory of a process, now ("VmRSS") or at most ("VmHWM")."""
    found = re.search(rf"{name}:\s+(\d+) kB", (PROC / str(pid) / "status").read_text("utf-8"))
    return int(found[1]) / 1024 if found else 0.0


def median_s(call: Callable[[], object], rounds: int) -> float:
    """Return the median of what a call takes."""
    times_s = []
    for _ in range(rounds):
        began_s = time.perf_counter()
        call()
        times_s.append(time.perf_counter() - began_s)
    return statistics.median(times_s)


class Writer:
    """Changes the words of one card again and again, as the page's script does."""

    def __init__(self, client: Client, page: str, script: Path) -> None:
        """Take the card of the question in the middle."""
        rows = script.read_text("utf-8").split("\n")
        lines = [n for n, row in enumerate(rows, 1) if re.match(r"\d+\. ", row)]
        self._line = str(lines[len(lines) // 2])
        text = client.get(page).text.partition(f'id="card-{self._line}"')[2]
        self._mark = text.partition('name="mark" value="')[2].partition('"')[0]
        words = text.partition('name="f::words"')[2].partition(">")[2].partition("</textarea>")[0]
        self._words = html.unescape(words.strip())
        self._client, self._page, self._script = client, page, script
        self._n = 0
        self.saved_s: list[float] = []
        self.shown_s: list[float] = []

    def write(self) -> None:
        """Change a word, wait until it is saved, read and shown."""
        self._n += 1
        words = f"{self._words} Number {self._n}."
        fields = {"card": self._line, "mark": self._mark, "how": "change", "f::words": words}
        began_s = time.perf_counter()
        reply = self._client.post(f"{self._page}/card/save", fields)
        self.saved_s.append(time.perf_counter() - began_s)
        is_saved = f"Number {self._n}." in self._script.read_text("utf-8")
        looked = self._client.get(f"{self._page}/save?look")
        is_shown = f"Number {self._n}." in self._client.get(self._page).text
        self.shown_s.append(time.perf_counter() - began_s)
        if not (is_saved and looked.status == 200 and is_shown):
            sys.exit(f"what was written is not there: {reply.status}, {looked.status}")
        self._mark = re.findall(r'"mark": ?"(\w+)"', reply.text)[0]


def measured(place: Place, n_questions: int, rounds: int) -> list[Row]:
    """Measure a test of so many questions."""
    name = f"long-{n_questions}.md"
    script = place.folder / name
    script.write_text(questions_script(n_questions), encoding="utf-8")
    test, client = f"/test/{place.id_of(name)}", place.client
    client.read(f"{test}/words")
    pids = [place.process.pid, *children(place.process.pid)]
    writer = Writer(client, f"{test}/words", script)
    writer.write()
    writer.saved_s, writer.shown_s = [], []
    before_s = cpu_s(pids)
    for _ in range(rounds):
        writer.write()
    each_s = (cpu_s(pids) - before_s) / rounds
    saved_s, shown_s = (statistics.median(one) for one in (writer.saved_s, writer.shown_s))
    began_s = time.perf_counter()
    if client.get(f"{test}/words/save?look=whole").text != '{"differs":false}':
        sys.exit("what was shown at once is not what the whole reading says")
    whole_s = time.perf_counter() - began_s
    began_s = time.process_time()
    look(Look(str(script), str(place.folder / "out")))
    read_s = time.process_time() - began_s
    most_s = SHOWN_S.get(n_questions)
    of = f"{n_questions} questions"
    rows = [
        Row(
            f"{of}: on the disk after a key",
            f"{1000 * (PAUSE_S + saved_s):.0f} ms",
            f"{1000 * ON_DISK_S:.0f} ms",
            PAUSE_S + saved_s <= ON_DISK_S,
        ),
        Row(
            f"{of}: what is wrong is shown, after the pause",
            f"{1000 * shown_s:.0f} ms",
            f"{1000 * most_s:.0f} ms" if most_s else "",
            not most_s or shown_s <= most_s,
        ),
        Row(f"{of}: processor time of that, both processes", f"{1000 * each_s:.0f} ms"),
        Row(f"{of}: all read anew in the background, and agrees", f"{1000 * whole_s:.0f} ms"),
        Row(f"{of}: processor time of one reading without a desk", f"{1000 * read_s:.0f} ms"),
    ]
    times_s = {
        page: median_s(partial(client.get, f"{test}/{page}"), max(3, rounds // 3)) for page in PAGES
    }
    slowest = max((one for one in PAGES if one != "words"), key=times_s.__getitem__)
    for page, about in (("words", ""), (slowest, ", the slowest other one")):
        took, is_good = f"{1000 * times_s[page]:.0f} ms", times_s[page] <= PAGE_S
        row = Row(f"{of}: page {page}{about}", took, f"{1000 * PAGE_S:.0f} ms", is_good)
        rows.append(row)
    return rows


def resting(place: Place) -> list[Row]:
    """Measure what the desk takes while nobody writes, and its memory."""
    server = place.process.pid
    workers = children(server)
    before_s = cpu_s([server])
    for _ in range(N_PULSES):
        place.client.get("/pulse")
    pulse_s = (cpu_s([server]) - before_s) / N_PULSES
    before_s = cpu_s([server, *workers])
    time.sleep(IDLE_S)
    idle = (cpu_s([server, *workers]) - before_s) / IDLE_S
    plain = subprocess.run(
        [sys.executable, "-c", f"{LIBRARIES}; print(open('/proc/self/status').read())"],
        capture_output=True,
        check=True,
        encoding="utf-8",
    ).stdout
    found = re.search(r"VmRSS:\s+(\d+) kB", plain)
    plain_mb = int(found[1]) / 1024 if found else 0.0
    most_mb = memory_mb(server, "VmHWM")
    return [
        Row(
            "server: most memory", f"{most_mb:.0f} MB", f"{SERVER_MB:.0f} MB", most_mb <= SERVER_MB
        ),
        Row("Python with the desk's libraries alone", f"{plain_mb:.0f} MB"),
        Row(
            "worker that reads: memory now",
            ", ".join(f"{memory_mb(pid):.0f} MB" for pid in workers) or "none",
        ),
        Row("one look of an open page at the desk, processor time", f"{1000 * pulse_s:.1f} ms"),
        Row(
            f"an open page, of one processor (one look in {PULSE_EVERY_S:.0f} s)",
            f"{100 * pulse_s / PULSE_EVERY_S:.3f} %",
        ),
        Row("desk without an open page, of one processor", f"{100 * idle:.1f} %"),
    ]


def main() -> int:
    """Measure, print a table, and return the exit code."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--questions", type=int, nargs="+", default=[60, 300])
    parser.add_argument("--rounds", type=int, default=15)
    asked = parser.parse_args()
    load = os.getloadavg()[0]
    print(f"{os.cpu_count()} processors, load {load:.1f} when it began: idle is below 0.3\n")
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        with started(folder) as process:
            place = Place(folder, process, let_in(folder))
            small_s = median_s(lambda: place.client.get("/desk.css"), 3 * asked.rounds)
            rows = [Row("one request for a small file", f"{1000 * small_s:.1f} ms")]
            for n_questions in asked.questions:
                rows += measured(place, n_questions, asked.rounds)
            rows += resting(place)
    width = max(len(row.what) for row in rows)
    for row in rows:
        limit = f"   at most {row.wanted}" if row.wanted else ""
        print(f"{row.what:{width}}  {row.found:>10}{limit}{'' if row.is_good else '   TOO MUCH'}")
    return 0 if all(row.is_good for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
