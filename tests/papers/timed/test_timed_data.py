"""What stands on papers that follow a track: notes at their places, sums, ticks, silences."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.papers.timed.interpreter_copy import interpreter_copy_data
from pausewright.papers.timed.moments import Moment, StaffNote, happenings
from pausewright.papers.timed.note_lines import note_lines
from pausewright.papers.timed.pausing_sheet import can_be_given_by_hand, pausing_sheet_data
from pausewright.papers.timed.reading_copy import TICK_S, reader_copy_data, spoken_words
from pausewright.papers.timed.running_sheet import running_sheet_data, running_times
from pausewright.plan.clock import counter
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say, Timeline, Wait, timeline
from support.scripts.short_scripts import HEAD, worded
from support.scripts.versions import END, version
from support.scripts.versions import HEAD as TIDE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.wording.line_elements import SoundElement
    from pausewright.wording.worded import Worded

RATE_HZ = 1000
WORD = 400
"""Samples a word: 0.4 s."""
NOTES = (
    HEAD
    + """
# Opening

::: staff-note {to="invigilator"}
Before all: **doors** shut.
:::

Welcome to the test.

::: staff-note {to="invigilator"}
After the welcome.
:::

::: stop {for="20 s"}
Ask now.
:::

::: staff-note {to="invigilator, reader"}
At the stop.
:::

::: stop {for="2 min" .rest}
Have a rest.
:::

# Test {answer-time="6 s"}

1. How many boats are there? {key="ZEBRAFISH" sheet="boats"}

    ::: staff-note {to="marker"}
    Only for markers.
    :::
    ::: staff-note
    For everybody.
    :::

2. Name a gull. {key="QUOKKA"}

# End

The end.

::: staff-note {to="invigilator"}
Count the sheets.
:::
"""
)


def n_samples(element: SoundElement) -> int:
    """Return the length of a sound in which every word is as long."""
    return WORD * max(1, len(str(getattr(element, "words", "")).split()))


def starts(say: Say) -> Sequence[int]:
    """Return where the words of such a sound begin."""
    return [WORD * index for index in range(len(spoken_words(say).split()))]


def line_of(found: Worded) -> Timeline:
    """Return the track of a script."""
    return timeline(steps(found), n_samples, RATE_HZ)


def around(found: Worded, reader: str) -> list[tuple[str, str]]:
    """Return each note with the words or silence that follow it."""
    happened = happenings(found.script, line_of(found), reader)
    rows = []
    for at, one in enumerate(happened):
        if not isinstance(one, StaffNote):
            continue
        later = [m.step for m in happened[at:] if isinstance(m, Moment)]
        after = next((s for s in later if isinstance(s, Say | Wait)), None)
        what = after.kind if isinstance(after, Wait) else spoken_words(after) if after else "end"
        rows.append((" ".join(one.lines), what))
    return rows


def test_notes_stand_where_the_script_has_them(tmp_path: Path) -> None:
    """Before what follows them; after a stop in its hold; of a question at its start."""
    found = worded(tmp_path, NOTES)

    assert around(found, "invigilator") == [
        ("Before all: doors shut.", "Welcome to the test."),
        ("After the welcome.", "Ask now."),
        ("At the stop.", "hold"),
        ("For everybody.", "Number one."),
        ("Count the sheets.", "end"),
    ]
    assert around(found, "reader") == [("At the stop.", "hold"), ("For everybody.", "Number one.")]
    assert around(found, "marker") == [
        ("Only for markers.", "Number one."), ("For everybody.", "Number one."),
    ]  # fmt: skip


def test_the_running_sheet_tells_a_rest_from_a_stop(tmp_path: Path) -> None:
    """A timed rest must not be doubled by a press of pause; a stop waits for one."""
    found = worded(tmp_path, NOTES)
    times = running_times(found.script, line_of(found), track="t.mp3")
    kinds = [(row.kind, row.what) for row in times.rows if row.kind in {"stop", "rest"}]

    assert kinds == [("stop", "Stop 1"), ("rest", "Rest of 2 min, timed")]
    assert running_sheet_data(times)["n_pauses"] == 1
    shown = str(times)
    for secret in ("ZEBRAFISH", "QUOKKA", "boats", "gull", "markers"):
        assert secret not in shown


def test_ticks_stand_before_the_word_nearest_to_their_time(tmp_path: Path) -> None:
    """Every 15 s of speech has one, no silence has any, and no word is lost."""
    long = " ".join(["word"] * 60)
    found = worded(tmp_path, HEAD + f"\n# Opening\n\n{long}.\n\nStop now.\n")
    line = line_of(found)
    data = reader_copy_data(found.script, line, starts)
    said = [one for stretch in data["stretches"] for one in stretch if one["kind"] == "say"]  # type: ignore[attr-defined]
    pieces = said[0]["pieces"]

    assert " ".join(p["text"].strip() for p in pieces if p["kind"] == "text") == f"{long}."
    assert [p["text"] for p in pieces if p["kind"] == "tick"] == [counter(Fraction(TICK_S))]
    # the track has 0.5 s before its first word, so word n begins at 0.5 s + 0.4 n: 15 s is
    # between the 36th (14.9 s) and the 37th (15.3 s), nearer to the first of them
    assert len(pieces[0]["text"].split()) == 36


def test_the_interpreter_sees_every_sound_and_all_silence(tmp_path: Path) -> None:
    """Sounds and silences of the copy are those of the track, the first silence apart."""
    found = worded(tmp_path, NOTES)
    line = line_of(found)
    rows = interpreter_copy_data(found.script, line)["rows"]
    said = [row for row in rows if row["kind"] == "say"]  # type: ignore[attr-defined]
    sounds = [one for one in line.placed if isinstance(one.step, Say)]

    assert [row["at"] for row in said] == [
        counter(Fraction(s.start_sample, RATE_HZ)) for s in sounds
    ]
    silent_s = sum(Fraction(row["silence"].removesuffix(" s") or 0) for row in said)
    n_sound = sum(one.end_sample - one.start_sample for one in sounds)
    n_silent = line.n_samples - sounds[0].start_sample - n_sound
    assert abs(silent_s - Fraction(n_silent, RATE_HZ)) < Fraction(len(said), 10)


QUESTIONS = (
    TIDE
    + '# Test {answer-time="6.5 s"}\n\n1. One boat? {key="a"}\n2. Two boats? {key="b"}\n'
    + '3. Three boats? {key="c"}'
    + END
)
EACH = "extra-time: 25 %, stretch: [answer-time], share-of: listed-silences, where: each-gap"


@pytest.mark.parametrize(
    ("fields", "due_s"),
    [
        (EACH, "4.875"),
        ("extra-time: 100 s, where: test-end", "100"),
        ('extra-time: 61.5 s, where: test-end, extra-words: "You have {time} more."', "61.5"),
        ("extra-time: 30 s, where: {question 2: 30 s}", "30"),
    ],
)
def test_what_is_held_by_hand_is_the_extra_time(tmp_path: Path, fields: str, due_s: str) -> None:
    """In whole seconds, never less than is due so far and less than a second more in all.

    Pause is pressed in the silence that the time belongs to, on the standard track.
    """
    made = version(tmp_path, QUESTIONS, fields)
    standard = line_of(worded(tmp_path, QUESTIONS))
    assert made.grant is not None
    data = pausing_sheet_data(standard, made.steps, made.grant)
    rows = data["rows"]
    silences = [
        (Fraction(one.start_sample, RATE_HZ), Fraction(one.end_sample, RATE_HZ))
        for one in standard.placed
        if isinstance(one.step, Wait) and one.step.kind == "answer-time"
    ]

    held = so_far = Fraction(0)
    for row, added in zip(rows, made.grant.added, strict=True):  # type: ignore[call-overload]
        held += Fraction(row["hold"].removesuffix(" s"))
        so_far += added.added_s
        assert so_far <= held < so_far + 1
        minutes, seconds = map(int, row["counter"].split(":"))
        at_s = 60 * minutes + seconds
        assert any(start_s <= at_s + 1 and at_s < end_s for start_s, end_s in silences)
    assert so_far == Fraction(due_s) == made.grant.entitled_s
    assert can_be_given_by_hand(made.arrangement)


@pytest.mark.parametrize(
    "fields", ["pace: 80 %", "readings: 3", f"{EACH}, pace: 80 %", f"{EACH}, loudness: loudspeaker"]
)
def test_what_changes_sounds_cannot_be_given_by_hand(tmp_path: Path, fields: str) -> None:
    """Such a version is another recording."""
    assert not can_be_given_by_hand(version(tmp_path, QUESTIONS, fields).arrangement)


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("One line\nand its end.\n\nTwo.", ["One line and its end.", "Two."]),
        ("Say **now** and *then*.", ["Say now and then."]),
        (r"A \{brace\} and [ship]{.choice}.", ["A {brace} and ship."]),
        ("A [____]{.answer} B", ["A ____ B"]),
        ("| a | b |\n|---|---|\n| 1 | 2 |", ["a · b", "1 · 2"]),
        ("- one\n- two", ["– one", "– two"]),
    ],
)
def test_a_sheet_is_told_in_plain_lines(tmp_path: Path, written: str, shown: list[str]) -> None:
    """Paragraphs, rows and items stay apart; marks of the script language go."""
    block = "\n".join(f"    {row}".rstrip() for row in written.splitlines())
    asked = f"1. Look.\n\n    ::: sheet\n{block}\n    :::"
    text = f'{HEAD}\n# T {{answer-time="2 s"}}\n\n{asked}\n\nDone.\n'
    question = next(worded(tmp_path, text).script.questions())
    assert question.sheet is not None

    assert note_lines(question.sheet) == shown
