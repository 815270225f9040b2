"""A field that is changed in a card changes the lines that it must, and reads as what was typed."""

from __future__ import annotations

import random
from difflib import SequenceMatcher
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.desk.cards.changes import changed
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.shelf import Shelf
from pausewright.script.attributes.attribute_table import VALUES, YES_WORDS
from pausewright.script.model import Prose
from pausewright.script.reader import read
from support.desks.card_edits import (
    Drawn,
    block_at,
    card_words,
    comments,
    drawn,
    paragraphs,
    piece_lines,
    same_but,
    value_found,
    value_meant,
)
from support.scripts.whole_scripts import all_laid_out

if TYPE_CHECKING:
    from pausewright.script.reader import Reading

WIDE = Path(__file__).parents[2] / "cases" / "wide.md"
SEED = random.SystemRandom().getrandbits(64)
"""Fresh in each run; a failure names it."""
ALLOWED = {
    kind: {name for table in (VALUES, YES_WORDS) for name, kinds in table.items() if kind in kinds}
    for kind in set().union(*VALUES.values(), *YES_WORDS.values(), {"option", "sheet", "key"})
}
HEAD = "---\ntitle: T\nlanguage: en-GB\nanswer-time: 9 s\n---\n\n"


@pytest.fixture(scope="module")
def scripts(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Path, str, Reading]]:
    """Return all demos, samples and the script with every construct, each read."""
    files = [*all_laid_out(tmp_path_factory.mktemp("whole")), WIDE]
    texts = [(file, file.read_text("utf-8")) for file in files]
    return [(file, text, read(file, text)) for file, text in texts]


@pytest.mark.parametrize(
    "n_edits", [150, pytest.param(1000, marks=[pytest.mark.long, pytest.mark.timeout(1800)])]
)
def test_random_edits(
    n_edits: int, scripts: list[tuple[Path, str, Reading]], tmp_path: Path
) -> None:
    """Bytes, lines, comments and the reading of each edit, on every script there is."""
    dice = random.Random(SEED + n_edits)  # noqa: S311  no secret
    n_refused = 0
    for n in range(n_edits):
        file, text, before = scripts[n % len(scripts)]
        edit = drawn(dice, read_cards(text).cards, ALLOWED)
        told = f"seed {SEED}, edit {n}: {file.name} {edit}"
        try:
            new = changed(text, edit.line, {(edit.piece, edit.field): edit.value})
        except CardError:
            n_refused += 1
            continue
        assert_only_its_lines(text, new, edit, told)
        assert_read_as_asked(before, file, new, edit, told)
        assert_bytes_stay(text, new, dice, tmp_path, told)
    # about 3.5 % in the middle; few draws stray more
    assert n_refused <= n_edits * 0.06 + 6, f"seed {SEED}: {n_refused} refused"


def assert_only_its_lines(text: str, new: str, edit: Drawn, told: str) -> None:
    """No line changes but those of the piece; all comments stay."""
    card = read_cards(text).at(edit.line)
    piece = card.piece(edit.piece)
    assert piece is not None
    own = piece_lines(card, piece)
    old_rows, new_rows = text.split("\n"), new.split("\n")
    for tag, a1, a2, _, _ in SequenceMatcher(
        None, old_rows, new_rows, autojunk=False
    ).get_opcodes():
        if tag == "insert":
            assert own.start <= a1 <= card.last + 2, told  # an empty line may be either
        elif tag != "equal":
            first = own.start - (edit.field == "note" and not edit.value)
            assert first <= a1, told
            assert a2 <= own.stop, told
    assert old_rows[: own.start - 1] == new_rows[: own.start - 1], told
    n_after = len(old_rows) - card.last - 1
    assert old_rows[len(old_rows) - n_after :] == new_rows[len(new_rows) - n_after :], told
    assert comments(text) == comments(new), told


def assert_read_as_asked(before: Reading, file: Path, new: str, edit: Drawn, told: str) -> None:
    """Let the script's reader find what was typed, and all else as it was."""
    after = read(file, new)
    card = read_cards(new).at(edit.line)
    if card.kind in {"part", "group"}:
        assert len(list(after.script.blocks())) == len(list(before.script.blocks())), told
        return
    if block_at(before.script, edit.line) is None:  # it could not be read before
        return
    assert same_but(before, after, edit.line) == "", told
    found = block_at(after.script, edit.line)
    assert found is not None, told
    block = found[1]
    if edit.field == "words":
        piece = card.piece(edit.piece)
        assert piece is not None
        words = card_words(edit.value)
        lines = dict(paragraphs(block))
        if piece.kind != "turn":
            assert card_words(lines[piece.line]) == words, told
        else:
            assert isinstance(block, Prose) or lines, told
    elif edit.piece == "":
        meant = value_meant(edit.field, edit.value)
        if meant != "not looked at" and value_found(block, edit.field) is not None:
            assert value_found(block, edit.field) == meant, told


def assert_bytes_stay(text: str, new: str, dice: random.Random, folder: Path, told: str) -> None:
    """On the disk, with any line ends and mark, the other lines keep every byte."""
    end = dice.choice(["\n", "\r\n", "\r"])
    mark = dice.choice([b"", b"\xef\xbb\xbf"])
    file = folder / "one.md"
    file.write_bytes(mark + text.replace("\n", end).encode())
    shelf = Shelf(folder)
    (test,) = shelf.tests()
    held = shelf.read(test)
    assert held.text == text, told
    shelf.save(test, new, held.mark)
    assert file.read_bytes() == mark + new.replace("\n", end).encode(), told


# ---- single cases -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "field", "value", "expected"),
    [
        ("1. What is 7?", ":words", "What is 8?", "1. What is 8?"),
        ("1. What is 7?  {key=7 }", ":key", "8", '1. What is 7?  {key="8" }'),
        ("1. What is 7? {key=7}", ":key", "", "1. What is 7?"),
        ("1. What is 7? {.withdrawn key=7 marks=2}", ":key", "",
         "1. What is 7? {.withdrawn marks=2}"),
        ("1. What is 7? {key=7 marks=2}", ":key", "", "1. What is 7? {marks=2}"),
        ("1. What is 7? {key=7}", ":marks", "2", '1. What is 7? {key=7 marks="2"}'),
        ("1. What is 7?", ":withdrawn", "yes", "1. What is 7? {.withdrawn}"),
        ("1. What is 7? <!-- seven --> {key=7}", ":words", "What is 9?",
         "1. What is 9? <!-- seven --> {key=7}"),
        ('1. It costs [£2.40]{say="two forty"} now.', ":words", "It costs £2.40 today.",
         '1. It costs [£2.40]{say="two forty"} today.'),
        ('1. It costs [£2.40]{say="two forty"} now.', ":words", "It costs £3.40 now.",
         "1. It costs £3.40 now."),
        ('1. In [1905]{as="year"} it fell.', ":words", "In 1906 it fell.",
         '1. In [1906]{as="year"} it fell.'),
        ('You have [six seconds]{states="answer-time"}.', ":words", "You have nine seconds.",
         'You have [nine seconds]{states="answer-time"}.'),
        ("Stop. [2 s]{.pause} Turn over.", ":words", "Stop. Turn over.", "Stop. Turn over."),
        ("Stop. [2 s]{.pause} Turn over.", ":words", "Stop now. ‹pause 2 s› Turn over.",
         "Stop now. [2 s]{.pause} Turn over."),
        ("Stop. Turn over.", ":words", "Stop. ‹pause 3 s› Turn over.",
         "Stop. [3 s]{.pause} Turn over."),
        ("1. One two\n    three four.", ":words", "One two\nthree five.",
         "1. One two\n    three five."),
        ("1. One two.", ":words", "One two.\nAnd three.", "1. One two.\n    And three."),
        ("1. What is 7?", ":words", "What is {3*4}?", "1. What is \\{3\\*4\\}?"),
        ("Do not open [1/8]{say=x} it.", ":words", "Do **not open 1/8** it.",
         "Do **not open [1/8]{say=x}** it."),
        ("Do **not** go.", ":words", "Do not go.", "Do not go."),
        ("Well.", ":words", "1945. That was it.", "1945\\. That was it."),
        ("1. Which?\n\n    - A. wood\n    - B. tin", "B:words", "1. iron",
         "1. Which?\n\n    - A. wood\n    - B. 1\\. iron"),
        ("::: stop {for=30s}\nAsk now.\n:::", ":for", "20 s",
         '::: stop {for="20 s"}\nAsk now.\n:::'),
        ("::: stop {for=30s}\nAsk now.\n:::", ":for", "", "::: stop\nAsk now.\n:::"),
        ("1. Read.\n\n    ::: sheet\n    one\n    two\n    :::", "sheet:note", "one\nthree",
         "1. Read.\n\n    ::: sheet\n    one\n    three\n    :::"),
        ('1. Read. {key="x"}\n\n    ::: sheet\n    one\n    :::', "sheet:note", "",
         '1. Read. {key="x"}'),
        ("1. Read.", ":sheet", "one\ntwo", "1. Read.\n\n    ::: sheet\n    one\n    two\n    :::"),
        ("1. Read.", ":key", "a {2} set", "1. Read.\n\n    ::: key\n    a \\{2\\} set\n    :::"),
        ('1. Two parts.\n\n    - a. How much? {key="1"}\n    - b. How many?', "a:marks", "2",
         '1. Two parts.\n\n    - a. How much? {key="1" marks="2"}\n    - b. How many?'),
    ],
)  # fmt: skip
def test_one_field(body: str, field: str, value: str, expected: str) -> None:
    """Written down by hand: the text after a field was changed."""
    piece, _, name = field.partition(":")
    text = f"{HEAD}{body}\n\nThe end.\n"

    assert changed(text, 7, {(piece, name): value}) == f"{HEAD}{expected}\n\nThe end.\n"


def test_several_fields_at_once() -> None:
    """A form sends all of its fields; those that are as they were change nothing."""
    text = f'{HEAD}1. What is 7 times 8? {{key="56" sheet="7 × 8"}}\n'
    same = {("", "words"): "What is 7 times 8?", ("", "key"): "56", ("", "marks"): ""}

    assert changed(text, 7, same) == text
    new = changed(text, 7, same | {("", "words"): "What is 7 times 9?", ("", "key"): "63"})
    assert new == text.replace("8?", "9?").replace("56", "63")


@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        (8, ("", "words"), "There is no such card."),
        (7, ("p1", "words"), "no such paragraph"),
        (7, ("", "words"), "   "),
        (7, ("", "for"), "2 s"),
        (7, ("", "no-such"), "x"),
        (7, ("", "withdrawn"), "perhaps"),
    ],
)
def test_what_a_card_cannot_do_is_refused(line: int, field: tuple[str, str], value: str) -> None:
    """Said, and nothing changed."""
    with pytest.raises(CardError):
        changed(f"{HEAD}1. What is 7?\n", line, {field: value})


@pytest.mark.parametrize(
    ("field", "value", "expected"),
    [
        ("title", "B: new", 'title: "B: new"'),
        ("language", "en-US", "language: 'en-US' # here"),
        ("answer-time", "12 s", 'answer-time: "12 s"'),
        ("readings", "3", "readings: 3"),
        ("announce", "Number {number}.", 'announce: "Number {number}."'),
    ],
)
def test_settings(field: str, value: str, expected: str) -> None:
    """Written down by hand: one line changes, and keeps its quotation marks and comment."""
    rows = ["---", "title: A # title", "language: 'en-GB' # here", 'answer-time: "9 s"', "tones:"]
    head = "\n".join([*rows, "  x: {frequency: 660 Hz, length: 1 s}", "---", "", ""])
    text = f"{head}1. One?\n"

    new = changed(text, 1, {("", field): value})

    assert expected in new
    old_rows, rows = text.split("\n"), new.split("\n")
    n_more = len(rows) - len(old_rows)
    assert n_more == (field in {"readings", "announce"})
    assert sum(a != b for a, b in zip(old_rows, rows, strict=False)) <= 1 or n_more
    assert read(Path("x.md"), new).script.settings.title == (value if field == "title" else "A")
    if n_more:
        assert changed(new, 1, {("", field): ""}) == text


@pytest.mark.parametrize("field", ["title", "language", "tones", "no-such"])
def test_settings_that_a_card_cannot_change(field: str) -> None:
    """What a test needs stays, and lists are for the text."""
    with pytest.raises(CardError):
        changed(f"{HEAD}1. One?\n", 1, {("", field): "" if field in {"title", "language"} else "x"})


def test_every_block_has_a_card() -> None:
    """Every line of the script with every construct lies in a card, the settings or a comment."""
    text = WIDE.read_text("utf-8")
    cards = read_cards(text)
    covered = {line for one in cards.cards for line in range(one.first, one.last + 1)}
    rows = text.split("\n")
    left = [
        row
        for line, row in enumerate(rows)
        if line not in covered and line > cards.settings_end and row.strip()
    ]

    assert [row for row in left if not row.startswith("<!--")] == []
    assert {one.kind for one in cards.cards} >= {
        "settings", "part", "group", "instruction", "question", "passage", "again", "stop",
        "page-turn", "staff-note",
    }  # fmt: skip
    assert [one.text for one in cards.cards if one.kind == "text"] == []
