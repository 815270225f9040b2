"""Listening on the strip, what counts as heard, notes, and what a page never shows."""

from __future__ import annotations

import json
import re
import stat
import sys
from fractions import Fraction
from typing import TYPE_CHECKING

import imageio_ffmpeg
import pytest
from bench import silences_by_ffmpeg
from pausewright.deliver.day_papers import recorded_times
from pausewright.deliver.heard import heard_file
from pausewright.deliver.heard_log import take_heard_log
from pausewright.deliver.listening_notes import add_note, notes_file, read_notes
from pausewright.deliver.recorded_strip import question_starts, recorded_strip
from pausewright.problems import OutputError
from pausewright.records.note_shapes import ListeningNote
from pausewright.records.record_files import read_record
from support.desks.client import FORM
from support.desks.made import KEYS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pausewright.records.shapes import RunningTimes
    from support.desks.folder import Place


@pytest.fixture
def listening(made: Place) -> Iterator[tuple[Place, str]]:
    """Give the made test and the address of its page; nothing is heard or noted before or after."""
    script = made.folder / "lantern.md"
    for file in (heard_file(script), notes_file(script)):
        file.unlink(missing_ok=True)
    yield made, f"/test/{made.id_of('lantern.md')}/listen"
    for file in (heard_file(script), notes_file(script)):
        file.unlink(missing_ok=True)


def times_of(made: Place, label: str = "A") -> RunningTimes:
    """Return what was recorded with a track."""
    folder = made.folder / "out" / "lantern"
    record = read_record(folder / "confidential" / f"build-record_{label}.json")
    assert record is not None
    return recorded_times(record, folder)


def test_the_strip_is_the_track(made: Place) -> None:
    """Its silences lie where ffmpeg's silencedetect finds silence on the file, to 20 ms.

    ffmpeg is a program of its own that knows nothing of the plan; the tolerance covers the bursts'
    ramps of 20 ms.
    """
    folder = made.folder / "out" / "lantern"
    record = read_record(folder / "confidential" / "build-record_A.json")
    assert record is not None
    track = folder / record.paths("track")[0][0]
    found = silences_by_ffmpeg(imageio_ffmpeg.get_ffmpeg_exe(), track, -60, shortest_s=0.5)
    drawn = [
        (float(one.start_s), float(one.start_s + one.length_s))
        for one in recorded_strip(times_of(made))
        if one.kind not in {"speech", "pause"} and one.length_s > Fraction(1, 2)
    ]

    assert len(drawn) >= 8  # a silence between readings and an answer time each, and the stop
    for start_s, end_s in drawn:
        assert any(a <= start_s + 0.02 and a + length_s >= end_s - 0.02 for a, length_s in found), (
            start_s,
            end_s,
        )


def test_a_list_says_what_the_drawing_shows(listening: tuple[Place, str]) -> None:
    """Each entry has its time and leads to that second of the track, also without a script."""
    made, page = listening
    text = made.client.read(page)
    entries = re.findall(r'data-at="(\d+)" href="([^"]+)"><span class="strip-at">([\d:]+)', text)

    assert len(entries) > 15
    for seconds, address, shown in entries:
        minutes, rest = shown.split(":")
        assert int(minutes) * 60 + int(rest) == int(seconds)
        assert address.endswith(f"#t={seconds}")
    file = entries[0][1].partition("#")[0]
    assert made.client.get(file).headers["content-type"] == "audio/wav"
    assert "question 4, answer time" in text
    assert "stop" in text
    assert [key for key in KEYS if key in text] == []


def test_what_was_played_counts_as_by_the_command(listening: tuple[Place, str]) -> None:
    """Whole readings count, half ones do not; `heard` says the same; the next one is offered."""
    made, page = listening
    script = made.folder / "lantern.md"
    times = times_of(made)
    starts = question_starts(times)
    before = made.client.read(page)
    assert "not heard by a person yet" in before
    assert "question 1" in before.partition('id="next-unheard"')[2].partition("</p>")[0]

    def played(*spans: tuple[float, float]) -> dict[str, object]:
        fields = {
            "version": "A",
            "edition": re.findall(r'data-edition="([^"]+)"', before)[0],
            "spans": " ".join(f"{a:.3f}-{b:.3f}" for a, b in spans),
        }
        reply = made.client.post(f"{page}/played", fields)
        assert reply.status == 200, reply.text
        found: dict[str, object] = json.loads(reply.text)
        return found

    half_s = float(starts["1"]) + 0.3
    assert played((0, half_s))["sentence"] == "Not heard by a person yet"
    found = played((half_s, float(starts["2"])), (float(starts["3"]), float(starts["4"])))
    told = take_heard_log(script, made.folder / "out")

    assert found["sentence"] == told["A"].sentence == "heard: 2 of 4 questions, not 2 and 4"
    assert [row[0] for row in found["missing"]] == ["2", "4"]  # type: ignore[attr-defined]
    after = made.client.read(page)
    assert "question 2" in after.partition('id="next-unheard"')[2].partition("</p>")[0]


@pytest.mark.parametrize(
    "fields",
    [
        {"version": "A", "edition": "ZZZZZZ", "spans": "0-1"},
        {"version": "C", "edition": "ZZZZZZ", "spans": "0-1"},
        {"version": "../A", "edition": "", "spans": ""},
    ],
)
def test_what_is_of_another_state_is_not_noted(
    listening: tuple[Place, str], fields: dict[str, str]
) -> None:
    """A window that was left open while the test was made again tells of another track."""
    made, page = listening
    reply = made.client.post(f"{page}/played", fields)

    assert reply.status == 409
    assert not heard_file(made.folder / "lantern.md").exists()


def test_notes_are_kept_at_their_time(listening: tuple[Place, str]) -> None:
    """For the owner only, shown as text, one by one removed; none is lost to a second window."""
    made, page = listening
    client, script = made.client, made.folder / "lantern.md"
    edition = re.findall(r'data-edition="([^"]+)"', client.read(page))[0]
    for at, words in (("0:09", "<b>too soft</b>"), ("0:03", "a click")):
        client.post(f"{page}/note", {"version": "A", "edition": edition, "at": at, "words": words})
    text = client.read(page)

    assert [(one.at_s, one.words) for one in read_notes(script)] == [
        ("3", "a click"),
        ("9", "<b>too soft</b>"),
    ]
    if sys.platform != "win32":
        assert stat.S_IMODE(notes_file(script).stat().st_mode) == 0o600
    assert "&lt;b&gt;too soft" in text
    assert "<b>too" not in text
    client.post(f"{page}/note", {"version": "A", "remove": "0", "words": "not this one"})
    assert len(read_notes(script)) == 2
    client.post(f"{page}/note", {"version": "A", "remove": "0", "words": "a click"})
    assert [one.words for one in read_notes(script)] == ["<b>too soft</b>"]
    assert client.post(f"{page}/note", {"version": "A", "at": "soon", "words": "x"}).status == 400
    assert client.post(f"{page}/note", {"version": "A", "at": "0:01", "words": " "}).status == 400


def test_a_damaged_file_of_notes_is_left_alone(tmp_path: Path) -> None:
    """It is told, and nothing is written over it."""
    script = tmp_path / "x.md"
    notes_file(script).write_text("{", encoding="utf-8")
    with pytest.raises(OutputError, match="no file of notes"):
        add_note(script, ListeningNote("E", "A", "1", "words"))
    assert notes_file(script).read_text("utf-8") == "{"


def test_the_page_says_who_must_sign(listening: tuple[Place, str]) -> None:
    """What a draft still needs; and a form that is sent with too little is told so."""
    made, page = listening
    text = made.client.read(page)
    reply = made.client.ask(
        "POST", f"{page}/sign", b"name=x&for=sound", made.client.own() | {"Content-Type": FORM}
    )

    assert "draft until somebody has signed for wording, sound, timing" in text
    assert reply.status == 400
    assert "No version is chosen" in reply.text
