"""The one form of a script: hand-written pairs, every script there is, and what it looks like."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from pausewright.problems import ScriptError
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.attributes.braces import escaped, read_braces
from pausewright.script.edition import content_bytes
from pausewright.script.model import Note
from pausewright.script.reader import Reading, read
from pausewright.script.tidying import tidy_text as tidy_module
from pausewright.script.tidying.attribute_form import ORDER, times
from pausewright.script.tidying.sameness import difference
from pausewright.script.tidying.tidy_text import MeaningError, canonical, tidied
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded
from support.scripts.sample_sounds import SCRIPTS as SAMPLES
from support.scripts.sample_sounds import lay_out
from support.scripts.script_cases import HEAD, TAIL, Case, cases, whole

ROOT = Path(__file__).parents[2]
NEW = ROOT / "pipeline" / "pausewright" / "script" / "new_script.md"
SCRIPTS = [*sorted((ROOT / "demo_scripts").glob("*.md")), ROOT / "tests" / "cases" / "wide.md", NEW]
PAIRS = cases("tidy.md")
PAGE = (ROOT / "docs" / "script-language.md").read_text(encoding="utf-8")


def examples(kind: str) -> list[str]:
    """Return the examples of one kind in the author's reference, as whole scripts."""
    head = re.search(r"^```yaml head\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    found = re.findall(rf"^```{kind}\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    assert head
    return [
        text if text.startswith("---") else f"---\n{head[1]}---\n\n{text.rstrip()}\n\nThe end.\n"
        for text in found
    ]


def meaning(file: Path, text: str) -> Reading:
    """Read a script that has no error."""
    found = read(file, text)
    assert [p for p in found.problems if p.severity == "error"] == []
    return found


def said(reading: Reading) -> list[tuple[str, str]]:
    """Return all that is said and shown, in order."""
    pieces = Worded(reading.script).all_elements()
    return [(p.words, p.shown) for p in pieces if isinstance(p, Utterance)]


def assert_kept(file: Path, text: str) -> str:
    """Tidy a script and compare it in every way that there is; return its one form."""
    new = tidied(file, text).text
    before, after = meaning(file, text), meaning(file, new)

    assert difference(before, after) == ""
    assert content_bytes(before.script) == content_bytes(after.script)
    assert said(before) == said(after)
    assert sorted(comments(text)) == sorted(comments(new))
    assert tidied(file, new).text == new
    return new


def comments(text: str) -> list[str]:
    """Return the words of all comments."""
    found = re.findall(r"(?<!\\)<!--.*?-->", text, re.DOTALL)
    return [" ".join(one.split()) for one in found]


def outside_view(text: str) -> list[str]:
    """Return marks and words of a script's body as plain CommonMark has them, attributes left out.

    A second opinion on the order of words, on headings and on the numbers of questions: another
    configuration of the library than the reader's, with none of its rules.
    """
    body = re.sub(r"<!--.*?-->", " ", text.split("\n---\n", maxsplit=1)[1], flags=re.DOTALL)
    body = re.sub(r"^ *:{3,}.*$", " ", body, flags=re.MULTILINE)
    found: list[str] = []
    for token in MarkdownIt("commonmark", {"html": False}).disable("code").parse(body):
        if token.type in {"heading_open", "list_item_open"}:
            found.append(token.tag + token.info)
        if token.type == "inline":
            found += re.sub(r'\{(?:"[^"]*"|[^{}"])*\}', " ", token.content).split()
    return found


# ---- pairs ----------------------------------------------------------------------------------


def test_pairs_are_found() -> None:
    """A file of pairs that is lost or empty does not pass unnoticed."""
    assert len(PAIRS) > 20


@pytest.mark.parametrize("pair", PAIRS, ids=lambda p: f"line {p.line}")
def test_each_pair(pair: Case, tmp_path: Path) -> None:
    """The script becomes exactly its one form, which stays as it is and means the same."""
    is_whole = pair.script.startswith("---")
    expected = pair.expected + "\n" if is_whole else HEAD + "\n" + pair.expected + TAIL

    assert assert_kept(tmp_path / "test.md", whole(pair.script)) == expected, pair.title


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        pytest.param("Listen.  \n", "Listen.\n", id="blanks at the end"),
        pytest.param("Listen.\u00a0\nNow. \u00a0\n", "Listen.\nNow.\n", id="no-break blanks"),
        pytest.param("1.\u00a0One?\u00a0{key=1}\n", '1. One? {key="1"}\n', id="no-break in marks"),
        pytest.param("1. One?\n\n\tMore.\n", "1. One?\n\n    More.\n", id="tab"),
        pytest.param("A backslash \\ \nhere.\n", "A backslash \\\\\nhere.\n", id="backslash"),
        pytest.param("A hard\\\nbreak.\n", "A hard\\\nbreak.\n", id="hard break"),
        pytest.param("Now.\n\n\n\n", "Now.\n", id="empty lines"),
        pytest.param("1. One?\n   \n    More.\n", "1. One?\n\n    More.\n", id="blank line"),
    ],
)
def test_blanks_that_cannot_be_seen(tmp_path: Path, written: str, expected: str) -> None:
    """Blanks at the ends of lines, tabs and no-break blanks become plain."""
    found = assert_kept(tmp_path / "test.md", HEAD + "\n" + written + TAIL)

    assert found == HEAD + "\n" + expected.rstrip("\n") + TAIL


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_and_the_mark_at_the_start(tmp_path: Path, end: str) -> None:
    """Other line ends and a byte-order mark give the same form as plain ones."""
    text = (HEAD + "\n1. One?{key=1}\n" + TAIL).replace("\n", end)
    expected = HEAD + '\n1. One? {key="1"}' + TAIL

    assert tidied(tmp_path / "test.md", text).text == expected
    assert tidied(tmp_path / "test.md", "\ufeff" + text).text == expected


def test_the_last_line_ends_once(tmp_path: Path) -> None:
    """A file without a line end gets one, one with several keeps one."""
    for end in ("", "\n", "\n\n \n"):
        assert tidied(tmp_path / "test.md", f"{HEAD}\nThe end.{end}").text == f"{HEAD}\nThe end.\n"


def test_includes_stay_and_their_files_are_not_touched(tmp_path: Path) -> None:
    """The line of an include is tidied, the included text is compared and left alone."""
    (tmp_path / "standard").mkdir()
    part = tmp_path / "standard" / "opening.md"
    part.write_text("Listen{pause-after=2s}\n", encoding="utf-8")
    text = HEAD + "[Opening](standard/opening.md){ .include }\n\n\n1. One?\n" + TAIL
    new = assert_kept(tmp_path / "test.md", text)

    assert "\n[Opening](standard/opening.md){.include}\n\n1. One?\n" in new
    assert part.read_text(encoding="utf-8") == "Listen{pause-after=2s}\n"


# ---- whole scripts --------------------------------------------------------------------------


@pytest.mark.parametrize("file", SCRIPTS, ids=lambda f: f.stem)
def test_whole_scripts_keep_their_meaning(file: Path) -> None:
    """Every script there is means the same when tidied, and plain CommonMark sees the same."""
    text = file.read_text(encoding="utf-8")
    new = assert_kept(file, text)

    assert outside_view(text) == outside_view(new)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_sample_scripts_keep_their_meaning(name: str, tmp_path: Path) -> None:
    """The five samples of the language's design, with the files that they name beside them."""
    file = lay_out(tmp_path) / name
    text = file.read_text(encoding="utf-8")

    assert outside_view(text) == outside_view(assert_kept(file, text))


@pytest.mark.parametrize("kind", ["markdown", "markdown timeline"])
def test_the_examples_of_the_reference_keep_their_meaning(kind: str, tmp_path: Path) -> None:
    """Every example of the author's reference means the same when tidied."""
    (tmp_path / "standard").mkdir()
    (tmp_path / "standard" / "opening.md").write_text("You will hear it.\n", encoding="utf-8")
    found = examples(kind)
    assert found
    for text in found:
        new = assert_kept(tmp_path / "test.md", text)

        assert outside_view(text) == outside_view(new)


def test_the_reference_shows_what_tidying_does(tmp_path: Path) -> None:
    """The page's own pair of an untidy and a tidy script is true."""
    (untidy,), (tidy,) = examples("markdown untidy"), examples("markdown tidied")

    assert assert_kept(tmp_path / "test.md", untidy) == tidy


def test_the_script_to_start_from_has_its_one_form() -> None:
    """What `new` writes needs no tidying, nor does the script with every construct."""
    for file in SCRIPTS[-2:]:
        text = file.read_text(encoding="utf-8")

        assert tidied(file, text).text == text


@pytest.mark.parametrize("file", SCRIPTS, ids=lambda f: f.stem)
def test_what_every_form_looks_like(file: Path) -> None:
    """No blanks at the ends, no tabs, one line end at the end, one blank line at a time."""
    text = tidied(file, file.read_text(encoding="utf-8")).text
    notes = [n.text for _, _, b in read(file, text).script.blocks() for n in _notes(b)]

    assert not re.search(r"[ \t\u00a0]$|\t|\r|\ufeff", text, re.MULTILINE)
    assert text.endswith("\n")
    assert not text.endswith("\n\n")
    assert "\n\n\n" not in text or any("\n\n\n" in note for note in notes)
    assert not re.search(r"^ *:::\S|^ *:{4}|::: \{|=[“‘]", text, re.MULTILINE)


def _notes(block: object) -> list[Note]:
    found = [block, getattr(block, "sheet", None), getattr(block, "key", None)]
    return [n for n in (*found, *getattr(block, "notes", ())) if isinstance(n, Note)]


# ---- refusals -------------------------------------------------------------------------------


def test_a_script_with_errors_is_refused_with_all_of_them(tmp_path: Path) -> None:
    """The problems are those that reading gives."""
    text = HEAD + "1. One? {kye=1}\n\n::: shet\n18\n:::\n" + TAIL
    with pytest.raises(ScriptError) as caught:
        tidied(tmp_path / "test.md", text)

    assert caught.value.problems == read(tmp_path / "test.md", text).problems
    assert len(caught.value.problems) > 1


def test_warnings_do_not_stand_in_the_way(tmp_path: Path) -> None:
    """Warnings are handed on, and the text is tidied."""
    found = tidied(tmp_path / "test.md", HEAD + "\nYou have five seconds.\n\n1. One?\n" + TAIL)

    assert [p.code for p in found.warnings] == ["unstated"]


@pytest.mark.parametrize(
    ("old", "new"),
    [("One?", "Two?"), ("1. One", "1. One <!-- x -->\n\nOne"), ("5 s", "6 s"), ("{", "{{")],
)
def test_another_meaning_is_never_given_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, old: str, new: str
) -> None:
    """If the form were wrong, in a word, a block, a time or unreadable, it would be refused."""
    text = HEAD + '\n1. One? {key="1"}\n' + TAIL
    monkeypatch.setattr(
        tidy_module, "canonical", lambda file, text: canonical(file, text).replace(old, new)
    )

    with pytest.raises(MeaningError, match="nothing was written") as caught:
        tidied(tmp_path / "test.md", text)
    assert caught.value.exit_code == 70


def test_a_form_that_would_not_stay_is_never_given_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A form that a second tidying would change is refused as well."""
    monkeypatch.setattr(
        tidy_module, "canonical", lambda file, text: canonical(file, text) + "\n" * text.count("\n")
    )

    with pytest.raises(MeaningError, match="form"):
        tidied(tmp_path / "test.md", HEAD + "\nThe end.\n")


# ---- attributes -----------------------------------------------------------------------------


def test_the_order_names_each_attribute_once() -> None:
    """The fixed order holds known names only, none twice, yes words first."""
    assert len(set(ORDER)) == len(ORDER)
    assert {*VALUES, *YES_WORDS} >= set(ORDER)
    assert set(ORDER[: len(YES_WORDS)]) == set(YES_WORDS)


@given(st.text(st.characters(exclude_characters="\n", exclude_categories=["Cs"]), max_size=30))
def test_a_value_is_written_so_that_it_reads_the_same(value: str) -> None:
    """Any value, in quotation marks, is read back sign for sign."""
    found = read_braces('{key="' + escaped(value) + '" .withdrawn}', 0)

    assert [(i.name, i.value) for i in found.items] == [("key", value), ("withdrawn", None)]
    assert found.problems == ()


@given(st.text('\\"“”{}number 1|', max_size=12))
def test_signs_that_mean_something_read_the_same(value: str) -> None:
    """The same for values made of nothing but the signs that values must cover."""
    found = read_braces('{key="' + escaped(value) + '"}', 0)

    assert [i.value for i in found.items] == [value]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("6s", "6 s"), ("6  s", "6 s"), ("1500ms", "1500 ms"), ("0.50min", "0.50 min"),
        ("20s,30 s", "20 s, 30 s"), ("4s to 9s", "4 s to 9 s"), ("none", "none"),
        ("by  hand", "by hand"), ("1:02.5", "1:02.5"), ("-6s", "-6s"), ("6", "6"),
    ],
)  # fmt: skip
def test_times(written: str, expected: str) -> None:
    """Number, blank, unit; what is no length of time stays."""
    assert times(written) == expected
