"""Forms of More: each does what its command does, in this folder alone."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING

import pytest
from support.desks.client import FORM, let_in, started
from support.desks.folder import GOOD, Place

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from support.command_line import Run

TEST = "tide.md"
TEXT = GOOD.replace("\n# Test\n", "\n\n\n# Test\n")
"""Not tidy."""


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """Give a desk on one test that is not made; what forms write there stays."""
    folder = tmp_path_factory.mktemp("more") / "tests"
    folder.mkdir()
    (folder / TEST).write_text(TEXT, encoding="utf-8")
    with started(folder) as process:
        place = Place(folder, process, let_in(folder))
        place.client.waited(f"/test/{place.id_of(TEST)}/make", "Make it and check it")
        yield place


def full(text: str) -> str:
    """Return what a page shows of a command's own words."""
    found = re.findall(r'<pre class="theirs"[^>]*>(.*?)</pre>', text, re.DOTALL)
    return unescape(found[0]) if found else ""


def form(own: Place, key: str, **fields: str) -> str:
    """Send a form of the test, and return the page of what came of it."""
    return own.client.done(f"/test/{own.id_of(TEST)}/more/{key}", fields)


def folder_form(own: Place, key: str, **fields: str) -> str:
    """Send a form of the whole folder, and return the page of what came of it."""
    return own.client.done(f"/more/{key}", fields)


@pytest.mark.parametrize(
    ("key", "fields", "words"),
    [
        ("outline", {"arrangement": "B"}, ["outline", "tide.md", "--arrangement", "B", "--quiet"]),
        ("wording", {"all": "on"}, ["wording", "tide.md", "--all", "--quiet"]),
        ("compare", {"start": "09:15"}, ["compare", "tide.md", "--start", "09:15", "--quiet"]),
    ],
)
def test_the_text_is_the_commands(
    own: Place, run: Run, tmp_path: Path, key: str, fields: dict[str, str], words: list[str]
) -> None:
    """Letter by letter what the command prints."""
    (tmp_path / TEST).write_text(TEXT, encoding="utf-8")
    code, out, _ = run(*words)

    assert code == 0
    assert full(form(own, key, **fields)) == out


def test_a_tidy_copy_lies_beside(own: Place) -> None:
    """What would change is shown; the copy is a file of its own and never overwritten."""
    before = (own.folder / TEST).read_bytes()
    assert "This would change" in form(own, "tidy", how="check")
    assert "The copy is written" in form(own, "tidy", how="write", out="../../neat")
    assert (own.folder / "neat.md").is_file()
    assert "could not be done" in form(own, "tidy", how="write", out="neat")
    assert (own.folder / TEST).read_bytes() == before
    (own.folder / "neat.md").unlink()


def test_lines_are_put_into_words(own: Place) -> None:
    """One spoken line for each; a mistake is told and is no fault."""
    text = folder_form(own, "lines", lines="£1.75\n\n3/4", language="en-GB", set="")
    assert full(text) == "one pound seventy-five\n\nthree quarters\n"
    refused = folder_form(own, "lines", lines="x", language="en-GB", set="no-such=1")
    assert "is-wrong" in refused


def test_files_of_the_folder_are_written_once(own: Place) -> None:
    """Schemas, templates, launcher: in this folder, under plain names."""
    assert "pausewright-settings.schema.json" in folder_form(own, "schemas")
    assert (own.folder / "pausewright-settings.schema.json").is_file()
    assert "answer-sheet" in folder_form(own, "templates", copy_templates="../mine")
    assert (own.folder / "mine").is_dir()
    assert "could not be done" in folder_form(own, "templates", copy_templates="mine")
    folder_form(own, "launcher")
    assert [one for one in own.folder.iterdir() if one.name.lower().startswith("open")]
    assert sorted(one.name for one in own.folder.parent.iterdir()) == ["tests"]


def test_what_is_kept_is_shown_before_it_goes(own: Place) -> None:
    """Listing removes nothing; the button after it does."""
    assert "Nothing is kept" in form(own, "forget")
    left = own.folder / ".tide.0123abcd.building"
    left.mkdir()
    text = form(own, "forget")
    assert "forget-now" in text or "Nothing is kept" in text
    if "forget-now" in text:
        assert left.exists()
        assert "Removed" in form(own, "forget-now", about="")
        assert not left.exists()
    else:
        left.rmdir()


def test_a_voice_is_added_only_when_asked_twice(own: Place) -> None:
    """Size, licence and origin come first; a name that is none is told; a bundled voice stays."""
    text = folder_form(own, "voice-offer", add="emma-small")
    assert "Apache-2.0" in text
    assert "I have read that: fetch it" in text
    assert not list(own.folder.glob("*.onnx*"))
    assert "could not be done" in folder_form(own, "voice-offer", add="nobody")
    assert "comes with Pausewright" in folder_form(own, "voice-off", remove="iris")


def test_a_form_of_a_test_is_none_of_the_folder(own: Place) -> None:
    """Each has its one address; others are not there."""
    client = own.client
    headers = client.own() | {"Content-Type": FORM}
    for path in (
        "/more/tidy",
        f"/test/{own.id_of(TEST)}/more/schemas",
        "/more/no-such",
        "/more/../check",
    ):
        assert client.ask("POST", path, b"", headers).status == 404


def handed_in(own: Place, path: str, files: dict[str, tuple[str, bytes]], **fields: str) -> str:
    """Send a form with files, as a browser does (RFC 7578), and return what came of it."""
    boundary = "between-these"
    parts = [
        f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
        for name, value in fields.items()
    ]
    for name, (file, content) in files.items():
        head = f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"; filename="{file}"'
        parts.append(head.encode() + b"\r\n\r\n" + content + b"\r\n")
    body = b"".join(parts) + f"--{boundary}--\r\n".encode()
    headers = own.client.own() | {"Content-Type": f"multipart/form-data; boundary={boundary}"}
    reply = own.client.ask("POST", path, body, headers)
    if reply.status != 303:
        return reply.text
    return own.client.waited(reply.headers["location"], r"verdict|<h2>Rooms and sticks")


def test_files_that_are_handed_in_keep_to_their_place(own: Place) -> None:
    """Two files under one name in one form; a hostile name; a recording that is kept here."""
    path = f"/test/{own.id_of(TEST)}/more/heard"
    text = handed_in(own, path, {"log": ("../../etc/x.json", b"{}")})
    assert "is no log of a listening page" in unescape(text) or "nothing of" in unescape(text)
    text = handed_in(
        own,
        "/more/draft",
        {"recording": ("../same.txt", b"not a sound"), "text": ("same.txt", b"1. Two?")},
        out="drafted",
        language="en-GB",
    )
    assert "could not be done" in text
    assert not (own.folder / "drafted.md").exists()
    kept = own.folder / "same.txt"
    assert kept.read_bytes() == b"not a sound"
    again = handed_in(
        own, "/more/draft", {"recording": ("same.txt", b"another")}, out="x", language="en-GB"
    )
    assert "left as it is" in unescape(again) or "left as it was" in unescape(again)
    assert kept.read_bytes() == b"not a sound"
    kept.unlink()


def test_a_list_is_handed_in(own: Place) -> None:
    """From a spreadsheet's export; what it holds is shown as text."""
    page = f"/test/{own.id_of(TEST)}/rooms"
    content = b"candidate,arrangement,room\n<b>C1</b>,A,Hall\n"
    text = handed_in(own, f"{page}/upload", {"list": ("l.csv", content)})
    assert "&lt;b&gt;C1" in text
    assert "<b>C1" not in text
    again = handed_in(own, f"{page}/upload", {"list": ("l.csv", b"candidate\n")})
    assert "a list of this test already" in again
    assert (own.folder / "tide.needs.csv").read_bytes() == content
    assert list((own.folder / ".pausewright-desk").rglob("*.csv")) == []
