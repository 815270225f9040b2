"""The desk and its worker killed at random moments: every file is whole; two desks."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.listening_notes import read_notes
from pausewright.deliver.needs_table import read_table
from pausewright.deliver.output_folder import is_current, record_files
from pausewright.desk.jobs import Job, Jobs
from pausewright.desk.messages import Choices, Make
from pausewright.records.record_files import read_record
from support.amounts import cases
from support.desks.client import LAUNCH, Client, let_in, started
from support.desks.folder import GOOD, Place

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.timeout(7200)
SEED = random.SystemRandom().getrandbits(32)
"""Fresh in each run: the moments are chance anyway, since the machine is never the same."""
OTHER = GOOD.replace("7 times 8", "6 times 9")


class Writer(threading.Thread):
    """Saves words, a list and notes as fast as it can, until the desk is gone."""

    def __init__(self, client: Client, test: str) -> None:
        super().__init__(daemon=True)
        self.sent = {GOOD}
        self.rows = 0
        self._client = client
        self._page = f"/test/{test}"

    def run(self) -> None:
        """Write."""
        with contextlib.suppress(OSError, http.client.HTTPException, KeyError, ValueError):
            base = self._client.get(f"{self._page}/words").text
            base = base.partition('name="base" value="')[2][:64]
            for n in range(1, 10_000):
                text = GOOD + f"Line {n}, and more.\n\n" * (n % 40)
                self.sent.add(text)
                reply = self._client.post(f"{self._page}/words/save", {"base": base, "text": text})
                base = json.loads(reply.text)["base"]
                note = {"version": "A", "edition": "E", "at": "0:01", "words": f"note {n}"}
                self._client.ask("POST", f"{self._page}/listen/note", _body(note), self._headers())
                self._save_list(n)

    def _headers(self) -> dict[str, str]:
        return self._client.own() | {"Content-Type": "application/x-www-form-urlencoded"}

    def _save_list(self, n: int) -> None:
        mark = self._client.get(f"{self._page}/rooms").text
        mark = mark.partition('name="mark" value="')[2].partition('"')[0]
        rows = [("mark", mark)]
        for k in range(n % 30 + 1):
            cells = {"candidate": f"C{n}-{k}", "arrangement": "A", "room": "Hall"}
            empty = {"at": "-1", "headphones": "", "reader": ""}
            rows += [*{**empty, **cells}.items()]
        self._client.ask("POST", f"{self._page}/rooms/list", _body(rows), self._headers())


def _body(fields: object) -> bytes:
    from urllib.parse import urlencode  # noqa: PLC0415  beside its use

    return urlencode(fields).encode()  # type: ignore[arg-type]


def test_a_desk_that_is_killed_leaves_files_whole(tmp_path: Path) -> None:
    """While words, list and notes are saved without a pause: each is one that was sent, whole."""
    chance = random.Random(SEED)  # noqa: S311  nothing secret
    script = tmp_path / "tide.md"
    for _ in range(cases(3, 100)):
        script.write_text(GOOD, encoding="utf-8")
        with started(tmp_path) as desk:
            place = Place(tmp_path, desk, let_in(tmp_path))
            writer = Writer(place.client, place.id_of("tide.md"))
            writer.start()
            time.sleep(chance.uniform(0.05, 1.5))
            desk.kill()
            desk.wait()
            writer.join(60)
        (tmp_path / LAUNCH).unlink(missing_ok=True)
        assert script.read_text("utf-8") in writer.sent
        table = read_table(tmp_path / "tide.needs.csv")
        stems = {one.cells["candidate"].partition("-")[0] for one in table.rows}
        assert len(stems) <= 1  # of one saving
        assert all(one.words.startswith("note ") for one in read_notes(script))
    with started(tmp_path):
        assert "Tide table" in let_in(tmp_path).waited("/", "Tide table")


@pytest.mark.voice
@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_a_worker_that_is_killed_leaves_files_whole(tmp_path: Path) -> None:
    """While it makes other words of a made test: the old files or the new ones, and no remains."""
    chance = random.Random(SEED)  # noqa: S311  nothing secret
    script, out = tmp_path / "tide.md", tmp_path / "out"
    jobs = Jobs(tmp_path, out)

    def begun() -> Job:
        return jobs.begin(Job("make", "", Make(str(script), str(out), Choices())))

    script.write_text(GOOD, encoding="utf-8")
    job = begun()
    _wait(job)
    assert job.state == "done", job.answer
    began_s = time.monotonic()
    script.write_text(OTHER, encoding="utf-8")
    _wait(begun())
    whole_s = time.monotonic() - began_s
    n_killed = 0
    for n in range(cases(3, 100)):
        script.write_text((GOOD, OTHER)[n % 2], encoding="utf-8")
        job = begun()
        _wait(job, chance.uniform(0, whole_s))
        for pid in jobs.pids():
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        _wait(job)
        n_killed += job.state == "refused"
        records = [(file, read_record(file)) for file in record_files(out / "tide")]
        assert len(records) == 2
        for file, record in records:
            assert record is not None, file
            assert is_current(out / "tide", record.version_label, record.build_key) is not None
        left = [one for one in tmp_path.rglob(".*") if one.name.endswith((".stage", ".building"))]
        assert left == []
    jobs.end()
    assert n_killed >= 1


def _wait(job: Job, most_s: float = 300.0) -> None:
    until_s = time.monotonic() + most_s
    while job.state == "running" and time.monotonic() < until_s:
        time.sleep(0.02)


def test_two_desks_on_one_folder(tmp_path: Path) -> None:
    """Started in the same moment: one serves, the other shows it and ends; nothing is lost."""
    (tmp_path / "tide.md").write_text(GOOD, encoding="utf-8")
    command = [sys.executable, "-P", "-m", "pausewright", "desk", str(tmp_path), "--no-browser"]
    both = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        for _ in range(2)
    ]
    try:
        until_s = time.monotonic() + 120
        while all(one.poll() is None for one in both) and time.monotonic() < until_s:
            time.sleep(0.05)
        assert sorted(one.poll() is None for one in both) == [False, True]
        ended = next(one for one in both if one.poll() is not None)
        said = ended.communicate()[0].decode()
        assert "open already" in said or "another command is starting one" in said
        assert "Tide table" in let_in(tmp_path).waited("/", "Tide table")
    finally:
        for one in both:
            if one.poll() is None:
                one.send_signal(signal.SIGINT)
            with contextlib.suppress(subprocess.TimeoutExpired):
                one.communicate(timeout=30)
            one.kill()
