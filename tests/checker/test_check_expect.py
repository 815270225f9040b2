"""What a track must sound like, against expectations worked out by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, cast

import pytest
from pausewright.checker.expect.expect import expect
from pausewright.checker.expect.line_runs import ExpectationError
from pausewright.wording.line_elements import Utterance
from support.tracks.checker_tracks import HEAD, SCRIPT, Beep, Gap, layout, shape, worded

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Place
    from pausewright.script.model import Prose


def test_the_layout_worked_out_by_hand(tmp_path: Path) -> None:
    """Words and silences of the long test script are those written out in the layout."""
    expectation = expect(worded(tmp_path, SCRIPT))
    by_hand = layout()

    sounds = [item for item in by_hand if not isinstance(item, Gap)]
    assert [s.wait_s for s in expectation.silences] == [
        item.wait_s for item in by_hand if isinstance(item, Gap)
    ]
    assert [
        s.element.words if isinstance(s.element, Utterance) else "tone" for s in expectation.sounds
    ] == ["tone" if isinstance(item, Beep) else item.words for item in sounds]


def test_rows_and_totals(tmp_path: Path) -> None:
    """Each question is a row; totals count and add up the kinds exactly."""
    expectation = expect(worded(tmp_path, SCRIPT))

    assert [str(row.item) for row in expectation.rows] == list("12345678")
    assert expectation.totals()["answer-time"] == (8, Fraction(54))
    assert expectation.totals()["between-readings"] == (8, Fraction(12))
    assert expectation.totals()["page-turn-time"] == (1, Fraction(6))


def test_passage_with_turns(tmp_path: Path) -> None:
    """Rule 5: look time before the first reading only; turns `turn-pause` apart; answer time."""
    text = (
        "---\ntitle: T\nlanguage: en-GB\nspeakers:\n"
        "  Ann: {voice: joe}\n  Bea: {voice: joe}\n---\n\n"
        "Look.\n\n"
        '::: passage {readings="2" between-readings="3 s" look-time="7 s" answer-time="9 s" '
        'turn-pause="0.6 s" for-questions="1"}\n'
        "**Ann:** Good day.\n\n**Bea:** And to you.\n:::\n\n"
        '# Q {.printed}\n\n1. Who speaks? {key="Ann"}\n\nThe end.\n'
    )

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Look.", "look-time 7", "Good day.", "turn-pause 0.6", "And to you."),
        *("between-readings 3", "Good day.", "turn-pause 0.6", "And to you."),
        *("answer-time 9", "The end.", "run-out 1"),
    ]


def test_options_paragraphs_and_several_readings(tmp_path: Path) -> None:
    """Rule 4: options and paragraphs by their own pauses; the list of silences between readings."""
    text = (
        HEAD + '# P {readings="3" between-readings="2 s, 4 s" answer-time="none" '
        'between-options="1 s" between-paragraphs="0.9 s" again="Once more."}\n\n'
        "1. Which?\n\n    Think.\n\n    - A. red\n    - B. blue\n\nThe end.\n"
    )
    reading = ["Which?", "between-paragraphs 0.9", "Think.", "between-options 1"]
    reading += ["A, red", "between-options 1", "B, blue"]

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", *reading, "between-readings 2"),
        *("Once more.", "announcement-pause 0.8", *reading, "between-readings 4"),
        *("Once more.", "announcement-pause 0.8", *reading),
        *("paragraph-pause 0.8", "The end.", "run-out 1"),
    ]


def test_margin_paragraphs(tmp_path: Path) -> None:
    """Rules 3, 8: what a paragraph declares replaces the default pause; author's pauses stand."""
    text = (
        HEAD + 'One. {pause-after="2 s"}\n\nTwo. {look-time="5 s"}\n\n'
        "Three. [1.5 s]{.pause} Four. Five.\n\nThe end.\n"
    )

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "One.", "pause 2", "Two.", "look-time 5", "Three.", "pause 1.5"),
        *("Four.", "sentence-pause 0.4", "Five.", "paragraph-pause 0.8", "The end.", "run-out 1"),
    ]


def test_pattern(tmp_path: Path) -> None:
    """Rule 4: a pattern is said once, with its own pauses, then comes the answer time."""
    text = (
        "---\ntitle: T\nlanguage: en-GB\npattern: twice\naccept-voice-language: tried\npatterns:\n"
        '  twice:\n    - say: "Word {number}: {1}."\n    - pause: 1.5 s\n    - say: "{2}"\n---\n\n'
        '# S {answer-time="6 s"}\n\n1. boat\n\n    The boat sails.\n\nThe end.\n'
    )

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Word one: boat.", "pause 1.5", "The boat sails.", "answer-time 6"),
        *("The end.", "run-out 1"),
    ]


def test_what_may_be_shown(tmp_path: Path) -> None:
    """Instructions and numbers may be shown; questions only by the author's word."""
    text = (
        '---\ntitle: T\nlanguage: en-GB\nannounce: "Number {number}."\n---\n\nBegin.\n\n'
        '# P {answer-time="5 s"}\n\n1. What?\n\n'
        '# Q {captions="everything" captions-reason="tried" answer-time="5 s"}\n\n2. Who?\n\n'
        '# End {captions="nothing"}\n\nThe end.\n'
    )

    shown = {
        s.element.words: s.may_be_shown
        for s in expect(worded(tmp_path, text)).sounds
        if isinstance(s.element, Utterance)
    }

    assert shown == {
        "Begin.": True,
        "Number one.": True,
        "What?": False,
        "Number two.": True,
        "Who?": True,
        "The end.": False,
    }


def test_short_silences_are_not_promised(tmp_path: Path) -> None:
    """Silences under 0.7 s are expected exactly, but not judged."""
    expectation = expect(worded(tmp_path, HEAD + "One. Two.\n\nThree.\n"))

    assert [(s.kind, s.is_promised) for s in expectation.silences] == [
        ("lead-in", False),
        ("sentence-pause", False),
        ("paragraph-pause", True),
        ("run-out", False),
    ]


@dataclass(frozen=True)
class Unknown:
    """A block of a kind that the check does not know."""

    place: Place


def test_what_cannot_be_checked_yet_says_so(tmp_path: Path) -> None:
    """An unknown kind of block gives an error with its line, never a wrong expectation."""
    good = worded(tmp_path, HEAD + "One.\n")
    part = good.script.parts[0]
    block = cast("Prose", Unknown(part.place))
    group = replace(part.groups[0], blocks=(block,))
    good.script = replace(good.script, parts=(replace(part, groups=(group,)),))

    with pytest.raises(ExpectationError, match=r"test\.md:\d+: the check cannot work out"):
        expect(good)
