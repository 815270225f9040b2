"""docs/wording.md names every way of reading, kind and limit that the code knows, and no other."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path

import pytest
from pausewright.script.inline.bracketed_words import READ_AS
from pausewright.script.reader import read
from pausewright.script.wording_styles import STYLES
from pausewright.wording.language import language_for
from pausewright.wording.lexicon import bundled_lexicons
from pausewright.wording.plain_lines import LineWorder
from pausewright.wording.worded import Worded

PAGE = (Path(__file__).parents[2] / "docs" / "wording.md").read_text(encoding="utf-8")


def known_languages() -> tuple[str, ...]:
    """Return the languages that have a file."""
    folder = resources.files("pausewright.wording.languages")
    names = sorted(one.name for one in folder.iterdir() if not one.name.endswith(".cues.toml"))
    return tuple(name.removesuffix(".toml") for name in names if name.endswith(".toml"))


def section(title: str) -> str:
    """Return the text of one section."""
    return PAGE.partition(f"## {title}\n")[2].partition("\n## ")[0]


def test_ways_of_reading_are_the_codes() -> None:
    """Every style with all its values, the British default first."""
    rows = re.findall(r"^\| `([a-z-]+)` \| ([^|]+) \|", section("Ways of reading"), re.MULTILINE)
    told = {name: tuple(re.findall(r"`([a-z-]+)`", values)) for name, values in rows}
    assert told.pop("zero") == ("nought", "zero", "oh")

    assert {name: set(values) for name, values in told.items()} == {
        name: set(style.choices) for name, style in STYLES.items()
    }
    british = language_for("en-GB")
    assert british is not None
    assert {name: values[0] for name, values in told.items()} == {
        name: british.style(name) for name in STYLES
    }


def test_kinds_and_languages_are_the_codes() -> None:
    """Each `as` value, each language file and each word with two readings is named."""
    kinds = section("Overruling").partition("`as` takes")[2].partition(".")[0]

    assert set(re.findall(r"`([a-z]+)`", kinds)) == set(READ_AS)
    assert set(re.findall(r"`(\w+)\.toml`", section("Languages"))) == set(known_languages())
    told = section("Ambiguous writing").partition("| read, ")[2].partition(" |")[0]
    words = {"read", *told.split(", ")}
    assert words == {h.word for lex in bundled_lexicons() for h in lex.heteronyms} - {"tears"}


@pytest.mark.parametrize("block", re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL))
def test_settings_on_the_page_are_read(block: str, tmp_path: Path) -> None:
    """Each block of settings gives no problem."""
    file = tmp_path / "t.md"
    file.write_text(f"---\n{block}---\nThe end.\n", encoding="utf-8")
    reading = read(file)

    assert [p.message for p in (*reading.problems, *Worded(reading.script).problems.all)] == []


ROWS = [
    (written, said)
    for row in section("Tables by topic").splitlines()
    if row.startswith("| ") and "…" not in row and not row.startswith("| topic")
    for written, said in [[cell.strip() for cell in row.strip("| ").split(" | ")][1:3]]
]


@pytest.mark.parametrize(("written", "said"), ROWS)
def test_a_row_of_the_page_is_what_is_said(written: str, said: str) -> None:
    """Each written form of a row has one of the spoken forms beside it."""
    forms = [re.sub(r" \(.*?\)$", "", one.strip()) for one in said.split(" · ")]
    for one in written.split(" · "):
        text = one.strip().strip("`").replace("12 000 (no-break blank)", "12\u00a0000")
        found = LineWorder(Path("-"), "en-GB", {}).spoken(text)

        assert any(form.rstrip(".") in found for form in forms), (text, found)


def test_known_limits_are_as_told() -> None:
    """What the page says of a limit is what happens."""
    worder = LineWorder(Path("-"), "en-GB", {})

    assert worder.spoken("the 5 m rope") == "the five metre rope"
    assert worder.spoken("the 5-metre rope") == "the five-metre rope"
    assert worder.spoken("5 × 10³ kg") == "five times ten cubed kilograms"
    assert worder.spoken("a 1/2-inch pipe") == "a half-inch pipe"
    assert worder.problems.errors == ()
    for refused in ("12345678901234567890", "٣"):
        n_before = len(worder.problems.errors)
        worder.spoken(refused, n_before + 2)
        assert len(worder.problems.errors) > n_before, refused
