"""The quick reading, which uses what was read before, agrees with the whole one, which counts."""

from __future__ import annotations

import random
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import msgspec
import pytest
from pausewright.desk.messages import Look
from pausewright.desk.room import Room, _Read
from pausewright.desk.work import look
from pausewright.wording import kept_readings
from support.desks.folder import GOOD
from support.edits.draw import draw
from support.event_loops import run_apart

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.desk.messages import Looked

N_EDITS: Final = 40
WORDS: Final = (
    "1905", "£1.75", "6/4", "½", "3 m", "Dr.", "No. 4", "read", "lead", "$x^2$", "\\$", "{", "]",
    "☃", "12:30", "GCSE", '[1905]{as="year"}', "[de nada]{lang=es}", "**not**", "0", "H2O",
    "zorb",
)  # fmt: skip
"""Of which some are doubtful, some have no words, and some break what stands around them."""
SETTINGS: Final = (
    "zero: zero", "zero: oh", "voice: joe", "language: en-US", "readings: 3", "no-such: 1",
    "words: {zorb: {say: zed orb}}", "words: {zorb: {say: zero 0 1905}, read: {say: red}}",
    "wording: {caption-figures: words-to-ten}", 'announce: "Number {number} of 1905."',
)  # fmt: skip


def edited(text: str, rng: random.Random) -> str:
    """Return a text with one edit, as somebody makes it in a card or in the text."""
    rows = text.split("\n")
    at = rng.randrange(1, len(rows))
    match rng.randrange(8):
        case 0:
            del rows[at]
        case 1:
            rows.insert(at, rows[rng.randrange(1, len(rows))])
        case 2:
            other = rng.randrange(1, len(rows))
            rows[at], rows[other] = rows[other], rows[at]
        case 3:
            setting = rng.choice(SETTINGS)
            name = setting.partition(":")[0]
            rows = [row for row in rows if not row.startswith(f"{name}:")]
            rows.insert(1, setting)
        case 4:
            rows.insert(at, "")
        case _:
            words = rows[at].split(" ")
            place = rng.randrange(len(words) + 1)
            words[place : place + rng.randrange(2)] = [rng.choice(WORDS)]
            rows[at] = " ".join(words)
    return "\n".join(rows)


def states(seed: int) -> list[str]:
    """Return the states of a test that is edited again and again; some edits are taken back."""
    rng = random.Random(seed)  # noqa: S311  no secret
    found = [draw(seed).written() if seed % 2 else GOOD]
    for _ in range(N_EDITS):
        base = found[-1] if rng.random() < 0.5 else rng.choice(found)
        found.append(edited(base, rng))
    return found


@pytest.mark.parametrize("seed", range(6))
def test_quick_and_whole_readings_agree(tmp_path: Path, seed: int) -> None:
    """Whatever was read before: problems, what is said, what is in force, versions, edition."""
    script = tmp_path / "one.md"
    texts = states(seed)

    def read(text: str, *, is_whole: bool) -> Looked:
        script.write_text(text, encoding="utf-8")
        return look(Look(str(script), str(tmp_path / "out"), is_whole))

    quick = [read(text, is_whole=False) for text in texts]
    whole = [read(text, is_whole=True) for text in texts]

    assert quick == whole
    assert any(one.versions for one in quick)
    assert sum(one != other for one, other in pairwise(quick)) > N_EDITS / 2


def test_the_whole_reading_uses_nothing_that_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is kept is wrong here: the quick reading tells it on, the whole one does not."""
    script = tmp_path / "one.md"
    script.write_text(GOOD, encoding="utf-8")
    ask = Look(str(script), str(tmp_path / "out"))
    right = look(ask)
    lost = kept_readings.Kept(kept_readings.Spoken("lost", "lost", "lost"))
    with monkeypatch.context() as planted:
        planted.setattr(
            kept_readings.Ways, "keep", lambda ways, key, _: ways.texts.update({key: lost})
        )
        kept_readings.forget_readings()
        look(ask)

    assert look(ask) != right
    assert look(Look(ask.script, ask.out, is_whole=True)) == right
    assert look(ask) == right


def test_where_the_two_differ_the_whole_one_is_shown(tmp_path: Path) -> None:
    """And the page is told so; where they agree nothing changes."""
    (tmp_path / "one.md").write_text(GOOD, encoding="utf-8")
    room = Room(tmp_path)
    (test,) = room.shelf.tests()

    async def told() -> tuple[Looked | None, bool, bool, Looked | None]:
        right = await room.looked(test, 60)
        is_other = await room.whole(test, 60)
        read = room._read[test.id]
        wrong = msgspec.structs.replace(read.looked, title="Not read so", said=())
        room._read[test.id] = _Read(read.written, read.files, wrong, read.at_s)
        return right, is_other, await room.whole(test, 60), room.known(test)

    try:
        right, is_other, was_wrong, shown = run_apart(told())
    finally:
        room.end()

    assert right is not None
    assert (is_other, was_wrong) == (False, True)
    assert shown == right
    assert room._is_doubted


def test_a_file_that_was_read_is_looked_at_again(tmp_path: Path) -> None:
    """What a test names is part of what was read, though it is no text of the folder."""
    sounds = tmp_path / "sounds"
    sounds.mkdir()
    tone = sounds / "a.wav"
    tone.write_bytes(b"no sound")
    text = GOOD.replace("The test is over.", "![a bell](sounds/a.wav)\n\nThe test is over.")
    (tmp_path / "one.md").write_text(text, encoding="utf-8")
    room = Room(tmp_path)
    (test,) = room.shelf.tests()

    async def known() -> tuple[Looked | None, Looked | None]:
        first = await room.looked(test, 60)
        tone.write_bytes(b"no sound either")
        return first, room.known(test)

    try:
        first, then = run_apart(known())
    finally:
        room.end()

    assert first is not None
    assert str(tone) in first.opened
    assert then is None
