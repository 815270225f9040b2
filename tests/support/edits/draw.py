"""Drawing a whole script to be edited."""

from __future__ import annotations

import random

from support.edits.model import NUMBERS, Block, Group, Part, Test, sentence

INNER = ("", "", "", "text", "options", "subs", "passage", "dictation", "pattern", "spans")
ANNOUNCE = ("none", '"Question {number}."', '"Number {number} of {total}."')
PATTERN = '\n  word:\n    - say: "{1}."\n    - pause: 1 s\n    - say: "{1}."'


def draw(seed: int) -> Test:
    """Return the script of a seed."""
    rng = random.Random(seed)  # noqa: S311  no secret
    settings = {
        "title": f'"Drawn: {rng.choice(NUMBERS)}"', "language": "en-GB", "voice": "iris",
        "accept-voice-language": '"invented for tests"', "captions": "instructions",
        "readings": rng.choice("12"), "between-readings": "2 s",
        "announce": rng.choice(ANNOUNCE), "again": rng.choice(("none", '"Once more."')),
        "answer-time": f"{rng.randint(4, 40)} s", "paragraph-pause": "0.8 s",
        "time-cue": rng.choice(("none", "half")),
        "continues-wording": '"The track goes on."', "time-cue-wording": '"Half is gone."',
        "withdrawn-wording": '"Leave number {number}."',
        "tones": "\n  chime: {frequency: 660 Hz, length: 0.6 s}",
        "speakers": "\n  Mila: {voice: iris}\n  Otto: {voice: joe}",
        "patterns": PATTERN,
    }  # fmt: skip
    test = Test(settings, [])
    if rng.random() < 0.4:
        practice = [_question(rng, "practice question") for _ in range(rng.randint(1, 2))]
        test.parts.append(Part("Practice", [Group("", practice)], is_practice=True))
    for at in range(rng.randint(1, 3)):
        groups = [Group("", _blocks(rng, 2))] if rng.random() < 0.7 else []
        groups += [
            Group(f"Group {rng.choice(NUMBERS)} {at}{n}", _blocks(rng, 4))
            for n in range(rng.randint(1, 2))
        ]
        test.parts.append(Part(f"Part {rng.choice(NUMBERS)} {at}", groups))
    if not test.blocks("question"):
        test.groups()[-1].blocks.append(_question(rng, "question"))
    _refer(rng, test)
    if rng.random() < 0.3:
        settings["use"] = "practice"
        test.parts.append(Part("Answers", [Group("", [_instruction(rng)])], is_answers=True))
    test.parts.append(
        Part(
            "Close",
            [Group("", [Block("instruction", 'There are [@total]{states="questions"} of them.')])],
        )
    )
    return test


def _refer(rng: random.Random, test: Test) -> None:
    """Add what names questions: an `again`, a passage, a statement."""
    asked = [q for q in test.blocks("question") if q.is_heard and q.inner != "subs"]
    last = test.groups()[-1].blocks
    if asked and rng.random() < 0.6:
        refs = sorted(rng.sample(asked, min(len(asked), 2)), key=test.blocks("question").index)
        last.append(Block("again", sentence(rng), refs=refs, attrs={"answer-time": "3 s"}))
    if rng.random() < 0.4:
        named = test.blocks("question")[:2]
        blocks = test.group_of(named[0]).blocks
        where = blocks.index(named[0])
        blocks.insert(where, _passage(rng, refs=named))


def _blocks(rng: random.Random, n_most: int) -> list[Block]:
    found: list[Block] = []
    for _ in range(rng.randint(1, n_most)):
        roll = rng.random()
        if roll < 0.55:
            found.append(_question(rng, "question"))
        else:
            makers = (_instruction, _stop, _turn, _passage, _dictation, _sheet, _note)
            found.append(rng.choice(makers)(rng))
    # a sheet or note after a question would belong to it
    return sorted(found, key=lambda block: block.kind not in {"sheet", "staff note"})


def _question(rng: random.Random, kind: str) -> Block:
    block = Block(kind, sentence(rng, asks=True), inner=rng.choice(INNER))
    block.key = f"{rng.choice(NUMBERS)} {rng.choice(NUMBERS)}"
    inner = block.inner
    if inner == "options":
        block.more, block.key = [sentence(rng) for _ in range(3)], rng.choice("ABC")
    elif inner in {"subs", "dictation"}:
        block.more = [sentence(rng, asks=inner == "subs") for _ in range(2)]
    elif inner in {"text", "passage"}:
        block.more = [sentence(rng)]
    elif inner == "pattern":
        block.attrs["pattern"] = "word"
        block.text = rng.choice(("lantern", "kettle", "pigeon", "rocket"))
    elif inner == "spans":
        block.text = (
            f'{sentence(rng)} [1/4]{{say="one quarter"}} and [big]{{shown="large"}} '
            "[chime]{.tone} "
            f"{sentence(rng)}"
        )
    if inner in {"passage", "dictation"}:
        block.attrs["readings"] = "1"
    if rng.random() < 0.15 and inner == "":
        block.words.add("printed")
    elif rng.random() < 0.08 and inner == "":
        block.words.add("withdrawn")
    if rng.random() < 0.2:
        block.sheet = f"write {rng.choice(NUMBERS)}"
    if rng.random() < 0.3:
        block.notes.append((rng.choice(("", "invigilator", "marker")), sentence(rng)))
    return block


def question(rng: random.Random) -> Block:
    """Return a plain question."""
    return Block("question", sentence(rng, asks=True), key=rng.choice(NUMBERS))


def instruction(rng: random.Random) -> Block:
    """Return a plain instruction."""
    return Block("instruction", sentence(rng))


def _instruction(rng: random.Random) -> Block:
    block = instruction(rng)
    name = rng.choice(("", "look-time", "answer-time", "pause-after"))
    if name:
        block.attrs[name] = f"{rng.randint(2, 9)} s"
    return block


def _stop(rng: random.Random) -> Block:
    block = Block("stop", sentence(rng), attrs={"for": f"{rng.randint(5, 30)} s"})
    block.words |= {"rest"} if rng.random() < 0.3 else set()
    return block


def _turn(rng: random.Random) -> Block:
    return Block("page turn", sentence(rng), attrs={"for": f"{rng.randint(3, 9)} s"})


def _passage(rng: random.Random, refs: list[Block] | None = None) -> Block:
    turns = [f"{rng.choice(('Mila', 'Otto'))}{sentence(rng)}" for _ in range(rng.randint(2, 3))]
    attrs = {"readings": "2", "between-readings": "4 s", "answer-time": f"{rng.randint(5, 20)} s"}
    return Block("passage", more=turns, attrs=attrs, refs=refs or [])


def _dictation(rng: random.Random) -> Block:
    attrs = {"phrase-time": f"{rng.randint(2, 6)} s", "answer-time": "5 s"}
    return Block("dictation", more=[sentence(rng) for _ in range(2)], attrs=attrs)


def _sheet(rng: random.Random) -> Block:
    return Block("sheet", sentence(rng))


def _note(rng: random.Random) -> Block:
    to = rng.choice(("", "invigilator", "marker"))
    return Block("staff note", sentence(rng), attrs={"to": to})
