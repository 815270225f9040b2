"""The desk in a real browser: axe-core, widths, colours, by keyboard, without its script."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from pausewright.deliver.heard import heard_file
from pausewright.deliver.listening_notes import notes_file
from support.browser.pages import needs_browser, wrong_in_any_look
from support.desks.browser import awaited, desk_page, is_read
from support.desks.folder import GOOD
from support.desks.made import NEEDS

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser
    from support.desks.folder import Place

pytestmark = needs_browser


def addresses(place: Place) -> list[str]:
    """Return every page that can be reached without a build, with refused and missing ones."""
    of_test = f"/test/{place.id_of('tide.md')}"
    wrong = f"/test/{place.id_of('<b>bold.md')}"
    own = [f"{of_test}/{page}" for page in OF_TEST]
    missing = [f"{wrong}/{page}" for page in ("words", "make", "listen", "rooms")]
    return ["/", "/check", "/voices", "/more", "/season", "/nothing", *own, *missing]


OF_TEST = (
    "words", "make", "versions", "papers", "listen", "rooms", "day", "changes", "more",
)  # fmt: skip


def test_pages_are_for_everyone(place: Place, browser: Browser) -> None:
    """Nothing found by axe-core, nothing to scroll sideways, nothing too small to hit."""
    place.client.waited(f"/test/{place.id_of('tide.md')}/make", "Make it and check it")
    place.client.waited(f"/test/{place.id_of('<b>bold.md')}/make", "Must be changed")
    found: dict[str, object] = {}
    with desk_page(browser, place.folder) as page:
        own = page.url.rstrip("/")
        for address in addresses(place):
            if address == "/nothing":  # the browser itself says in its console that it is missing
                continue
            page.goto(own + address)
            is_read(page)
            found[address] = wrong_in_any_look(page)

    assert {address: wrong for address, wrong in found.items() if wrong} == {}


def test_pages_of_a_made_test_are_for_everyone(
    made: Place, browser: Browser, tmp_path: Path
) -> None:
    """Each page, each of its parts opened, and what came of each kind of work."""
    test = f"/test/{made.id_of('lantern.md')}"
    (made.folder / "lantern.needs.csv").write_text(NEEDS, encoding="utf-8")
    client = made.client
    assert "laid out" in client.done(f"{test}/rooms/lay", {"start": "09:15"})
    note = {"version": "A", "edition": "E", "at": "0:03", "words": "a click"}
    client.post(f"{test}/listen/note", note)
    stick = tmp_path / "stick"
    stick.mkdir()
    what = re.findall(r'<option value="(\w+)">Annexe, player 1', client.read(f"{test}/rooms"))
    fields = {"what": what[0], "stick": "", "other": str(stick), "replace": "on"}
    jobs = [
        client.started(f"{test}/rooms/stick", fields),
        client.started(f"{test}/rooms/read", {"other": str(made.folder)}),
        client.started(f"{test}/changes", {"old": "", "new": "", "rooms": "on"}),
        client.started(f"{test}/more/tidy", {"how": "check"}),
        client.started(f"{test}/more/retime", {"arrangement": "B"}),
        client.started("/more/voice-offer", {"add": "emma-small"}),
    ]
    found: dict[str, object] = {}
    with desk_page(browser, made.folder, expected=("400 (Bad Request)",)) as page:
        own = page.url.rstrip("/")

        def judge(name: str) -> None:
            is_read(page)
            page.evaluate(
                "document.querySelectorAll('details').forEach(one => { one.open = true; })"
            )
            found[name] = wrong_in_any_look(page)

        for address in (*(f"{test}/{one}" for one in OF_TEST), *jobs):
            page.goto(own + address)
            judge(address)
        page.goto(f"{own}{test}/day")
        page.get_by_label("Where did the player's counter stand").fill("0:05")
        page.get_by_role("button", name="Say what that means").click()
        page.get_by_text("Stopped at 0:05").wait_for()
        judge("a stop")
        page.goto(f"{own}{test}/versions")
        page.get_by_role("button", name="Add it").click()
        page.get_by_text("Nothing was changed").wait_for()
        judge("a version that is refused")

    assert {address: wrong for address, wrong in found.items() if wrong} == {}


def test_a_track_is_played_from_its_strip(made: Place, browser: Browser) -> None:
    """A click on the drawing and a key on the list play from there; what was played counts."""
    from playwright.sync_api import expect  # noqa: PLC0415  only where there is a browser

    script = made.folder / "lantern.md"
    heard_file(script).unlink(missing_ok=True)
    with desk_page(browser, made.folder) as page:
        page.goto(f"{page.url}test/{made.id_of('lantern.md')}/listen")
        is_read(page)
        player = page.locator("#player")
        page.wait_for_function("document.querySelector('#player').readyState > 0")
        box = page.locator(".is-player .strip-line").first.bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.wait_for_function("document.querySelector('#player').currentTime > 0")
        at_s = player.evaluate("one => one.currentTime")
        line_s = float(page.locator("#listening").get_attribute("data-line") or 0)
        assert line_s / 2 - 0.5 <= at_s <= line_s / 2 + 5
        page.locator("summary", has_text="Everything with its time").focus()
        page.keyboard.press("Enter")
        link = page.locator("#moments a", has_text="question 1, first reading").first
        link.focus()
        page.keyboard.press("Enter")
        # it is told every ten seconds, before this question is over too: the drawing played another
        unheard = page.locator("#next-unheard")
        expect(unheard).not_to_have_text(re.compile(r"question 1\s*$"), timeout=90_000)
        assert page.get_by_text(re.compile(r"heard: [1-4] of 4 questions")).count()
        player.evaluate("one => one.pause()")
    heard_file(script).unlink(missing_ok=True)


def test_a_moment_is_picked_by_the_keyboard(made: Place, browser: Browser) -> None:
    """From the list into the form, and the focus with it."""
    with desk_page(browser, made.folder) as page:
        page.goto(f"{page.url}test/{made.id_of('lantern.md')}/day")
        is_read(page)
        page.locator("summary", has_text="pick the moment").focus()
        page.keyboard.press("Enter")
        link = page.locator(".moments a", has_text="question 2, answer time").first
        time = link.get_attribute("data-place")
        link.focus()
        page.keyboard.press("Enter")
        place = page.locator("#place")
        assert place.input_value() == time
        assert place.evaluate("one => one === document.activeElement")


def test_pages_of_a_made_test_work_without_their_script(
    made: Place, browser: Browser, tmp_path: Path
) -> None:
    """List, rooms, stick, stop and note by forms and links alone."""
    (made.folder / "lantern.needs.csv").write_text(NEEDS, encoding="utf-8")
    with desk_page(browser, made.folder, has_script=False) as page:
        own = f"{page.url}test/{made.id_of('lantern.md')}"
        page.goto(f"{own}/rooms")
        page.get_by_label("Room, row 3").fill("Hall two")
        page.get_by_role("button", name="Save the list").click()
        page.get_by_role("button", name="Lay out the rooms").click()
        for _ in range(300):
            if page.get_by_text("3 rooms laid out").count():
                break
            page.wait_for_timeout(200)
            page.reload()
        page.get_by_role("link", name="Write the sticks").click()
        page.get_by_label("Or any folder").first.fill(str(tmp_path))
        page.get_by_role("button", name="Write it and read it back").click()
        for _ in range(300):
            if page.get_by_text("Right.").count():
                break
            page.wait_for_timeout(200)
            page.reload()
        awaited(page.get_by_text("Right."))
        page.goto(f"{own}/day")
        page.get_by_label("Where did the player's counter stand").fill("0:05")
        page.get_by_role("button", name="Say what that means").click()
        awaited(page.get_by_text("Stopped at 0:05"))
        page.goto(f"{own}/listen")
        page.get_by_label("What did you hear?").fill("a hum")
        page.get_by_role("button", name="Note it").click()
        page.get_by_text("a hum").first.wait_for(state="attached")
    notes_file(made.folder / "lantern.md").unlink(missing_ok=True)


def test_writing_is_saved_by_itself(place: Place, browser: Browser) -> None:
    """A key press is on the disk soon after the pause; what is wrong appears, and leads there."""
    file = place.folder / "typed.md"
    file.write_text(GOOD, encoding="utf-8")
    with desk_page(browser, place.folder) as page:
        page.goto(f"{page.url}test/{place.id_of('typed.md')}/words")
        page.get_by_label("The script of this test").fill(GOOD.replace("answer-time", "no-such"))
        page.get_by_text("Saved.").wait_for()
        assert "no-such" in file.read_text("utf-8")
        link = page.locator("#problems li", has_text="no-such").locator("a").first
        link.wait_for()
        link.focus()
        page.keyboard.press("Enter")
        chosen = page.evaluate(
            "(() => { const t = document.querySelector('#text'); "
            "return [document.activeElement === t, "
            "t.value.slice(t.selectionStart, t.selectionEnd)]; })()"
        )
    assert chosen == [True, 'no-such="4 s"']


def test_a_change_from_elsewhere_is_seen(place: Place, browser: Browser) -> None:
    """Writing goes on in the page, nothing is saved over it, and the way on is a button."""
    file = place.folder / "other.md"
    file.write_text(GOOD, encoding="utf-8")
    with desk_page(browser, place.folder) as page:
        page.goto(f"{page.url}test/{place.id_of('other.md')}/words")
        file.write_text(GOOD + "theirs\n", encoding="utf-8")
        field = page.get_by_label("The script of this test")
        field.fill(GOOD + "mine\n")
        page.get_by_text("Not saved").wait_for()
        assert file.read_text("utf-8") == GOOD + "theirs\n"


def test_it_works_without_its_script(place: Place, browser: Browser) -> None:
    """A test is begun, changed and looked at by forms and links alone, and by the keyboard."""
    with desk_page(browser, place.folder, has_script=False) as page:
        page.get_by_label("What is it called?").fill("Quiet harbour")
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Words").wait_for()
        page.wait_for_load_state()
        field = page.get_by_label("The script of this test")
        text = field.input_value()
        field.fill(text.replace("My first test", "Quiet harbour"))
        page.get_by_role("button", name="Save and look").click()
        page.get_by_role("link", name="Make", exact=True).click()
        for _ in range(100):
            if page.get_by_role("button", name="Make it and check it").count():
                break
            page.wait_for_timeout(200)
            page.reload()
        awaited(page.get_by_role("button", name="Make it and check it"))
    assert "title: Quiet harbour" in (place.folder / "quiet-harbour.md").read_text("utf-8")
