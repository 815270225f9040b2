"""Rooms on the desk: the list as a table, rooms laid out, a stick written and read back."""

from __future__ import annotations

import csv
import io
import re
import string
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.deliver.needs_list import COLUMNS
from pausewright.deliver.needs_table import NeedsRow, read_table, take_list, write_table
from pausewright.problems import OutputError
from support.desks.made import KEYS, NEEDS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from support.desks.folder import Place

CELL = st.text(string.ascii_letters + " ,;\"'é-", max_size=8).map(
    lambda text: " ".join(text.split())
)


@pytest.fixture
def rooms(made: Place) -> Iterator[tuple[Place, str]]:
    """Give the made test and the address of its rooms; there is no list before."""
    file = made.folder / "lantern.needs.csv"
    file.unlink(missing_ok=True)
    yield made, f"/test/{made.id_of('lantern.md')}/rooms"
    file.unlink(missing_ok=True)


@given(
    rows=st.lists(st.tuples(CELL, CELL, CELL, CELL, CELL, CELL), min_size=1, max_size=6),
    delimiter=st.sampled_from([",", ";", "\t"]),
    data=st.data(),
)
@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_a_table_changes_what_it_shows_alone(
    tmp_path: Path, rows: list[tuple[str, ...]], delimiter: str, data: st.DataObject
) -> None:
    """Read and written by Python's own csv: other columns, names and order stay as they were."""
    head = ["Note", "Code", "Version", "Room", "Headphones", "Live reader"]
    rows = [row for row in rows if any(row)] or [("x", "", "", "", "", "")]
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows([head, *rows])
    file = tmp_path / "list.csv"
    file.write_text(text.getvalue(), encoding="utf-8", newline="")
    table = read_table(file)
    assert [tuple(one.cells.values()) for one in table.rows] == [row[1:] for row in rows]

    changed = [
        NeedsRow(one.at, {**one.cells, "room": data.draw(CELL)})
        if data.draw(st.booleans())
        else one
        for one in table.rows
    ]
    write_table(file, changed, table.mark)

    with file.open(encoding="utf-8", newline="") as held:
        found = list(csv.reader(held, delimiter=delimiter))
    expected = [
        [row[0], *one.cells.values()]
        for row, one in zip(rows, changed, strict=True)
        if any(one.cells.values())
    ]
    assert found == [head, *expected]


def test_a_list_that_changed_elsewhere_is_not_overwritten(tmp_path: Path) -> None:
    """Two windows, or a spreadsheet that saved meanwhile."""
    file = tmp_path / "x.needs.csv"
    row = NeedsRow(-1, dict.fromkeys(COLUMNS, "") | {"candidate": "C1", "room": "Hall"})
    write_table(file, [row], "")
    mark = read_table(file).mark
    file.write_text(NEEDS, encoding="utf-8")
    with pytest.raises(OutputError, match="changed by another"):
        write_table(file, [row], mark)
    with pytest.raises(OutputError, match="changed by another"):
        write_table(file, [row], "")
    assert file.read_text("utf-8") == NEEDS


def test_a_list_takes_the_place_of_another_only_if_wanted(tmp_path: Path) -> None:
    """Byte by byte as it came; a spreadsheet is no list."""
    file, given_file = tmp_path / "x.needs.csv", tmp_path / "given.csv"
    given_file.write_bytes("candidate;version;room\r\nC1;A;Küche\r\n".encode("cp1252"))
    take_list(file, given_file, in_place=False)
    assert file.read_bytes() == given_file.read_bytes()
    assert read_table(file).rows[0].cells["room"] == "Küche"
    with pytest.raises(OutputError, match="a list of this test already"):
        take_list(file, given_file, in_place=False)
    given_file.write_bytes(b"PK\x03\x04rest")
    with pytest.raises(OutputError, match="is a spreadsheet"):
        take_list(file, given_file, in_place=True)
    assert read_table(file).rows[0].cells["room"] == "Küche"


def table_fields(text: str, *rows: tuple[str, str, str, str]) -> list[tuple[str, str]]:
    """Return what the form of the table sends with these rows."""
    fields = [("mark", re.findall(r'name="mark" value="([^"]*)"', text)[0])]
    for n, (candidate, arrangement, room, headphones) in enumerate(rows):
        fields += [
            ("at", str(n) if fields[0][1] else "-1"),
            ("candidate", candidate),
            ("arrangement", arrangement),
            ("room", room),
            ("headphones", headphones),
            ("reader", ""),
        ]
    return fields


def test_from_the_list_to_the_stick(rooms: tuple[Place, str], tmp_path: Path) -> None:
    """Each step is the next one; what is wrong is named; the stick is right, then wrong."""
    made, page = rooms
    client = made.client
    text = client.read(page)
    assert "First: who sits where" in text

    wrong = table_fields(text, ("C101", "A", "Hall", ""), ("C102", "B", "Hall", ""))
    assert client.post(f"{page}/list", wrong).status == 200
    text = client.read(page)
    assert "Something in the list must be changed" in text
    assert "one loudspeaker" in text
    right = table_fields(text, ("C101", "A", "Hall", ""), ("C102", "B", "Annexe", "yes"))
    assert client.post(f"{page}/list", right).status == 200
    text = client.read(page)
    assert (made.folder / "lantern.needs.csv").read_text("utf-8") == (
        "candidate,arrangement,room,headphones,reader\nC101,A,Hall,,\nC102,B,Annexe,yes,\n"
    )
    assert 'id="rooms"' in text

    assert "2 rooms laid out" in client.done(f"{page}/lay", {"start": "09:15"})
    text = client.read(page)
    assert "write the sticks" in text
    chosen = re.findall(r'<option value="(\w+)">Annexe, player 1, version B', text)
    stick = tmp_path / "stick"
    stick.mkdir()
    fields = {"what": chosen[0], "stick": "", "other": str(stick)}
    text = client.done(f"{page}/stick", fields)
    assert "Right." in text
    assert "Annexe, player 1" in text
    assert [key for key in KEYS if key in text] == []

    track = next(stick.rglob("*.wav"))
    track.write_bytes(track.read_bytes()[:-2] + b"\1\1")
    text = client.done(f"{page}/read", {"stick": "", "other": str(stick)})
    assert "Not right" in text
    assert track.name in text

    whole = re.findall(r'<option value="(\w+)">Hall</option>', client.read(page))
    text = client.done(f"{page}/pack", {"what": whole[0], "as": "hall.zip", "password": ""})
    assert "not encrypted" in text
    assert (made.folder / "hall.zip").is_file()
    (made.folder / "hall.zip").unlink()


@pytest.mark.parametrize("other", ["", "stick", "../out", "~/x", "\0", "/gone/no-such-stick"])
def test_a_folder_that_is_none_is_told(rooms: tuple[Place, str], other: str) -> None:
    """Nothing is made where nothing is; the sentence says what to do."""
    made, page = rooms
    fields = {"stick": "", "other": other}
    if other.startswith("/"):
        assert "is not there" in made.client.done(f"{page}/read", fields)
    else:
        reply = made.client.post(f"{page}/read", fields)
        assert reply.status == 400
        assert "o stick is chosen" in reply.text or "no whole path" in reply.text
