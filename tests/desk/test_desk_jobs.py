"""Long work: stopped at once with nothing left behind, ended with the desk, told when it breaks."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import sys
import time
import wave
from typing import TYPE_CHECKING

import pytest
from pausewright.desk.jobs import Job, Jobs
from pausewright.desk.messages import (
    Choices,
    Heard,
    HearVoice,
    ListVoices,
    Look,
    Looked,
    Make,
    Refused,
    Step,
    Voices,
)
from pausewright.desk.sentences import progress_of, state_of
from pausewright.desk.workers import Worker
from support.desks.client import children, let_in, started
from support.desks.folder import GOOD

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from support.desks.folder import Place

ON_LINUX = pytest.mark.skipif(sys.platform != "linux", reason="/proc is read")
MANY = GOOD.replace(
    "The test is over.",
    "\n".join(
        f'{n}. Number {n} of a long list of sums. {{key="{n}" answer-time="4 s"}}'
        for n in range(3, 40)
    )
    + "\n\nThe test is over.",
)
"""Takes longer than the test that stops it."""


SOON = GOOD.replace("\nThe test is over.", '3. Again? {key="3" answer-time="4 s"}\n\nThe end.')


def until(is_so: Callable[[], bool], most_s: float = 120.0) -> None:
    """Wait for something."""
    end_s = time.monotonic() + most_s
    while not is_so():
        assert time.monotonic() < end_s
        time.sleep(0.02)


def left_in(folder: Path) -> list[str]:
    """Return what lies in a folder and is neither the script, a kept take nor ours for the desk."""
    return [
        str(one.relative_to(folder))
        for one in folder.rglob("*")
        if one.name.startswith(".") and one.name not in {".pausewright", ".gitignore"}
    ]


@pytest.fixture
def worker() -> Worker:
    """Return a worker that is ended by the process's end at the latest."""
    return Worker()


def test_a_worker_answers_and_ends(tmp_path: Path, worker: Worker) -> None:
    """Asks in their order; what a user can mend comes back in words; what is owed is refused."""
    (tmp_path / "tide.md").write_text(GOOD, encoding="utf-8")
    asked = [
        worker.ask(Look(str(tmp_path / "tide.md"), str(tmp_path / "out"))),
        worker.ask(ListVoices(str(tmp_path))),
        worker.ask(HearVoice("nobody", str(tmp_path), str(tmp_path / "x.wav"))),
    ]
    looked, voices, refused = (one.result(120) for one in asked)

    assert isinstance(looked, Looked)
    assert (looked.title, looked.n_questions, looked.n_errors) == ("Tide table", 2, 0)
    assert [(one.label, one.state) for one in looked.versions] == [("A", "new"), ("B", "new")]
    assert isinstance(voices, Voices)
    assert "iris" in {one.name for one in voices.voices}
    assert isinstance(refused, Refused)
    assert "there is no voice called" in refused.message

    owed = worker.ask(Look(str(tmp_path / "tide.md"), str(tmp_path / "out")))
    pid = worker.pid
    assert pid is not None
    os.kill(pid, signal.SIGKILL)
    answer = owed.result(30)
    assert isinstance(answer, Refused)
    assert "ended before it was done" in answer.message
    again = worker.ask(ListVoices(str(tmp_path))).result(120)
    assert isinstance(again, Voices)
    worker.end()
    until(lambda: worker.pid is None)


@ON_LINUX
@pytest.mark.voice
def test_stopping_leaves_nothing(tmp_path: Path) -> None:
    """While it voices: no stage, no claim, no half-written take, no process; kept takes stay."""
    others = children(os.getpid())  # of tests before it, such as a browser that all share
    script = tmp_path / "tide.md"
    script.write_text(MANY, encoding="utf-8")
    jobs = Jobs(tmp_path, tmp_path / "out")
    job = jobs.begin(Job("make", "", Make(str(script), str(tmp_path / "out"), Choices())))
    assert jobs.begin(Job("make", "", job.ask)) is job
    until(lambda: job.step is not None or job.state != "running", 280)
    assert job.state == "running", job.answer
    assert [one for one in left_in(tmp_path) if one.endswith(".stage")]

    began_s = time.monotonic()
    jobs.stop(job)
    took_s = time.monotonic() - began_s

    assert str(job.state) == "stopped"
    assert took_s < 20  # under 1 s where nothing else runs; what it leaves counts
    assert left_in(tmp_path) == []
    assert not (tmp_path / "out" / "tide").exists()
    until(lambda: set(children(os.getpid())) <= set(others), 20)
    jobs.end()


@ON_LINUX
def test_workers_end_with_the_desk(tmp_path: Path) -> None:
    """A desk that is killed leaves no process; the next one clears what was handed in."""
    (tmp_path / "tide.md").write_text(GOOD, encoding="utf-8")
    with started(tmp_path) as desk:
        client = let_in(tmp_path)
        client.waited("/", "Make it")
        (tmp_path / ".pausewright-desk").mkdir()
        pids = children(desk.pid)
        assert pids
        desk.kill()
        desk.wait()
        until(lambda: not any(os.path.exists(f"/proc/{pid}/exe") for pid in pids), 20)  # noqa: PTH110
    (tmp_path / "pausewright-desk.html").unlink()
    with started(tmp_path):
        assert "Tide table" in let_in(tmp_path).waited("/", "Tide table")
        assert not (tmp_path / ".pausewright-desk").exists()
    assert left_in(tmp_path) == []
    assert not (tmp_path / "pausewright-desk.html").exists()


def test_the_time_left_is_that_of_the_stage(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten steps of two seconds, forty to go: eighty seconds, less what has passed since."""
    now_s = 100.0
    monkeypatch.setattr("pausewright.desk.jobs.time.monotonic", lambda: now_s)
    job = Job("make", "", ListVoices(""))
    assert progress_of(job) == ("It begins", None, "")
    for n in range(11):
        now_s = 100.0 + 2 * n
        job.told(Step("voicing", n, 50))
    assert job.left_s == pytest.approx(80)
    now_s += 30
    assert job.left_s == pytest.approx(50)
    words, share, left = progress_of(job)
    assert (words, share, left) == ("Voicing: 10 of 50", 20, "about 50 s more for this step")


@pytest.mark.parametrize(
    ("states", "said", "following"),
    [
        ({"A": "new"}, "1 question, 1 version. Not made yet.", "make"),
        ({"A": "made", "B": "made"}, "Made and checked; not heard by a person yet.", "listen"),
        ({"A": "changed", "B": "made"}, "The words were changed since it was made: A", "make"),
        ({"A": "made", "B": "spoiled"}, "a file is no longer the one that was made: B", "make"),
    ],
)
def test_the_state_of_a_test_is_a_sentence(
    states: dict[str, str], said: str, following: str
) -> None:
    """With one page that comes next."""
    from pausewright.desk.messages import Version  # noqa: PLC0415  beside its use

    versions = tuple(Version(label, "x", state) for label, state in states.items())
    sentence, page, words = state_of(Looked("T", 1, "E", (), 0, versions, Choices()))

    assert said in sentence
    assert page == following
    assert words


@pytest.mark.voice
def test_a_voice_is_heard(tmp_path: Path, worker: Worker) -> None:
    """A WAV file at the place that was asked for."""
    answer = worker.ask(HearVoice("iris", str(tmp_path), str(tmp_path / "x.wav"))).result(280)
    worker.end()

    assert isinstance(answer, Heard)
    assert (tmp_path / "x.wav").read_bytes()[:4] == b"RIFF"


@pytest.mark.voice
def test_what_is_asked_for_is_heard_before_all_of_it_is_voiced(place: Place) -> None:
    """The desk gives the sound while it grows: in the end the samples of the whole one."""
    (place.folder / "soon.md").write_text(SOON, encoding="utf-8")
    client, address = place.client, f"/test/{place.id_of('soon.md')}/listen"
    asked = client.post(address, {"what": "1-3", "arrangement": "", "tried": ""})
    (job,) = set(re.findall(r"/job/[0-9a-f]{16}(?=/st)", asked.text))

    def can_be_heard() -> bool:
        now = json.loads(client.get(f"{job}/state").text)
        assert now["state"] in {"running", "done"}, client.get(job).text
        return bool(now["sounding"])

    until(can_be_heard, 280)

    sent = client.get(f"{job}/sound")
    assert json.loads(client.get(f"{job}/state").text)["state"] == "done"
    whole = client.get(f"{job}/page")
    assert (sent.status, sent.headers["content-type"]) == (200, "audio/wav")
    with wave.open(io.BytesIO(whole.body)) as opened:
        frames = opened.readframes(opened.getnframes())
    assert len(sent.body) == 44 + len(frames)
    assert sent.body[44:] == frames
    assert client.get(f"{job}/sound").body == sent.body
