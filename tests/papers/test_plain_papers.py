"""The plain-text papers: what is on them, and what must never be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.papers.plain import answer_sheet, running_sheet
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from support.scripts.short_scripts import HEAD, SMALL, worded

if TYPE_CHECKING:
    from pathlib import Path

LINE = "_" * 40
SHEETS = (
    HEAD
    + """
# Test {answer-time="6 s"}

::: sheet
Prices: **£2.05** and [£2.50]{.choice}
:::

1. Which colour is the boat? {key="B"}

    - A. red
    - B. ![a blue boat](blue.svg)

2. Write two words. {lines="2" marks="2" key="SECRETKEY"}

    ::: sheet
    A [______]{.answer lines="2"} and a \\{brace\\}
    :::

::: staff-note
SECRETNOTE
:::

## In print {.printed}

3. What did the man say? {key="x"}

# End

Done.
"""
)


def test_the_answer_sheet_has_numbers_sheets_and_places_to_write(tmp_path: Path) -> None:
    """Numbers in order, printed matter, lines; the page turns where the recording says so."""
    sheet = answer_sheet(worded(tmp_path).script, label="A", edition="7KQ3MX")

    assert sheet.splitlines()[:2] == ["Harbour morning", "Version A · edition 7KQ3MX"]
    assert f"1.  {LINE}" in sheet
    assert f"2.  gulls\n    {LINE}" in sheet
    assert sheet.index("2.  gulls") < sheet.index("(turn over)")


def test_no_key_note_or_spoken_word_is_on_it(tmp_path: Path) -> None:
    """Keys, staff notes and questions that are heard stay off the sheet."""
    for text in (SMALL, SHEETS):
        sheet = answer_sheet(worded(tmp_path, text).script, label="A", edition="7KQ3MX")
        for word in ("ZEBRAFISH", "QUOKKA", "SECRETKEY", "SECRETNOTE", "boats are there", "colour"):
            assert word not in sheet


def test_answers_to_choose_pictures_and_answer_places(tmp_path: Path) -> None:
    """Marks of the script language are gone; letters, lines and marks are there."""
    sheet = answer_sheet(worded(tmp_path, SHEETS).script, label="A", edition="7KQ3MX")

    assert "Prices: £2.05 and £2.50" in sheet
    assert "1.  A.  red\n    B.  [picture: a blue boat]\n    Answer: ______" in sheet
    assert f"A {LINE}\n    {LINE} and a {{brace}}   (2 marks)" in sheet
    assert f"3.  What did the man say?\n    {LINE}" in sheet
    assert "{." not in sheet


def test_sub_questions_have_their_own_sheet_lines_and_marks(tmp_path: Path) -> None:
    """What a sub-question declares for the sheet stands below its letter."""
    text = (
        HEAD + '# Q {answer-time="6 s" readings="1"}\n\n1. Now.\n\n'
        '    - a. Which? {sheet="red, blue" key="SECRETKEY" marks="2"}\n'
        '    - b. Why? {lines="2"}\n\nDone.\n'
    )
    sheet = answer_sheet(worded(tmp_path, text).script, label="A", edition="7KQ3MX")

    rows = ["1.  a.", "red, blue", f"{LINE}   (2 marks)", "b.", LINE, LINE]
    assert [row.strip() for row in sheet.splitlines()[-6:]] == rows


def test_answers_to_choose_of_a_sub_question_stand_below_it(tmp_path: Path) -> None:
    """With the place for the letter in place of lines."""
    text = (
        HEAD + '# Q {answer-time="6 s" readings="1"}\n\n1. Now.\n\n    - a. Which?\n\n'
        "        - A. a gull\n        - B. a crate\n\nDone.\n"
    )

    sheet = answer_sheet(worded(tmp_path, text).script, label="A", edition="7KQ3MX")

    rows = ["1.  a.", "A.  a gull", "B.  a crate", "Answer: ______"]
    assert [row.strip() for row in sheet.splitlines()[-4:]] == rows


def test_a_sheet_is_printed_without_questions_too(tmp_path: Path) -> None:
    """A part that asks nothing still shows its sheet: a place for notes, for example."""
    text = (
        HEAD + "# Talk\n\n::: sheet\nNotes: [______]{.answer}\n:::\n\nListen.\n\n"
        '# Silent\n\n::: staff-note\nSECRETNOTE\n:::\n\n# Q {answer-time="6 s"}\n\n'
        "1. Now?\n\nDone.\n"
    )
    sheet = answer_sheet(worded(tmp_path, text).script, label="A", edition="7KQ3MX")

    assert f"TALK\n\nNotes: {LINE}" in sheet
    assert "SILENT" not in sheet
    assert "SECRETNOTE" not in sheet


def test_the_running_sheet_gives_times_and_stops(tmp_path: Path) -> None:
    """Hand-worked times: 0.5 s lead-in, one second for each sound, the declared silences."""
    found = worded(tmp_path)
    line = timeline(steps(found), lambda _: 44_100, 44_100)
    sheet = running_sheet(found.script, line, label="A", edition="7KQ3MX", track="x.mp3")

    # 0.5 lead-in + 1 (two questions) + 0.8 = 2.3: stop; + 1 cue = 3.3: hold
    assert "    0:02     Stop 1\n    0:03     PRESS PAUSE HERE" in sheet
    assert "silence of 20 s, then a tone and “The recording continues.”" in sheet
    # 23.3 tone, 24.3 + 0.8 words, 26.1 + 0.8: Test; 26.9
    assert "    0:26   Test" in sheet
    assert "page-turn time (4 s)" in sheet
    assert "boats" not in sheet
