"""The page Words by its cards: without a script by forms, with it while somebody writes."""

from __future__ import annotations

import re
import time
from html import unescape
from typing import TYPE_CHECKING

import pytest
from bench_scripts import questions_script
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.shelf import Shelf
from support.browser.pages import needs_browser, wrong_in_any_look
from support.desks.browser import desk_page, is_read
from support.desks.client import FORM
from support.desks.folder import GOOD, HOSTILE

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from playwright.sync_api import Browser, Page, Route
    from support.desks.client import Reply
    from support.desks.folder import Place

PASTED = "1. One and one is?\nAnswer: 2\n\n________________\n\nTurn over\n"
DOUBTFUL = GOOD.replace("What is 9 times 3?", "Number 1905 is next. Is it odd?")


class Test:
    """A test of the folder, and what its cards send."""

    __test__ = False

    def __init__(self, place: Place, name: str, text: str) -> None:
        """Write the script."""
        self.file = place.folder / name
        self.file.write_bytes(text.encode())
        self._place = place
        self.address = f"/test/{place.id_of(name)}/words"

    @property
    def text(self) -> str:
        """What stands in the file."""
        return self.file.read_text("utf-8")

    def fields(self, line: int) -> dict[str, str]:
        """Return what the form of a card holds, from the page itself."""
        page = self._place.client.get(f"{self.address}?card={line}").text
        form = page.partition(f'id="card-{line}"')[2].partition("</form>")[0]
        inputs = re.findall(r'<input [^>]*?name="([^"]*)" value="([^"]*)"', form)
        areas = re.findall(
            r'<textarea [^>]*?name="([^"]*)"[^>]*>\n(.*?)</textarea>', form, re.DOTALL
        )
        boxes = set(re.findall(r'type="checkbox" name="([^"]*)" value="yes"(?! checked)', form))
        found = [(name, unescape(value)) for name, value in (*inputs, *areas)]
        return {name: value for name, value in found if name not in boxes and name != "boxes"}

    def send(self, fields: Mapping[str, str], **more: str) -> Reply:
        """Send a form; redirects are followed."""
        return self._place.client.post(f"{self.address}/card", {**fields, **more})


def test_a_card_is_saved_by_its_form(place: Place) -> None:
    """Without a script: a field is changed, and only its line."""
    test = Test(place, "carded.md", GOOD.replace("\n", "\r\n"))
    fields = test.fields(14)
    assert fields["f::words"] == "What is 7 times 8?"

    reply = test.send(fields | {"f::words": "What is 7 times 9?", "f::key": "63"}, how="change")

    assert reply.status == 200
    new = GOOD.replace("7 times 8?", "7 times 9?").replace("56", "63").replace("\n", "\r\n")
    assert test.file.read_bytes() == new.encode()


def test_cards_are_added_moved_and_deleted(place: Place) -> None:
    """By the buttons of an open card, and taken back by the page's own."""
    test = Test(place, "moved.md", GOOD)
    more = {"new_kind": "question", "new_words": "What is {6}?"}
    test.send(test.fields(14) | more, how="add")
    assert "2. What is \\{6\\}?\n3. What is 9 times 3?" in test.text
    test.send(test.fields(15), how="down")
    assert '2. What is 9 times 3? {key="27" answer-time="4 s"}\n3. What is \\{6\\}?' in test.text
    test.send(test.fields(16), how="delete")
    assert test.text == GOOD

    base = place.client.get(test.address).text.partition('name="base" value="')[2][:64]
    place.client.post(test.address, {"base": base, "text": test.text, "how": "back"})
    assert "3. What is \\{6\\}?" in test.text


def test_answers_to_choose_are_added(place: Place) -> None:
    """One after another, by the form of an open question."""
    test = Test(place, "choice.md", GOOD)
    for words in ("54", "56"):
        test.send(test.fields(14) | {"new_kind": "answer", "new_words": words}, how="add")

    assert '4 s"}\n\n    - A. 54\n    - B. 56\n\n2. What is 9' in test.text


def test_a_change_elsewhere_in_the_file_is_kept(place: Place) -> None:
    """Another card was changed by another program: both changes stand."""
    test = Test(place, "merged.md", GOOD)
    fields = test.fields(14)
    test.file.write_text(GOOD.replace("# Test", "<!-- theirs -->\n\n# Test!"), "utf-8")

    reply = test.send(fields | {"f::key": "fifty-six"}, how="change")

    assert reply.status == 200
    assert "<!-- theirs -->\n\n# Test!" in test.text
    assert 'key="fifty-six"' in test.text


def test_a_change_of_the_same_card_is_not_overwritten(place: Place) -> None:
    """Nothing is written; what was typed can be copied."""
    test = Test(place, "clash.md", GOOD)
    fields = test.fields(14)
    theirs = GOOD.replace("7 times 8", "7 times 7")
    test.file.write_text(theirs, "utf-8")

    reply = test.send(fields | {"f::words": "What <i>I</i> typed"}, how="change")

    assert reply.status == 409
    assert test.text == theirs
    assert "What &lt;i&gt;I&lt;/i&gt; typed" in reply.text
    client = place.client
    script = client.ask(
        "POST",
        f"{test.address}/card/save",
        b"card=14&mark=" + fields["mark"].encode() + b"&f%3A%3Akey=9",
        client.own() | {"Content-Type": FORM},
    )
    assert script.status == 409


def test_a_reading_is_chosen(place: Place) -> None:
    """What the wording calls doubtful has its readings as buttons; choosing writes `say`."""
    test = Test(place, "doubtful.md", DOUBTFUL)
    page = place.client.waited(test.address, 'name="choose"')
    offered = re.findall(r'name="choose" value="([^"]*)" class="quiet">([^<]*)<', page)
    assert len(offered) >= 2
    value, words = offered[1]

    test.send(test.fields(15), choose=value)

    assert f'Number [1905]{{say="{words}"}} is next.' in test.text
    assert test.send(test.fields(15), choose="15:11:3:0").status == 400


def test_a_hint_that_can_be_typed_is_pressed(place: Place) -> None:
    """A name that is misspelt and a time without its unit; what does not mend is not written."""
    wrong = GOOD.replace('answer-time="4 s"', 'answer-tme="4 s"', 1).replace("voice:", "vioce:")
    test = Test(place, "misspelt.md", wrong)
    page = unescape(place.client.waited(test.address, 'name="repair"'))
    offered = dict(re.findall(r'name="repair" value="([^"]*)" class="quiet">([^<]*)<', page))
    assert set(offered.values()) == {'answer-time="4 s"', "voice"}

    for value, words in offered.items():
        line = 14 if words != "voice" else 1
        reply = test.send(test.fields(line), repair=value)
        assert reply.status == 200, reply.text
    assert test.text == GOOD
    assert test.send(test.fields(14), repair=next(iter(offered))).status == 400

    text = GOOD.replace('answer-time="4 s"}', 'answer-tme="4 s" answer-time="5 s"}', 1)
    test.file.write_text(text, "utf-8")
    place.client.waited(test.address, 'name="repair"')
    value = re.findall(r'name="repair" value="([^"]*)"', place.client.get(test.address).text)[0]
    refused = test.send(test.fields(14), repair=value)
    assert refused.status == 400
    assert "This alone does not repair it" in refused.text
    typed = test.send(test.fields(14) | {"f::key": "sixty"}, repair=value)
    assert typed.status == 400
    assert "sixty" in typed.text
    assert test.text == text


def test_marks_of_doubt_are_settled(place: Place) -> None:
    """A comment that marks a doubt stands on its card, and goes when somebody has looked."""
    mark = "<!-- look at this: is it <b>7</b>? -->\n\n"
    test = Test(place, "marked.md", GOOD.replace("1. What", f"{mark}1. What"))
    page = place.client.get(test.address).text
    assert "is it &lt;b&gt;7&lt;/b&gt;?" in page

    test.send(test.fields(16), settle="14")

    assert test.text == GOOD


def test_a_hostile_script_is_shown_as_text(place: Place) -> None:
    """In cards too, open and closed: nothing of it is markup."""
    address = f"/test/{place.id_of('hostile.md')}/words"
    for card in read_cards((place.folder / "hostile.md").read_text("utf-8")).cards:
        page = place.client.get(f"{address}?card={card.line}").text
        assert HOSTILE not in page
        assert "<img" not in page.partition("<body>")[2]
        assert "&lt;script&gt;" in page


@pytest.mark.parametrize(
    "fields",
    [
        {"card": "14", "mark": "x" * 64, "how": "change"},
        {"card": "99999999999", "how": "delete"},
        {"card": "-1", "how": "up"},
        {"how": "add", "new_kind": "passage", "new_words": "x"},
        {"how": "add", "new_kind": "question", "new_words": "  "},
        {"how": "choose", "choose": "1:1:1:1"},
        {"settle": "3"},
        {},
    ],
)
def test_forms_that_nobody_sends(place: Place, fields: dict[str, str]) -> None:
    """Refused in a page, and nothing changed."""
    test = Test(place, "odd-forms.md", GOOD)

    assert test.send(fields).status in {400, 409}
    assert test.text == GOOD


# ---- new tests ------------------------------------------------------------------------------


def test_a_test_is_begun_by_questions_and_by_a_paste(place: Place) -> None:
    """By forms alone; what is pasted as HTML keeps its numbers, and hostile words are words."""
    client, folder = place.client, place.folder
    client.post(
        "/new/questions",
        {"title": "Asked for", "n_questions": "5", "groups": "One\nTwo", "n_practice": "1",
         "language": "en-GB", "readings": "3", "between": "4", "answer_time": "7.5"},
    )  # fmt: skip
    asked = (folder / "asked-for.md").read_text("utf-8")
    assert 'answer-time: "7.5 s"' in asked
    assert "## Two" in asked

    pasted = f"<ol><li>What is 7?</li><li>{HOSTILE.replace('<', '&lt;')}</li></ol><p>Answers</p>"
    reply = client.post(
        "/new/paste",
        {"title": "Pasted in", "html": f"{pasted}<p>1. seven</p>", "pasted": "x",
         "language": "en-GB", "readings": "1"},
    )  # fmt: skip
    assert "2 questions found" in reply.text
    made = (folder / "pasted-in.md").read_text("utf-8")
    assert '1. What is 7? {key="seven"}' in made
    assert "alert(1)" in made
    assert HOSTILE not in client.get(f"/test/{place.id_of('pasted-in.md')}/words").text
    again = {"title": "Pasted in", "pasted": "1. One?", "language": "en-GB"}
    assert client.post("/new/paste", again).status == 400
    assert (folder / "pasted-in.md").read_text("utf-8") == made


def test_a_test_is_begun_by_a_document(place: Place) -> None:
    """A file that is handed in is read and not kept; one of another kind is refused."""
    client = place.client

    def hand_in(name: str, content: str, title: str) -> Reply:
        rows = {"title": title, "language": "en-GB", "readings": "2", "answer_time": "9 s"}
        parts = [f'--b\r\nContent-Disposition: form-data; name="{k}"\r\n\r\n{v}\r\n'
                 for k, v in rows.items()]  # fmt: skip
        head = f'--b\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
        body = "".join([*parts, head, content, "\r\n--b--\r\n"]).encode()
        kind = {"Content-Type": "multipart/form-data; boundary=b"}
        return client.ask("POST", "/new/file", body, client.own() | kind)

    assert "2 questions found" in hand_in("../x.txt", "1. One?\r\n2. Two?", "From a file").text
    assert (place.folder / "from-a-file.md").exists()
    assert hand_in("x.pdf", "1. One?", "From a pdf").status == 400
    assert hand_in("x.docx", "no zip", "From junk").status == 400
    assert not (place.folder / "from-junk.md").exists()
    held = place.folder / ".pausewright-desk"
    assert not [one for one in held.rglob("*") if one.suffix in {".txt", ".pdf", ".docx"}]


# ---- in a browser -----------------------------------------------------------------------------

in_browser = [*needs_browser]


def shown(page: Page, place: Place, name: str, query: str = "") -> None:
    """Go to the words of a test, and wait until they are read."""
    own = page.url.split("/test/")[0].rstrip("/")
    page.goto(f"{own}/test/{place.id_of(name)}/words{query}")
    is_read(page)


def until(file: Path, words: str) -> float:
    """Wait until words stand in a file; return how long that took in seconds."""
    began_s = time.monotonic()
    while words not in file.read_text("utf-8"):
        assert time.monotonic() - began_s < 30, file.read_text("utf-8")
        time.sleep(0.01)
    return time.monotonic() - began_s


class TestInBrowser:
    """What the page's own script does, and how the page is for everyone."""

    pytestmark = in_browser

    def test_words_are_for_everyone(self, place: Place, browser: Browser) -> None:
        """With an open card, a doubt, an error and marks: axe-core, widths, targets."""
        wide = GOOD.replace("1. What", "<!-- look at this: sure? -->\n\n1. What")
        wide += '\n3. One? {kay="2"}\n'
        wide += "\n::: stop {for=soon}\nAsk.\n:::\n\n- a list\n\nThe [x]{say=} end.\n"
        Test(place, "states.md", wide)
        Test(place, "doubts.md", DOUBTFUL)
        lines = ("", "?card=16", "?card=12", "?card=999")
        found: dict[str, object] = {}
        with desk_page(browser, place.folder) as page:
            own = page.url.rstrip("/")
            states = [("states.md", one) for one in lines] + [("doubts.md", "?card=15")]
            for name, query in states:
                shown(page, place, name, query)
                for summary in page.locator("details summary").all():
                    summary.click()
                found[f"{name}{query}"] = wrong_in_any_look(page)
            page.goto(f"{own}/test/{place.id_of('states.md')}/earlier")
            found["earlier"] = wrong_in_any_look(page)
            page.goto(f"{own}/new")
            found["new"] = wrong_in_any_look(page)
            page.get_by_label("The page", exact=True).fill(PASTED)
            page.locator("#title-p").fill("Pasted and looked at")
            page.get_by_role("button", name="Begin with this page").click()
            page.get_by_text("1 question found").wait_for()
            page.get_by_text("What was left out").wait_for()
            is_read(page)
            found["begun"] = wrong_in_any_look(page)
        assert {state: wrong for state, wrong in found.items() if wrong} == {}

    @pytest.mark.parametrize("n", [40, pytest.param(300, marks=pytest.mark.long)])
    def test_many_questions_are_for_everyone(self, place: Place, browser: Browser, n: int) -> None:
        """More cards than any window shows, one of them open."""
        Test(place, f"many-{n}.md", questions_script(n))
        with desk_page(browser, place.folder) as page:
            page.set_default_timeout(300_000)
            shown(page, place, f"many-{n}.md", "?card=18")
            assert page.locator("#cards > li").count() > n
            assert wrong_in_any_look(page) == []

    def test_a_card_is_saved_while_somebody_writes(self, place: Place, browser: Browser) -> None:
        """On the disk soon after the pause, in the text beside it, and what is said is new."""
        test = Test(place, "written.md", GOOD)
        with desk_page(browser, place.folder) as page:
            shown(page, place, "written.md")
            field = page.locator("#card-14").get_by_label("What is asked")
            field.fill("What is 7 times 12?")
            assert until(test.file, "7 times 12?") < 5  # 1 s on an idle machine
            page.locator("#card-14 .saved", has_text="Saved.").wait_for()
            assert "7 times 12?" in page.locator("#text").input_value()
            page.locator("#card-14 .said", has_text="seven times twelve").wait_for()
            page.locator("#card-15").get_by_label("Right answer").fill("twenty-seven")
            until(test.file, 'key="twenty-seven"')
        assert test.text == GOOD.replace("7 times 8", "7 times 12").replace("27", "twenty-seven")

    def test_text_and_cards_are_one(self, place: Place, browser: Browser) -> None:
        """What is written in the text is soon in the cards, and the other way."""
        test = Test(place, "both.md", GOOD)
        with desk_page(browser, place.folder) as page:
            shown(page, place, "both.md")
            text = page.get_by_label("The script of this test")
            text.fill(GOOD.replace("# Test", "# Test\n\nListen {here").replace("{here", "here."))
            page.locator("#card-14").get_by_label("What is said").wait_for()
            page.locator("#card-16").get_by_label("What is asked").fill("What is 7 times 11?")
            until(test.file, "7 times 11?")
            assert "Listen here.\n" in test.text
            page.get_by_role("button", name="Take back").click()
            page.wait_for_load_state()
            until(test.file, "7 times 8?")
            assert "Listen here.\n" in test.text

    def test_taking_back_waits_for_what_is_being_saved(
        self, place: Place, browser: Browser
    ) -> None:
        """The page does not know yet what is on the disk: it would be somebody else's change."""
        test = Test(place, "saving.md", GOOD)
        held: list[Route] = []
        with desk_page(browser, place.folder, expected=()) as page:
            shown(page, place, "saving.md")
            page.get_by_label("The script of this test").fill(
                GOOD.replace("7 times 8", "7 times 7")
            )
            page.get_by_text("Saved.").wait_for()
            page.route("**/card/save", lambda route: held.extend([route]))
            page.locator("#card-14").get_by_label("What is asked").fill("What is 7 times 11?")
            while not held:
                page.wait_for_timeout(20)
            answer = held[0].fetch()
            until(test.file, "7 times 11?")
            page.get_by_role("button", name="Take back").click()
            held[0].fulfill(response=answer)
            until(test.file, "7 times 7?")

    def test_leaving_loses_nothing(self, place: Place, browser: Browser) -> None:
        """A page that is left before the pause is over has saved what was typed."""
        test = Test(place, "left.md", GOOD)
        with desk_page(browser, place.folder) as page:
            shown(page, place, "left.md")
            page.locator("#card-14").get_by_label("Right answer").fill("fifty-six")
            page.get_by_role("link", name="Tests", exact=True).click()
            page.get_by_role("heading", name="Tests").wait_for()
        until(test.file, "fifty-six")

    def test_by_keyboard_alone(self, place: Place, browser: Browser) -> None:
        """A doubtful reading is chosen, and a question added, with Tab, letters and Enter."""
        test = Test(place, "keys.md", DOUBTFUL)
        with desk_page(browser, place.folder) as page:
            shown(page, place, "keys.md")
            page.locator("#card-15 button[name=choose]").first.wait_for()
            tab_to(page, "button[name=choose]", nth=1)
            page.keyboard.press("Enter")
            until(test.file, "[1905]{say=")
            page.locator("#card-15 button[name=choose]").first.wait_for(state="detached")
            tab_to(page, '#card-15 a[href*="card=15"]')
            page.keyboard.press("Enter")
            page.wait_for_url("**card=15**")
            tab_to(page, "[name=new_words]")
            page.keyboard.type("What is 5 plus 6?")
            page.keyboard.press("Tab")
            page.keyboard.press("Enter")
            until(test.file, "3. What is 5 plus 6?")

    def test_a_page_is_pasted_from_a_word_processor(self, place: Place, browser: Browser) -> None:
        """The clipboard's HTML is taken: numbers that a list gives are in no plain text."""
        listed = "<ol><li>What is 7 times 8?</li><li>What is 9 times 3?</li></ol>"
        with desk_page(browser, place.folder) as page:
            page.goto(f"{page.url}new")
            page.get_by_label("The page").evaluate(
                """(field, listed) => {
                    const data = new DataTransfer();
                    data.setData("text/html", listed);
                    data.setData("text/plain", "What is 7 times 8?\\nWhat is 9 times 3?");
                    const event = new ClipboardEvent("paste", { clipboardData: data });
                    field.dispatchEvent(event);
                    field.value = "What is 7 times 8?\\nWhat is 9 times 3?";
                }""",
                listed,
            )
            page.locator("#title-p").fill("Clipboard")
            page.get_by_role("button", name="Begin with this page").click()
            page.get_by_text("2 questions found").wait_for()
        assert "2. What is 9 times 3?" in (place.folder / "clipboard.md").read_text("utf-8")


def tab_to(page: Page, query: str, nth: int = 0) -> None:
    """Press Tab until something is reached."""
    for _ in range(200):
        page.keyboard.press("Tab")
        is_there = page.evaluate(
            "([query, nth]) => document.activeElement.matches(query) && "
            "[...document.querySelectorAll(query)].indexOf(document.activeElement) === nth",
            [query, nth],
        )
        if is_there:
            return
    raise AssertionError(f"{query} is not reached by Tab")


def test_ids_are_found(place: Place) -> None:
    """The tests above speak of tests that are there."""
    assert Shelf(place.folder).tests()
