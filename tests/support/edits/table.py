"""The table of edits: each construct, and how it is edited."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from support.edits.draw import draw
from support.edits.edit import (
    ASKED,
    HEARD,
    SECONDS,
    SOUNDING,
    Edit,
    answer_s,
    changed_answer_time,
    content_aspects,
    is_announced,
    n_readings,
    new_instruction,
    new_question,
    other,
)
from support.edits.model import Block, Test, sentence

if TYPE_CHECKING:
    from collections.abc import Callable

EDITS: dict[str, Callable[[Edit], bool]] = {}
"""Each edit by the construct that it is of; False: the script has none."""


def edit(name: str) -> Callable[[Callable[[Edit], bool]], Callable[[Edit], bool]]:
    """Put an edit into the table."""

    def put(function: Callable[[Edit], bool]) -> Callable[[Edit], bool]:
        EDITS[name] = function
        return function

    return put


def of_question(
    name: str, wanted: Callable[[Test, Block], bool], change: Callable[[Edit, Block], None]
) -> None:
    """Put an edit of one question into the table."""

    def run(edit: Edit) -> bool:
        block = edit.pick(lambda q: wanted(edit.test, q), *ASKED)
        if block is None:
            return False
        change(edit, block)
        return True

    EDITS[name] = run


def plain_heard(_: Test, q: Block) -> bool:
    """Say whether a question is heard as it is written."""
    return q.is_heard and q.inner != "pattern"


# ---- questions


def _text(edit: Edit, q: Block) -> None:
    q.text = (
        "saddle" if q.inner == "pattern" else f"{sentence(edit.rng, asks=True)} {_rest(q)}".strip()
    )
    edit.say(q, *content_aspects(q))


def _rest(q: Block) -> str:
    return q.text[q.text.index("[1/4]") :] if q.inner == "spans" else ""


of_question("question: words", lambda _t, _q: True, _text)


def _key(edit: Edit, q: Block) -> None:
    q.key = other(edit.rng, q.key, ("A", "B", "C")) if q.inner == "options" else f"new {q.key}"
    edit.touch(q, "key")


of_question("question: key", lambda _t, q: q.inner != "subs", _key)
of_question("sub-question: key", lambda _t, q: q.inner == "subs", _key)


def _alternative(edit: Edit, q: Block) -> None:
    q.key += " | or this"
    edit.touch(q, "key")


of_question("question: alternative", lambda _t, q: q.inner not in {"subs", "options"}, _alternative)


def _marks(edit: Edit, q: Block) -> None:
    q.attrs["marks"] = "3"
    edit.touch(q, "key", *(() if q.kind == "practice question" else ("paper",)))


of_question(
    "question: marks", lambda _t, q: q.inner != "subs" and "withdrawn" not in q.words, _marks
)


def _lines(edit: Edit, q: Block) -> None:
    q.attrs["lines"] = "4"
    edit.touch(q, "paper")


of_question(
    "question: lines",
    lambda _t, q: q.inner not in {"subs", "options"} and "withdrawn" not in q.words,
    _lines,
)


def _answer_time(edit: Edit, q: Block) -> None:
    new = other(edit.rng, q.attrs.get("answer-time", edit.test.settings["answer-time"]), SECONDS)
    changed_answer_time(edit, q, new)
    q.attrs["answer-time"] = new


of_question("question: answer time", lambda _t, q: "printed" not in q.words, _answer_time)


def _readings(edit: Edit, q: Block) -> None:
    before = n_readings(edit.test, q)
    now = int(other(edit.rng, str(before), ("1", "2", "3")))
    q.attrs["readings"] = str(now)
    is_again_said = edit.test.settings["again"] != "none" and (before == 1) != (now == 1)
    edit.touch(q, "sound", *(("words",) if is_again_said else ()))


def _is_read(_: Test, q: Block) -> bool:
    return q.is_heard and q.inner not in {"pattern", "passage", "dictation"}


of_question("question: readings", _is_read, _readings)


def _between(edit: Edit, q: Block) -> None:
    q.attrs["between-readings"] = "7 s"
    edit.touch(q, *(("sound",) if n_readings(edit.test, q) > 1 else ()))


of_question("question: between readings", _is_read, _between)


def _sheet(edit: Edit, q: Block) -> None:
    q.sheet = f"look at {sentence(edit.rng)}"
    edit.touch(q, "paper")


of_question("question: sheet", lambda _t, q: "withdrawn" not in q.words, _sheet)


def _option(edit: Edit, q: Block) -> None:
    at = edit.rng.randrange(len(q.more))
    q.more[at] = sentence(edit.rng)
    edit.say(q, *HEARD, "paper", *(("key",) if q.key == "ABC"[at] else ()))


of_question("question: answer to choose", lambda _t, q: q.inner == "options", _option)


def _more(edit: Edit, q: Block) -> None:
    q.more[edit.rng.randrange(len(q.more))] = sentence(edit.rng, asks=q.inner == "subs")
    edit.say(q, *HEARD)


def _with_inner(inner: str) -> Callable[[Test, Block], bool]:
    return lambda _, q: q.inner == inner


for _inner, _name in (
    ("text", "question: further paragraph"), ("subs", "sub-question: words"),
    ("passage", "question: passage in it"), ("dictation", "question: dictation in it"),
):  # fmt: skip
    of_question(_name, _with_inner(_inner), _more)


def _note(edit: Edit, q: Block) -> None:
    at = edit.rng.randrange(len(q.notes))
    to, text = q.notes[at]
    q.notes[at] = to, f"{text} More."
    edit.touch(q, *{"": ("key", "staff"), "marker": ("key",), "invigilator": ("staff",)}[to])


of_question("question: staff note", lambda _t, q: bool(q.notes), _note)


def _attr(name: str, value: str, *aspects: str) -> Callable[[Edit, Block], None]:
    def change(edit: Edit, q: Block) -> None:
        q.attrs[name] = value
        edit.say(q, *aspects)

    return change


def _heard_at_all(_: Test, q: Block) -> bool:
    return "printed" not in q.words


def _speech(name: str, value: str) -> Callable[[Edit, Block], None]:
    def change(edit: Edit, q: Block) -> None:
        _attr(name, value, "sound")(edit, q)
        if is_answered_aloud(edit, q):
            edit.touch("answers read aloud", "sound")

    return change


def is_answered_aloud(edit: Edit, q: Block) -> bool:
    """Say whether the answer of a question is read aloud, in its own voice."""
    has_own = q.kind == "question" and q.inner != "subs"
    return has_own and any(part.is_answers for part in edit.test.parts)


of_question("question: voice", lambda _t, q: q.is_heard, _speech("voice", "joe"))
of_question("question: take", lambda _t, q: q.is_heard, _speech("take", "2"))
of_question("question: pace", lambda _t, q: q.is_heard, _speech("pace", "90 %"))


def _captions(edit: Edit, q: Block) -> None:
    q.attrs["captions"], q.attrs["captions-reason"] = "everything", "agreed"
    edit.say(q, "words")


of_question("question: captions", lambda _t, q: q.is_heard, _captions)


def _announce(edit: Edit, q: Block) -> None:
    q.attrs["announce"] = "Listen now."
    edit.say(q, *HEARD)


of_question("question: announcement", plain_heard, _announce)


def _span(old: str, new: str, *aspects: str) -> Callable[[Edit, Block], None]:
    def change(edit: Edit, q: Block) -> None:
        q.text = q.text.replace(old, new)
        edit.say(q, *aspects)

    return change


def _spans(_: Test, q: Block) -> bool:
    return q.inner == "spans"


of_question("span: say", _spans, _span("one quarter", "a quarter", "sound"))
of_question("span: shown", _spans, _span("large", "huge", "words"))
of_question("span: pause", _spans, _span("[chime]{.tone}", "[chime]{.tone} [2 s]{.pause}", "sound"))
of_question("span: tone", _spans, _span("[chime]{.tone}", "", *HEARD))
of_question("span: spelt", _spans, _span("[big]{", "[yes]{.spell} [big]{", *HEARD))


def _withdraw(edit: Edit, q: Block) -> None:
    q.words ^= {"withdrawn"}
    edit.touch(q, *HEARD, "paper", "key")
    for again in edit.test.blocks("again"):
        if q in again.refs:
            edit.touch(again, *HEARD)


of_question(
    "question: withdrawn",
    lambda t, q: "printed" not in q.words and not any(q in a.refs for a in t.blocks("again")),
    _withdraw,
)


@edit("question: added")
def _add(edit: Edit) -> bool:
    group, at, block = new_question(edit.rng, edit.test)
    group.blocks.insert(at, block)
    edit.added.append(block)
    return True


@edit("question: removed")
def _remove(edit: Edit) -> bool:
    test = edit.test
    named = {q for b in test.blocks("again", "passage") for q in b.refs}
    block = edit.pick(lambda q: q not in named, "question")
    if block is None or len(test.blocks("question")) < 2:
        return False
    edit.removed.append(edit.names[block])
    test.group_of(block).blocks.remove(block)
    return True


@edit("question: changed places with the next")
def _swap(edit: Edit) -> bool:
    pairs = [
        (group.blocks, at)
        for group in edit.test.groups()
        for at in range(len(group.blocks) - 1)
        if group.blocks[at].is_question and group.blocks[at + 1].is_question
    ]
    if not pairs:
        return False
    blocks, at = edit.rng.choice(pairs)
    if any(
        {blocks[at], blocks[at + 1]} & set(b.refs) for b in edit.test.blocks("again", "passage")
    ):
        return False
    blocks[at], blocks[at + 1] = blocks[at + 1], blocks[at]
    return True


@edit("block: moved past a question")
def _move(edit: Edit) -> bool:
    kinds = ("instruction", "stop", "page turn", "dictation")
    pairs = [
        (group.blocks, at)
        for group in edit.test.groups()
        for at in range(len(group.blocks) - 1)
        if group.blocks[at].kind in kinds and group.blocks[at + 1].is_question
    ]
    if not pairs:
        return False
    blocks, at = edit.rng.choice(pairs)
    edit.moved.add(blocks[at])
    blocks[at], blocks[at + 1] = blocks[at + 1], blocks[at]
    return True


# ---- other blocks


def of_block(name: str, kind: str, change: Callable[[Edit, Block], None]) -> None:
    """Put an edit of a block that is no question into the table."""

    def run(edit: Edit) -> bool:
        block = edit.pick(lambda b: "@total" not in b.text, kind)
        if block is None:
            return False
        change(edit, block)
        return True

    EDITS[name] = run


def _block_text(*aspects: str) -> Callable[[Edit, Block], None]:
    def change(edit: Edit, block: Block) -> None:
        block.text = sentence(edit.rng)
        edit.touch(block, *aspects)

    return change


def _block_attr(name: str, values: tuple[str, ...], *aspects: str) -> Callable[[Edit, Block], None]:
    def change(edit: Edit, block: Block) -> None:
        block.attrs[name] = other(edit.rng, block.attrs.get(name, ""), values)
        edit.touch(block, *aspects)

    return change


def _block_more(edit: Edit, block: Block) -> None:
    at = edit.rng.randrange(len(block.more))
    kept = block.more[at][:4] if block.kind == "passage" else ""
    block.more[at] = kept + sentence(edit.rng)
    edit.touch(block, *HEARD)


def _speaker(edit: Edit, block: Block) -> None:
    at = edit.rng.randrange(len(block.more))
    name = other(edit.rng, block.more[at][:4], ("Mila", "Otto"))
    block.more[at] = name + block.more[at][4:]
    edit.touch(block, *HEARD)


def _look(edit: Edit, block: Block) -> None:
    block.attrs["announce"], block.attrs["look-time"] = "Listen.", "9 s"
    edit.touch(block, *HEARD)


def _only_silence(edit: Edit, block: Block) -> None:
    for name in ("look-time", "answer-time", "pause-after"):
        block.attrs.pop(name, None)
    block.attrs["look-time"] = f"{edit.rng.randint(50, 99)} s"
    edit.touch(block, "sound")


def _margin_note(edit: Edit, block: Block) -> None:
    block.text = sentence(edit.rng)
    to = block.attrs["to"]
    edit.touch(block, *{"": ("key", "staff"), "marker": ("key",), "invigilator": ("staff",)}[to])


def _rest_break(edit: Edit, block: Block) -> None:
    block.words ^= {"rest"}
    edit.touch(block, "staff")


for _kind in ("instruction", "stop", "page turn", "again"):
    of_block(f"{_kind}: words", _kind, _block_text(*HEARD))
of_block("instruction: look time", "instruction", _only_silence)
of_block("instruction: voice", "instruction", _block_attr("voice", ("joe",), "sound"))
of_block("stop: hold", "stop", _block_attr("for", SECONDS, "sound"))
of_block("stop: rest", "stop", _rest_break)
of_block("page turn: time", "page turn", _block_attr("for", SECONDS, "sound"))
of_block("again: answer time", "again", _block_attr("answer-time", SECONDS, "sound"))
of_block("passage: words", "passage", _block_more)
of_block("passage: speaker", "passage", _speaker)
of_block("passage: readings", "passage", _block_attr("readings", ("1", "2", "3"), "sound"))
of_block("passage: between readings", "passage", _block_attr("between-readings", SECONDS, "sound"))
of_block("passage: turn pause", "passage", _block_attr("turn-pause", ("0.9 s", "1.1 s"), "sound"))
of_block("passage: look time", "passage", _look)
of_block("passage: answer time", "passage", _block_attr("answer-time", SECONDS, "sound"))
of_block("dictation: words", "dictation", _block_more)
of_block("dictation: phrase time", "dictation", _block_attr("phrase-time", SECONDS, "sound"))
of_block("dictation: order", "dictation", _block_attr("order", ("phrases, whole",), "sound"))
of_block("sheet: words", "sheet", _block_text("paper"))
of_block("staff note: words", "staff note", _margin_note)


@edit("instruction: added")
def _add_instruction(edit: Edit) -> bool:
    group, at, block = new_instruction(edit.rng, edit.test)
    group.blocks.insert(at, block)
    edit.added.append(block)
    return True


@edit("block: removed")
def _remove_block(edit: Edit) -> bool:
    kinds = ("stop", "page turn", "passage", "dictation", "again", "sheet", "staff note")
    block = edit.pick(lambda _: True, *kinds)
    if block is None:
        return False
    edit.removed.append(edit.names[block])
    edit.test.group_of(block).blocks.remove(block)
    return True


# ---- headings and settings


@edit("part: title")
def _part_title(edit: Edit) -> bool:
    part = edit.rng.choice(edit.test.parts)
    part.title += " new"
    edit.touch(part, "words", *(("paper",) if edit.printed[part] else ()))
    return True


@edit("group: title")
def _group_title(edit: Edit) -> bool:
    groups = [group for group in edit.test.groups() if group.title]
    group = edit.rng.choice(groups)
    group.title += " new"
    edit.touch(group, "words", *(("paper",) if edit.printed[group] else ()))
    return True


@edit("part: answer time")
def _part_answer_time(edit: Edit) -> bool:
    part = edit.rng.choice([p for p in edit.test.parts if not p.is_answers])
    new = other(edit.rng, edit.test.settings["answer-time"], SECONDS)
    for group in part.groups:
        for block in group.blocks:
            if block.is_question and "answer-time" not in block.attrs:
                changed_answer_time(edit, block, new)
    part.attrs["answer-time"] = new
    return True


@edit("part: voice")
def _part_voice(edit: Edit) -> bool:
    part = edit.rng.choice([p for p in edit.test.parts if not p.is_answers])
    part.attrs["voice"] = "joe"
    for group in part.groups:
        for block in group.blocks:
            if block.is_question and "printed" not in block.words:
                edit.say(block, "sound")
            elif block.kind in SOUNDING and block.kind != "passage":
                edit.touch(block, "sound")
    if any(p.is_answers for p in edit.test.parts):
        keyed = [
            b for g in part.groups for b in g.blocks if b.kind == "question" and b.inner != "subs"
        ]
        edit.touch("answers read aloud", *(("sound",) if keyed else ()))
    return True


def of_setting(name: str, key: str, value: str, touch: Callable[[Edit], None]) -> None:
    """Put an edit of a setting into the table."""

    def run(edit: Edit) -> bool:
        edit.test.settings[key] = value
        touch(edit)
        return True

    EDITS[f"setting: {name}"] = run


def _all_sounds(edit: Edit) -> None:
    for block in edit.test.blocks(*ASKED, *SOUNDING):
        if "printed" not in block.words:
            edit.touch(block, "sound")
    if any(part.is_answers for part in edit.test.parts) and edit.answers:
        edit.touch("answers read aloud", "sound")


def _title(edit: Edit) -> None:
    edit.touch("the title", "words", "paper", "key", "staff")


def _continues(edit: Edit) -> None:
    for block in edit.test.blocks("stop"):
        edit.touch(block, *HEARD)


def _withdrawn_words(edit: Edit) -> None:
    for block in edit.test.blocks(*ASKED):
        if "withdrawn" in block.words:
            edit.touch(block, *HEARD)


def _cue_words(edit: Edit) -> None:
    for block in edit.test.blocks(*ASKED):
        is_cued = edit.test.settings["time-cue"] == "half" and block.is_heard
        if is_cued and answer_s(edit.test, block) > 30:
            edit.touch(block, *HEARD)


def _paragraph_pause(edit: Edit) -> None:
    edit.touch("start, end and the pauses between", "sound")
    for block in edit.test.blocks("stop", "again"):
        edit.touch(block, "sound")
    for block in edit.test.blocks(*ASKED):
        edit.touch(block, *(("sound",) if block.inner == "subs" else ()))
    if any(part.is_answers for part in edit.test.parts) and len(edit.answers) > 1:
        edit.touch("answers read aloud", "sound")


def _announcements(edit: Edit) -> None:
    for block in edit.test.blocks(*ASKED):
        # practice questions have an announcement of their own
        if is_announced(edit.test, block) and (
            block.kind == "question" or edit.was_announced == "none"
        ):
            edit.say(block, *HEARD)


def _of_speakers(edit: Edit) -> None:
    for block in edit.test.blocks("passage"):
        if any(turn.startswith("Otto") for turn in block.more):
            edit.touch(block, "sound")


def _with_tone(edit: Edit) -> None:
    for block in edit.test.blocks(*ASKED):
        if block.inner == "spans":
            edit.say(block, "sound")


def _with_pattern(edit: Edit) -> None:
    for block in edit.test.blocks(*ASKED):
        if block.inner == "pattern":
            edit.say(block, "sound")


of_setting("title", "title", '"Another title"', _title)
of_setting("pace", "pace", "120 words/min", _all_sounds)
of_setting("loudness", "loudness", "loudspeaker", _all_sounds)
of_setting("continues-wording", "continues-wording", '"We go on."', _continues)
of_setting("withdrawn-wording", "withdrawn-wording", '"Skip number {number}."', _withdrawn_words)
of_setting("time-cue-wording", "time-cue-wording", '"Half of it is over."', _cue_words)
of_setting("paragraph-pause", "paragraph-pause", "1.2 s", _paragraph_pause)
of_setting(
    "sheet-head", "sheet-head", "Name, Seat", lambda e: e.touch("the head of the sheet", "paper")
)
of_setting(
    "countdown", "countdown", "shown", lambda e: e.touch("what is shown beside the sound", "words")
)
of_setting(
    "show-time", "show-time", "yes", lambda e: e.touch("what is shown beside the sound", "words")
)
of_setting(
    "test-time",
    "test-time",
    "50 min",
    lambda e: e.touch("times and permissions for staff", "staff"),
)
of_setting("speakers", "speakers", "\n  Mila: {voice: iris}\n  Otto: {voice: iris}", _of_speakers)
of_setting("tones", "tones", "\n  chime: {frequency: 440 Hz, length: 0.6 s}", _with_tone)
of_setting(
    "patterns",
    "patterns",
    '\n  word:\n    - say: "{1}."\n    - pause: 2 s\n    - say: "{1}."',
    _with_pattern,
)


@edit("setting: announce")
def _announce_setting(edit: Edit) -> bool:
    test = edit.test
    edit.was_announced = test.settings["announce"]
    test.settings["announce"] = '"Now number {number}, listen."'
    _announcements(edit)
    return True


@edit("setting: words")
def _word(edit: Edit) -> bool:
    word = edit.rng.choice(("lantern", "bridge", "kettle"))
    edit.test.lexicon[word] = "zimbo"
    for block in edit.test.blocks(*ASKED, *SOUNDING):
        said = [block.text, *(text[4:] if block.kind == "passage" else text for text in block.more)]
        if any(_has_word(text, word) for text in said):
            if block.is_question and block.is_heard:
                edit.say(block, "sound")
            elif not block.is_question:
                edit.touch(block, "sound")
    return True


def _has_word(text: str, word: str) -> bool:
    return word in text.lower().replace("?", " ").replace(".", " ").split()


# ---- what changes nothing


@edit("nothing: comment")
def _comment(edit: Edit) -> bool:
    edit.test.filler = "<!-- a word among ourselves -->"
    return True


@edit("nothing: order of settings")
def _order(edit: Edit) -> bool:
    edit.test.settings = dict(reversed(list(edit.test.settings.items())))
    return True


@edit("nothing: order of attributes")
def _attrs(edit: Edit) -> bool:
    for block in edit.test.blocks():
        block.attrs = dict(reversed(list(block.attrs.items())))
    return True


def edited(seed: int, name: str) -> tuple[str, str, set[tuple[object, ...]]] | None:
    """Return a drawn script before and after an edit, and what must be told; None: it has none."""
    test = draw(seed)
    before = test.written()
    made = Edit(test, random.Random(f"{seed} {name}"))  # noqa: S311  no secret
    if not EDITS[name](made):
        return None
    found = made.truth()
    return before, test.written(), set(found)
