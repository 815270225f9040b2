"""Everything that speaks to the desk and is not its own page in the browser that was let in.

What a browser sends by itself is that of the Fetch standard (`Origin`: "null" for opaque ones) and
of Fetch Metadata (W3C; `Sec-Fetch-Site`: same-origin, same-site, cross-site, none). Cookies ignore
ports: RFC 6265, 8.5. The attack with a foreign Host is known as DNS rebinding.
"""

from __future__ import annotations

import asyncio
import stat
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.desk import guard
from pausewright.desk.shelf import Shelf
from pausewright.desk.uploads import plain_name
from support.desks.client import FORM, LAUNCH, Client, ask, raw, way_in
from support.desks.folder import HOSTILE, SECRET
from support.event_loops import run_apart

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from support.desks.folder import Place

NEW = b"title=Planted"
PAGES = ("/", "/check", "/voices", "/more", "/season")
OF_TEST = ("words", "make", "versions", "papers", "listen", "rooms", "day", "changes", "more")


def test_its_own_page_is_let_through(place: Place) -> None:
    """The same request that is refused below in other forms; else those would prove nothing."""
    client = place.client
    reply = client.ask("POST", "/new", b"title=", client.own() | {"Content-Type": FORM})

    assert client.get("/").status == 200
    assert reply.status == 400
    assert "a test needs a name" in reply.text


@pytest.mark.parametrize(
    "host",
    ["localhost:{port}", "127.0.0.1", "127.0.0.1:1", "tests.example:{port}", "127.0.0.1.:{port}",
     "[::1]:{port}", "0.0.0.0:{port}", "127.0.0.1:{port}, 127.0.0.1:{port}", ""],
)  # fmt: skip
@pytest.mark.parametrize("path", ["/", "/desk.css", "/open?key=x"])
def test_a_foreign_host_is_refused(place: Place, host: str, path: str) -> None:
    """Whatever name led here, only the address of the desk itself is answered."""
    client = place.client
    headers = client.own() | {"Host": host.format(port=client.port)}

    assert client.ask("GET", path, headers=headers).status in {400, 421}


def test_two_hosts_are_refused(place: Place) -> None:
    """A request that names two hosts means neither."""
    host = f"Host: 127.0.0.1:{place.client.port}\r\n"
    cookie = f"Cookie: {place.client.cookie}\r\nConnection: close\r\n"
    reply = raw(place.client.port, f"GET / HTTP/1.1\r\n{host}{host}{cookie}\r\n".encode())

    assert reply.split(b" ")[1] in {b"400", b"421"}


@pytest.mark.parametrize(
    ("origin", "site"),
    [
        ("https://tests.example", "cross-site"),
        ("http://127.0.0.1:{other}", "same-site"),
        ("http://localhost:{port}", "cross-site"),
        ("https://127.0.0.1:{port}", "same-site"),
        ("null", "cross-site"),
        ("null", "same-origin"),
        ("http://127.0.0.1:{other}", None),
        ("http://127.0.0.1:{port}", "same-site"),
        ("http://127.0.0.1:{port}.tests.example", None),
        (None, "cross-site"),
        (None, None),
    ],
)
def test_a_form_of_another_page_is_refused(
    place: Place, origin: str | None, site: str | None
) -> None:
    """With our cookie, as browsers send it to every port, from any page but our own."""
    client = place.client
    headers = client.own() | {"Content-Type": FORM}
    for name, value in (("Origin", origin), ("Sec-Fetch-Site", site)):
        if value is None:
            del headers[name]
        else:
            headers[name] = value.format(port=client.port, other=client.port + 1)

    assert client.ask("POST", "/new", NEW, headers).status == 403
    assert not (place.folder / "planted.md").exists()


@pytest.mark.parametrize("site", ["cross-site", "same-site", "odd"])
def test_nothing_is_read_from_another_page(place: Place, site: str) -> None:
    """Neither as picture nor as script nor in a frame: a page of another port is same-site."""
    assert place.client.get("/", Sec_Fetch_Site=site).status == 403


@pytest.mark.parametrize(
    "cookie",
    ["", "desk-{port}=", "desk-{port}=x", "desk-{other}={value}", "{value}", "desk-{port}=\xff",
     "desk-{port}={value}x", "desk-{port}={short}"],
)  # fmt: skip
def test_who_was_not_let_in_sees_nothing(place: Place, cookie: str) -> None:
    """Without the session's cookie, whole and under its own name."""
    client = place.client
    value = client.cookie.partition("=")[2]
    given = cookie.format(port=client.port, other=client.port + 1, value=value, short=value[:-1])
    headers = client.own() | {"Cookie": given}
    for method, path in (("GET", "/"), ("GET", "/desk.js"), ("POST", "/new")):
        reply = client.ask(method, path, NEW if method == "POST" else b"", headers)
        assert reply.status == 403
        assert b"Tide table" not in reply.body


def test_a_key_lets_in_once(place: Place) -> None:
    """A used key, a wrong one and none are refused; the next one is another, of 256 bits."""
    port, key = way_in(place.folder)
    headers = {"Host": f"127.0.0.1:{port}"}

    first = ask(port, "GET", f"/open?key={key}", b"", headers)
    again = ask(port, "GET", f"/open?key={key}", b"", headers)
    others = [ask(port, "GET", f"/open{end}", b"", headers).status for end in ("", "?key=x")]
    _, following = way_in(place.folder)

    assert (first.status, again.status, others) == (200, 403, [403, 403])
    assert "HttpOnly" in first.headers["set-cookie"]
    assert "SameSite=strict" in first.headers["set-cookie"]
    assert "set-cookie" not in again.headers
    assert following != key
    assert len(key) >= 256 / 6  # letters of base64
    if sys.platform != "win32":
        assert stat.S_IMODE((place.folder / LAUNCH).stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "path",
    [
        "/../outside.md", "/..%2foutside.md", "/%2e%2e/outside.md", "//etc/passwd",
        "/test/{id}/file/../../../outside.md", "/test/{id}/file/..%2f..%2foutside.md",
        "/test/{id}/file/%2fetc%2fpasswd", "/test/{id}/file/tide.md", "/test/tide.md/words",
        "/test/..%2foutside/words", "/test/%00/words", "/job/..%2f..%2foutside.md/page",
        "/desk.css/../outside.md", "/.pausewright-desk/", "/tide.md", "/pausewright-desk.html",
        "http://tests.example/",
    ],
)  # fmt: skip
def test_no_path_leads_to_a_file(place: Place, path: str) -> None:
    """Files have ids that the desk gives; a path is no id, however it is written."""
    reply = place.client.get(path.format(id=place.id_of("tide.md")))

    assert reply.status in {400, 404, 421}
    assert SECRET.encode() not in reply.body
    assert b"root:" not in reply.body


def test_a_link_out_of_the_folder_is_no_test(place: Place) -> None:
    """Neither its title nor its text is shown, and it cannot be checked through the desk."""
    client = place.client
    reply = client.get("/")
    key = next(
        one for one in client.get("/check").text.split('<option value="') if "track.mp3" in one
    )[:16]
    found = client.post("/check", {"what": key, "test": ""})

    assert SECRET not in reply.text
    assert "link.md" not in reply.text
    assert SECRET not in found.text


def test_five_gigabytes_are_refused_unread(place: Place) -> None:
    """By what the request says of itself, before a byte of it is read."""
    head = "POST /check/upload HTTP/1.1\r\n"
    rows = place.client.own() | {
        "Content-Type": "multipart/form-data; boundary=x",
        "Content-Length": "5000000000",
        "Connection": "close",
    }
    head += "".join(f"{name}: {value}\r\n" for name, value in rows.items()) + "\r\n"

    assert raw(place.client.port, head.encode()).split(b" ")[1] == b"413"


def test_other_methods_and_other_forms_are_refused(place: Place) -> None:
    """No answer allows another origin anything (CORS)."""
    client = place.client
    for method in ("PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"):
        reply = client.ask(method, "/new", headers=client.own())
        assert reply.status == 405
        assert not [name for name in reply.headers if name.startswith("access-control")]
    odd = client.own() | {"Content-Type": "text/plain"}
    assert client.ask("POST", "/new", NEW, odd).status == 400
    many = "&".join(f"a{n}=1" for n in range(2000)).encode()
    assert client.ask("POST", "/new", many, client.own() | {"Content-Type": FORM}).status == 400


def run_guarded(parts: list[bytes], pause_s: float = 0.0) -> int:
    """Send a body in parts through the guard to an app that reads all; return the status."""
    door = guard.Door(4000)
    session = door.let_in(door.key)
    headers = {
        "host": "127.0.0.1:4000", "cookie": f"desk-4000={session}",
        "origin": "http://127.0.0.1:4000", "sec-fetch-site": "same-origin",
    }  # fmt: skip
    scope = {
        "type": "http", "method": "POST", "path": "/new",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }  # fmt: skip
    statuses: list[int] = []
    left = list(parts)

    async def receive() -> dict[str, object]:
        await asyncio.sleep(pause_s)
        return {"type": "http.request", "body": left.pop(0), "more_body": bool(left)}

    async def send(message: dict[str, object]) -> None:
        if message["type"] == "http.response.start":
            statuses.append(int(str(message["status"])))

    async def app(
        _: object,
        given: Callable[[], Awaitable[dict[str, object]]],
        give: Callable[[dict[str, object]], Awaitable[None]],
    ) -> None:
        status = 200
        try:
            while (await given())["more_body"]:
                pass
        except guard.TooMuchError as much:
            status = much.status
        await give({"type": "http.response.start", "status": status, "headers": []})

    run_apart(guard.Guard(app, door, lambda: None)(scope, receive, send))  # type: ignore[arg-type]
    return statuses[0]


def test_more_than_is_taken_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where the request does not say how long it is."""
    monkeypatch.setattr(guard, "MOST_FORM_BYTES", 100)

    assert run_guarded([b"x" * 40] * 2) == 200
    assert run_guarded([b"x" * 40] * 3) == 413


def test_what_comes_too_slowly_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """One byte now and then holds nothing open."""
    monkeypatch.setattr(guard, "PATIENCE_S", 0.3)

    assert run_guarded([b"x"] * 3, pause_s=0.01) == 200
    assert run_guarded([b"x"] * 40, pause_s=0.05) == 408


@pytest.mark.parametrize(
    ("given", "plain"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\x\\track.mp3", "track.mp3"),
        ("<b>.mp3", "_b_.mp3"),
        ("..", "file"),
        ("", "file"),
        ("a\x00b\u202e.mp3", "a_b_.mp3"),
        ("x" * 300 + ".mp3", "x" * 76 + ".mp3"),
    ],
)
def test_the_name_of_a_file_that_is_handed_in_is_made_plain(given: str, plain: str) -> None:
    """Nothing of it acts in a path or on a page."""
    assert plain_name(given) == plain


def test_what_a_script_holds_is_shown_as_text(place: Place) -> None:
    """Markup in title, key, spoken words and file name acts nowhere, and breaks no page."""
    client: Client = place.client
    own = {name: f"/test/{place.id_of(name)}" for name in ("hostile.md", "<b>bold.md", "tide.md")}
    client.waited(own["hostile.md"] + "/make", "Make it and check it|must be changed")
    client.waited(own["<b>bold.md"] + "/make", "must be changed")
    paths = [f"{one}/{page}" for one in own.values() for page in OF_TEST]
    texts = {path: client.get(path).text for path in (*PAGES, *paths)}

    assert any("&lt;img src=x" in text for text in texts.values())
    assert any("&lt;b&gt;bold" in text for text in texts.values())
    for path, text in texts.items():
        assert "<img" not in text, path
        assert "<b>" not in text, path
        assert text.count("<script") == 1, path  # the desk's own
        assert HOSTILE not in text, path


EVERYWHERE = f"""---
title: "{HOSTILE}"
language: en-GB
"{HOSTILE}": x
vioce: "{HOSTILE}"
speakers:
  "{HOSTILE}": {{voice: "{HOSTILE}"}}
arrangements:
  standard: {{label: A}}
  "{HOSTILE}": {{label: "<b>", basis: "{HOSTILE}", "{HOSTILE}": 1}}
---

# {HOSTILE}

## Group {HOSTILE} {{voice="{HOSTILE}"}}

<!-- look at this: {HOSTILE} -->

1. What? {{key="{HOSTILE}" sheet="{HOSTILE}" captions="{HOSTILE}" captions-reason="{HOSTILE}"}}

    - A. {HOSTILE}
    - B. [x]{{say="{HOSTILE}" as="{HOSTILE}"}}

::: {HOSTILE}
{HOSTILE}
:::

::: staff-note
{HOSTILE}
:::

{HOSTILE}: [sound]{{.recording file="{HOSTILE}.wav"}}
"""
CELLS = f'candidate,arrangement,room\n"{HOSTILE}","{HOSTILE}","{HOSTILE}"\n'
NOTES = f'[{{"version": "{HOSTILE}", "at": "{HOSTILE}", "words": "{HOSTILE}"}}]'


def test_markup_in_every_place_is_shown_as_text(place: Place) -> None:
    """Names, keys, captions, groups, voices, files, candidates, rooms and notes, right or wrong."""
    script = place.folder / "everywhere.md"
    script.write_text(EVERYWHERE, encoding="utf-8")
    script.with_name("everywhere.needs.csv").write_text(CELLS, encoding="utf-8")
    script.with_name("everywhere.notes.json").write_text(NOTES, encoding="utf-8")
    client, own = place.client, f"/test/{place.id_of('everywhere.md')}"
    client.waited(f"{own}/make", "must be changed")
    rows = [("mark", ""), *((name, HOSTILE) for name in ("candidate", "arrangement", "room"))]
    sent = {
        "list": client.post(f"{own}/rooms/list", [*rows, ("at", "-1")]).text,
        "stop": client.post(f"{own}/day", {"version": HOSTILE, "place": HOSTILE}).text,
        "note": client.post(f"{own}/listen/note", {"version": "A", "words": HOSTILE}).text,
        "version": client.post(f"{own}/versions/new", {"name": HOSTILE, "pace": HOSTILE}).text,
        "new": client.post("/new", {"title": HOSTILE}).text,
        "paste": client.post("/new/paste", {"title": HOSTILE, "pasted": HOSTILE}).text,
        "words": client.post(f"{own}/words", {"base": "x", "text": HOSTILE, "how": "save"}).text,
    }
    sent |= {page: client.get(f"{own}/{page}").text for page in (*OF_TEST, "earlier")}
    sent |= {page: client.get(page).text for page in PAGES}
    for file in place.folder.glob("everywhere*"):
        file.unlink()
    for one in {*place.folder.glob("img-*.md"), *place.folder.glob("*script*.md")}:
        one.unlink()

    assert sum("&lt;img src=x" in text for text in sent.values()) >= 5
    for where, text in sent.items():
        assert "<img" not in text, where
        assert "<b>" not in text, where
        assert text.count("<script") == 1, where
        assert HOSTILE not in text, where


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xfe---\x00\xd8", b"---\ntitle: \xe9\n---\n", b"\x00" * 5000, b"", b"---\n",
        b"---\ntitle: x\n---\n" + b"> " * 20_000, b"---\ntitle: x\n---\n" + b"[" * 60_000,
        b"---\n" + b"a: &a [*a, *a]\n" * 200 + b"---\n", b"x" * 9_000_000,
        "---\ntitle: \u202e\u2066x\x1b[2J\n---\n\n1. \u202eOne?\n".encode(),
        b"PK\x03\x04" + bytes(range(256)) * 40,
    ],
)  # fmt: skip
def test_a_hostile_file_is_refused_or_shown_as_text(place: Place, content: bytes) -> None:
    """No text, too large, too deep, signs that turn the direction: a page, and the desk stays."""
    script = place.folder / "odd-file.md"
    script.write_bytes(content)
    client = place.client
    try:
        if all(one.script != script for one in Shelf(place.folder).tests()):
            assert "odd-file" not in client.get("/").text  # it does not begin as a test does
            return
        own = f"/test/{place.id_of('odd-file.md')}"
        for page in OF_TEST:
            reply = client.get(f"{own}/{page}")
            assert reply.status < 500, (page, reply.text)
            assert "\x1b" not in reply.text.partition("<textarea")[0]
        assert "fault of Pausewright" not in client.waited("/", "odd-file|Tide table")
        assert script.read_bytes() == content
    finally:
        script.unlink()


def test_every_answer_has_the_policies(place: Place) -> None:
    """No page can be framed, kept, guessed at or asked from elsewhere; no script stands in it."""
    client = place.client
    paths = [*PAGES, "/nothing", "/desk.js", f"/test/{place.id_of('tide.md')}/words"]
    for path in paths:
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert headers["cache-control"] == "no-store"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cross-origin-opener-policy"] == "same-origin"
        assert "access-control-allow-origin" not in headers
        assert "server" not in headers


def test_addresses_and_titles_say_nothing_of_a_test(place: Place) -> None:
    """A browser's history holds both."""
    client = place.client
    text = client.waited("/", "Tide table")
    shown = client.get(f"/test/{place.id_of('tide.md')}/words").text

    assert "tide" not in shown.partition("<title>")[2].partition("</title>")[0].lower()
    assert [one for one in text.split('href="')[1:] if "tide" in one.partition('"')[0]] == []
