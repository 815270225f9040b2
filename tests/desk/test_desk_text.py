"""Text on the disk: saved whole, line by line as it was, and never over somebody else's change."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pausewright.desk.history import History
from pausewright.desk.shelf import ChangedElsewhereError, Shelf
from pausewright.problems import OutputError
from support.desks.client import FORM
from support.desks.folder import GOOD

if TYPE_CHECKING:
    from pathlib import Path

    from support.desks.folder import Place

LINES = st.lists(st.sampled_from(["", "a", "b", "1. c", "é\u2028x", "\x0cpage"]), max_size=12)
ENDS = st.sampled_from(["\n", "\r\n", "\r"])


def shelf_with(folder: Path, content: bytes) -> Shelf:
    """Return the shelf of a folder with one test."""
    (folder / "one.md").write_bytes(content)
    return Shelf(folder)


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_only_the_changed_line_changes(tmp_path: Path, bom: bytes, end: bytes) -> None:
    """A browser's text has other line ends than the file; those of the file stay."""
    before = bom + end.join([b"---", b"title: x", b"---", b"", b"1. Two?", b""])
    shelf = shelf_with(tmp_path, before)
    (test,) = shelf.tests()
    held = shelf.read(test)

    text = held.text.replace("Two", "Three").replace("\n", "\r\n")  # as a form sends it
    shelf.save(test, text, held.mark)

    assert test.script.read_bytes() == before.replace(b"Two", b"Three")


@given(
    old=st.lists(st.tuples(st.sampled_from(["", "a", "b", "1. c"]), ENDS), max_size=12),
    new=LINES,
)
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_text_is_saved_as_it_was_written(
    tmp_path: Path, old: list[tuple[str, str]], new: list[str]
) -> None:
    """Whatever the ends were, what is read again is what was written; saved twice it stays."""
    before = "---\n" + "".join(line + end for line, end in old)
    shelf = shelf_with(tmp_path, before.encode())
    (test,) = shelf.tests()
    text = "---\n" + "\n".join(new)

    held = shelf.save(test, text, shelf.read(test).mark)
    once = test.script.read_bytes()
    shelf.save(test, text, held.mark)

    assert shelf.read(test).text == text
    assert test.script.read_bytes() == once
    used = set(re.findall(r"\r\n|\r|\n", before))
    assert set(re.findall(r"\r\n|\r|\n", once.decode())) <= used


def test_mixed_ends_stay_where_they_were(tmp_path: Path) -> None:
    """Lines that are shared keep theirs; a new one ends as most do."""
    shelf = shelf_with(tmp_path, b"---\r\na\nb\r\nc\r\n")
    (test,) = shelf.tests()

    shelf.save(test, "---\na\nnew\nb\nc\n", shelf.read(test).mark)

    assert test.script.read_bytes() == b"---\r\na\nnew\r\nb\r\nc\r\n"


def test_a_change_from_elsewhere_is_never_overwritten(tmp_path: Path) -> None:
    """Changed, replaced or removed meanwhile: nothing is written, and it is said."""
    shelf = shelf_with(tmp_path, b"---\none\n")
    (test,) = shelf.tests()
    held = shelf.read(test)
    test.script.write_bytes(b"---\ntwo\n")
    with pytest.raises(ChangedElsewhereError):
        shelf.save(test, "---\nmine\n", held.mark)
    assert test.script.read_bytes() == b"---\ntwo\n"

    mark = shelf.read(test).mark
    test.script.unlink()
    with pytest.raises(ChangedElsewhereError):
        shelf.save(test, "---\nmine\n", mark)
    assert not test.script.exists()


def test_a_new_test_never_takes_a_name_that_is_there(tmp_path: Path) -> None:
    """The second of the same name is refused; a copy beside gets a number."""
    shelf = Shelf(tmp_path)
    test = shelf.new("Spring sums: <1>")
    assert test.script.name == "spring-sums-1.md"
    with pytest.raises(OutputError):
        shelf.new("Spring  sums 1")
    with pytest.raises(OutputError):
        shelf.new("  ")

    other = shelf.save_beside(test, "---\n")

    assert other.script.name == "spring-sums-1-2.md"
    assert {one.id for one in shelf.tests()} == {test.id, other.id}


@settings(deadline=None)
@given(st.lists(st.one_of(st.sampled_from(["back", "again"]), st.text("ab", max_size=3))))
def test_what_is_taken_back_comes_again(steps: list[str]) -> None:
    """Against a list of states and a place in it."""
    history = History()
    states: list[str] = []
    at = -1
    for step in steps:
        if step == "back":
            at = max(at - 1, 0) if states else -1
            history.back()
        elif step == "again":
            at = min(at + 1, len(states) - 1)
            history.again()
        elif at < 0 or states[at] != step:
            states = [*states[: at + 1], step]
            at += 1
            history.note(step)
        assert history.can_go_back == (at > 0)
        assert history.can_go_again == (at + 1 < len(states))


def test_two_windows_lose_nothing(place: Place) -> None:
    """The second window sees both texts; it can keep its own as a second test."""
    (place.folder / "windows.md").write_text(GOOD, encoding="utf-8")
    client, address = place.client, f"/test/{place.id_of('windows.md')}/words"
    base = client.get(address).text.partition('name="base" value="')[2][:64]
    save = client.own() | {"Content-Type": FORM}

    first = client.ask("POST", f"{address}/save", form(base, GOOD + "first\n"), save)
    second = client.ask("POST", f"{address}/save", form(base, GOOD + "second\n"), save)
    shown = client.post(address, {"base": base, "text": GOOD + "second\n", "how": "save"})

    assert (first.status, second.status, shown.status) == (200, 409, 409)
    assert (place.folder / "windows.md").read_text("utf-8") == GOOD + "first\n"
    assert "first" in shown.text
    assert "second" in shown.text

    beside = client.post(address, {"base": base, "text": GOOD + "second\n", "how": "beside"})
    assert beside.status == 200
    assert (place.folder / "windows-2.md").read_text("utf-8") == GOOD + "second\n"


def test_a_page_takes_back_and_does_again(place: Place) -> None:
    """Without a script: by forms alone."""
    (place.folder / "again.md").write_text(GOOD, encoding="utf-8")
    client, address = place.client, f"/test/{place.id_of('again.md')}/words"
    file = place.folder / "again.md"

    def act(how: str, text: str) -> None:
        base = client.get(address).text.partition('name="base" value="')[2][:64]
        assert client.post(address, {"base": base, "text": text, "how": how}).status == 200

    act("save", GOOD + "more\n")
    assert file.read_text("utf-8") == GOOD + "more\n"
    act("back", GOOD + "more\n")
    assert file.read_text("utf-8") == GOOD
    act("again", GOOD)
    assert file.read_text("utf-8") == GOOD + "more\n"


def test_earlier_states_can_be_looked_at_and_put_back(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last of each minute, with the lines that were otherwise; what stands now is kept too."""
    now_s = 600.0
    monkeypatch.setattr("pausewright.desk.history.time.time", lambda: now_s)
    history = History()
    for text, then_s in (("a", 600.0), ("b", 610.0), ("c", 700.0), ("d", 710.0)):
        now_s = then_s
        history.note(text)
    assert [one.text for one in history.by_minute()] == ["c", "b"]
    assert history.state(1) is not None
    assert history.state(9) is None

    (place.folder / "earlier.md").write_text(GOOD, encoding="utf-8")
    client, test = place.client, f"/test/{place.id_of('earlier.md')}"
    base = client.get(f"{test}/words").text.partition('name="base" value="')[2][:64]
    other = GOOD.replace("7 times 8", "<b>7</b> times 9")
    client.post(f"{test}/words", {"base": base, "text": other, "how": "save"})
    (address,) = re.findall(
        rf'href="({test}/earlier\?state=\d+)"', client.get(f"{test}/earlier").text
    )
    shown = client.get(address).text
    assert "1. What is 7 times 8?" in shown
    assert "1. What is &lt;b&gt;7&lt;/b&gt; times 9?" in shown

    state = address.rpartition("=")[2]
    lost = client.post(f"{test}/earlier", {"state": state, "base": base})
    assert lost.status == 400
    mark = shown.partition('name="base" value="')[2][:64]
    assert client.post(f"{test}/earlier", {"state": state, "base": mark}).status == 200
    assert (place.folder / "earlier.md").read_text("utf-8") == GOOD
    assert client.get(f"{test}/earlier?state=99").status == 404
    for wrong in ("x", "-1", "1" * 20):
        assert client.get(f"{test}/earlier?state={wrong}").status == 404


def test_what_is_wrong_is_told_with_its_line(place: Place) -> None:
    """The full reading, after a save: the same sentences as the command line's."""
    (place.folder / "wrong.md").write_text(GOOD, encoding="utf-8")
    client, address = place.client, f"/test/{place.id_of('wrong.md')}/words"
    base = client.get(address).text.partition('name="base" value="')[2][:64]
    text = GOOD.replace("answer-time", "answer-tme")
    client.post(address, {"base": base, "text": text, "how": "save"})

    found = client.waited(address, "Must be changed")

    assert f'data-line="{text[: text.index("answer-tme")].count(chr(10)) + 1}"' in found
    assert "answer-tme" in found


def form(base: str, text: str) -> bytes:
    """Return what the page's script sends."""
    return urlencode({"base": base, "text": text}).encode()
