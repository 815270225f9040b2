"""On the day: a stop, its sheet, a part again; what a change means, as the commands say it."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build_options import Options
from pausewright.deliver.differs.difference import differ
from pausewright.deliver.differs.told import difference_text
from pausewright.deliver.interrupted import Stop, where_stopped
from pausewright.papers.timed.incident_sheet import sentences
from support.desks.made import KEYS, SCRIPT

if TYPE_CHECKING:
    from support.desks.folder import Place


def page_of(made: Place) -> str:
    """Return the address of the page."""
    return f"/test/{made.id_of('lantern.md')}/day"


@pytest.mark.parametrize(
    ("version", "stop"),
    [
        ("A", Stop("0:05")),
        ("A", Stop("0:09.5", again="10:00")),
        ("B", Stop("0:14")),
        ("B", Stop(start="09:15", clock="09:15:12", again="09:20")),
        ("A", Stop(start="09:15:30", clock="09:16:10", waited="0:20")),
        ("A", Stop("0:00")),
    ],
)
def test_a_stop_is_told_as_by_the_command(made: Place, version: str, stop: Stop) -> None:
    """Every sentence of `where`, and the new end, on the page; no key and no note."""
    told = where_stopped(made.folder / "lantern.md", made.folder / "out", version, stop)
    fields = {
        "version": version,
        "place": stop.place,
        "start": stop.start,
        "clock": stop.clock,
        "again": stop.again,
        "waited": stop.waited,
    }
    text = unescape(made.client.post(page_of(made), fields).text)

    for sentence in (*sentences(told.found), *told.warnings):
        assert sentence in text
    assert told.found.row.name in text
    if stop.again:
        assert f"Over at {told.day.end(told.found)} at the earliest" in text
    assert [key for key in KEYS if key in text] == []


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "nothing says where it was stopped"),
        ({"place": "99:00"}, "is not on the track"),
        ({"place": "soon"}, "soon"),
        ({"start": "09:15", "clock": "later"}, "later"),
        ({"version": "Z", "place": "0:05"}, ""),
    ],
)
def test_what_cannot_be_read_is_told_beside_the_form(
    made: Place, fields: dict[str, str], said: str
) -> None:
    """The page stays, with what was written in it."""
    reply = made.client.post(page_of(made), {"version": "A", **fields})

    assert reply.status == 400
    assert said in unescape(reply.text)
    assert 'name="place"' in reply.text


def test_a_sheet_is_written_and_none_is_overwritten(made: Place) -> None:
    """Twice at the same moment: two sheets; each is a PDF that the page gives."""
    fields = {"version": "A", "place": "0:05", "sheet": "on"}
    for _ in range(2):
        text = made.client.post(page_of(made), fields).text
        assert "The incident sheet is written" in text
    sheets = sorted((made.folder / "out" / "lantern-day").glob("incident-sheet_A_0-05*.pdf"))
    own = re.findall(r'href="(/test/\w+/own/\w+)"', text)

    assert len(sheets) == 2
    assert all(made.client.get(one).body.startswith(b"%PDF") for one in own)
    assert {made.client.get(one).headers["content-type"] for one in own} == {"application/pdf"}
    for one in sheets:
        one.unlink()


def test_moments_can_be_picked(made: Place) -> None:
    """Each entry of the list leads to the form with its time, without a script too."""
    text = made.client.read(page_of(made))
    picks = re.findall(r'data-place="([\d:]+)" href="([^"]+)"', text)
    assert len(picks) > 15
    place, address = picks[len(picks) // 2]
    filled = made.client.get(unescape(address).partition("#")[0]).text

    assert re.search(rf'name="place" value="{place}"', filled)


@pytest.mark.parametrize("questions", ["", "4;rm", "../4", "a", "4-", "practice:1"])
def test_what_names_no_questions_is_refused(made: Place, questions: str) -> None:
    """Before a name of a file is made of it."""
    reply = made.client.post(f"{page_of(made)}/excerpt", {"questions": questions, "version": "A"})
    assert reply.status == 400


def test_what_changed_is_told_as_by_the_command(made: Place) -> None:
    """One word is another: the same text as `differs`, sorted into what is to be done.

    The voice without a model made it, and the desk knows its own voices: all speech is other.
    """
    script = made.folder / "lantern.md"
    page = f"/test/{made.id_of('lantern.md')}/changes"
    try:
        script.write_text(SCRIPT.replace("How many rivers", "How many lakes"), "utf-8")
        told = differ(made.folder / "out" / "lantern", script, Options(made.folder / "out"))
        text = unescape(made.client.done(page, {"old": "", "new": ""}))
    finally:
        script.write_text(SCRIPT, "utf-8")

    assert difference_text(told) in text
    for head, item in (
        ("To be made again", "track: version A, B"),
        ("To be heard again", "version A, B: instruction 1, question 1, question 2"),
        ("To be printed again", "papers and screens for staff: version A, B"),
        ("Stays as it is", "mark scheme: version A, B"),
    ):
        part = text.partition(head)[2].partition("<h2>")[0]
        assert item in part, (head, part)
    assert "question 2 (line 19): in sound, in words" in text.partition("7 things changed")[2]


def test_the_same_is_the_same(made: Place) -> None:
    """Nothing was changed; and the shape of a test is that of itself."""
    page = f"/test/{made.id_of('lantern.md')}/changes"
    own = f"text-{made.id_of('lantern.md')}"

    assert "Nothing differs" in made.client.done(page, {"old": own, "new": own})
    shape = made.client.done(page, {"old": own, "new": own, "shape": "on"})
    assert "They have one shape" in shape
    gone = made.client.post(page, {"old": "text-0000", "new": own})
    assert gone.status == 400
