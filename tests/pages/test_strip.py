"""The strip of time: to scale, wrapped like lines of text, and the same as a list."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pausewright.pages.page import STYLE, page
from pausewright.pages.strip import (
    KINDS,
    LINE_LENGTHS_S,
    MOST_LINES,
    STRIP_STYLE,
    Mark,
    Stretch,
    player_time,
    strip,
)
from support.browser.pages import (
    Look,
    for_any_look,
    needs_browser,
    opened,
    overflow_px,
    small_targets,
    violations,
)

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.pages.strip import Kind


def stretch(kind: Kind, start: int, length: int, words: str = "", number: str = "") -> Stretch:
    """Return a stretch in whole seconds."""
    return Stretch(kind, Fraction(start), Fraction(length), words, number)


EXAMPLE = (
    stretch("speech", 0, 5, "an instruction"),
    stretch("hold", 5, 20, "hold"),
    stretch("speech", 25, 4, "question 1, reading 1", "1"),
    stretch("pause", 29, 1),
    stretch("speech", 30, 4, "question 1, reading 1"),
    stretch("answer-time", 34, 30, "answer time of question 1"),
)


def test_it_is_drawn_to_scale_and_wrapped() -> None:
    """64 s come to five lines of 15 s; 30 s of answer time lie on three of them, 30 s in all."""
    drawn = strip(EXAMPLE)
    answer = [box.width for row in drawn.rows for box in row.boxes if box.kind == "answer-time"]

    assert drawn.line_s == 15
    assert [row.time for row in drawn.rows] == ["0:00", "0:15", "0:30", "0:45", "1:00"]
    assert answer == pytest.approx([100 * s / 15 for s in (11, 15, 4)], abs=0.001)
    ((x, number),) = drawn.rows[1].numbers
    assert x == pytest.approx(100 * 10 / 15, abs=0.001)
    assert number == "1"


def test_the_list_says_what_the_drawing_shows() -> None:
    """Words that are one thing but for a pause are one entry; marks stand at their places."""
    drawn = strip(EXAMPLE, [Mark(Fraction(40), "too short", href="#finding-1")])
    entries = [(one.time, one.words, one.length, len(one.marks)) for one in drawn.entries]

    assert entries == [
        ("0:00", "an instruction", "5.000 s", 0),
        ("0:05", "hold", "20.000 s", 0),
        ("0:25", "question 1, reading 1", "9.000 s", 0),
        ("0:34", "answer time of question 1", "30.000 s", 1),
    ]
    ((x, is_grave),) = drawn.rows[2].marks
    assert x == pytest.approx(100 * 10 / 15, abs=0.001)
    assert is_grave


def test_every_kind_has_its_own_form() -> None:
    """No two kinds are drawn alike, so none is told by colour alone; each stands in the key."""
    forms = set()
    for kind in KINDS:
        text = drawn_page((stretch(kind, 0, 5),))
        key = text[text.index('class="strip-key"') :]
        assert KINDS[kind] in key
        line = text[text.index('class="strip-line"') : text.index('class="strip-key"')]
        forms.add(re.sub(r"<text.*?</text>", "", line, flags=re.DOTALL))
    assert len(forms) == len(KINDS) - 1  # answer time and a silence without a script: both plain


@given(st.lists(st.tuples(st.sampled_from(sorted(KINDS)), st.integers(1, 400)), max_size=60))
def test_no_moment_is_lost(parts: list[tuple[Kind, int]]) -> None:
    """The widths of all boxes come to the length of the recording, however it is wrapped."""
    stretches, at = [], 0
    for kind, length in parts:
        stretches.append(stretch(kind, at, length))
        at += length
    drawn = strip(stretches)
    width = sum(box.width for row in drawn.rows for box in row.boxes)

    assert width == pytest.approx(100 * at / drawn.line_s, abs=0.01 * (len(parts) + 20))
    assert len(drawn.rows) <= MOST_LINES or drawn.line_s == LINE_LENGTHS_S[-1]


def test_times_as_players_show_them() -> None:
    """Whole seconds that have passed, never rounded up."""
    assert player_time(Fraction("59.999")) == "0:59"
    assert player_time(Fraction(3725)) == "62:05"
    assert strip(()).rows[0].boxes == ()


def drawn_page(stretches: tuple[Stretch, ...], marks: tuple[Mark, ...] = ()) -> str:
    """Return a page that holds nothing but a strip."""
    return page(
        "support.browser", "strip_alone.html", STYLE, STRIP_STYLE, one=strip(stretches, marks)
    )


@needs_browser[0]
@needs_browser[1]
@needs_browser[2]
@for_any_look
def test_nothing_is_wrong_for_any_look(tmp_path: Path, look: Look) -> None:
    """axe-core finds nothing, closed and opened, and nothing sticks out."""
    file = tmp_path / "strip.html"
    everything = tuple(stretch(kind, 9 * n, 9, number=str(n)) for n, kind in enumerate(KINDS))
    marks = (
        Mark(Fraction(40), "too short", href="#s-title"),
        Mark(Fraction(50), "x", is_grave=False),
    )
    file.write_text(drawn_page(everything, marks), encoding="utf-8")
    with opened(file, look) as shown:
        assert violations(shown) == []
        shown.locator("summary").click()
        assert violations(shown) == []
        assert overflow_px(shown) <= 0
        assert small_targets(shown) == []
