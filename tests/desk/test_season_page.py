"""The season's page on the desk: the table that `season` wrote, asked and made from the browser."""

from __future__ import annotations

import html
import json
import re
from typing import TYPE_CHECKING

import pytest
from make_season import write_season
from support.desks import client as clients
from support.desks.client import let_in, started
from support.desks.folder import Place
from support.desks.season import HOSTILE, season_place

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """Return an open desk on a season that was made."""
    with season_place(tmp_path_factory.mktemp("season") / "tests") as place:
        yield place


def _rows(text: str) -> list[list[str]]:
    """Return the cells of the rows of a page's table."""
    body = re.findall(r"<tbody>(.*?)</tbody>", text, re.DOTALL)[0]
    cells = r"<t[hd][^>]*>(.*?)</t[hd]>"
    return [
        [html.unescape(re.sub(r"<[^>]+>", "", cell)) for cell in re.findall(cells, row, re.DOTALL)]
        for row in re.findall(r"<tr>(.*?)</tr>", body, re.DOTALL)
    ]


@pytest.mark.parametrize("kept", [None, "", "{}", "not JSON"])
def test_without_a_season_the_page_offers_to_make_one(kept: str | None, place: Place) -> None:
    """No table, an empty one, one of another shape or none at all: the form is there."""
    table = place.folder / "out" / "season.json"
    table.parent.mkdir(exist_ok=True)
    if kept is not None:
        table.write_text(kept, encoding="utf-8")
    try:
        answer = place.client.get("/season")
    finally:
        table.unlink(missing_ok=True)

    assert answer.status == 200
    assert "<form" in answer.text


def test_the_page_shows_the_table(season: Place) -> None:
    """A row for each track of season.json, in its order, with what was measured; and the gaps."""
    text = season.client.get("/season").text
    table = json.loads((season.folder / "out" / "season.json").read_text("utf-8"))

    rows = _rows(text)
    assert len(rows) == len(table["rows"]) == 4
    for cells, one in zip(rows, table["rows"], strict=True):
        seconds = int(one["length_s"])
        assert cells[:3] == [
            one["test"],
            one["version_label"],
            f"{seconds // 60} min {seconds % 60} s",
        ]
        assert cells[3].startswith(one["verdict"])
        assert cells[4].startswith(f"{one['worst_error_s'] * 1000:+.1f} ms")
        assert cells[5] == f"{one['loudness_lufs']:.1f} LUFS"
    assert HOSTILE not in text
    assert html.escape(HOSTILE) in text
    assert "<bdi>wrong</bdi>: its script has" in text
    for name in ("test-0001.md", f"{HOSTILE}.md"):
        assert f'href="/test/{season.id_of(name)}/listen"' in text
    assert 'href="/season"' in season.client.get("/more").text


def test_a_season_is_asked(season: Place) -> None:
    """The same questions as `--list`; a file outside of the folder is none of its files."""

    def asked(**fields: str) -> str:
        return season.client.done("/more/season-ask", fields)

    longest = asked(question="length")
    assert "4 versions in this list." in longest
    lengths = [float(one) for one in re.findall(r"  ([0-9.]+) s$", longest, re.MULTILINE)]
    assert lengths == sorted(lengths, reverse=True)
    assert "0 versions in this list." in asked(question="voice", voice="iris")
    touched = asked(question="touched-by", touched="test-0001.arrangements.yaml")
    assert "2 versions in this list." in touched
    assert 'href="/season"' in touched
    outside = asked(question="touched-by", touched="../../etc/passwd")
    assert "does not lie in the season’s folder" in outside
    assert "nothing that a season can be asked" in asked(question="voice")


def test_problems_are_told_before_anything_is_made(season: Place) -> None:
    """Without the tick nothing is made while one test has problems; the table stays."""
    before = (season.folder / "out" / "season.json").read_bytes()
    said = season.client.done("/more/season-make", {"format": "mp3", "video": ""})

    assert "It could not be done." in said
    assert "wrong.md" in said
    assert (season.folder / "out" / "season.json").read_bytes() == before


@pytest.mark.long
@pytest.mark.voice
@pytest.mark.timeout(1800)
def test_a_season_is_made_from_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped in the middle and begun again: made by processes of this machine, then shown."""
    pytest.importorskip("distributed", reason="dask is the extra ‘season’")
    monkeypatch.setattr(clients, "PATIENCE_S", 900.0)
    write_season(tmp_path / "tests", 2, ["joe"], 1, "standard: {label: A}\n")
    folder = tmp_path / "tests"
    with started(folder) as process:
        own = Place(folder, process, let_in(folder))
        assert "No season was made here yet." in own.client.get("/season").text
        fields = {"format": "mp3", "video": ""}
        job = re.findall(r"/job/(\w+)/stop", own.client.post("/more/season-make", fields).text)[0]
        own.client.waited(f"/job/{job}", "Steps of the work")
        assert "Stopped" in own.client.post(f"/job/{job}/stop").text
        said = own.client.done("/more/season-make", fields)
        assert re.search(r"[12] tests? made, [01] up to date, 0 not good, 0 not made", said)
        assert len(_rows(own.client.get("/season").text)) == 2
