"""What the grammar's constructs mean: scripts of a few lines and the model that comes out."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Again,
    ByHand,
    Dictation,
    Emphasis,
    Note,
    Options,
    PageTurn,
    Passage,
    Pause,
    Prose,
    Question,
    Sound,
    Span,
    Stop,
    SubQuestion,
    Text,
    Tone,
)
from pausewright.script.reader import read
from support.scripts.script_cases import FILE, HEAD, TAIL, whole

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.script.model import Block, Script


def script(text: str, settings: str = "") -> Script:
    """Return the script of a body, which may hold constructs that are not built yet."""
    whole_text = whole(text)
    if settings:
        whole_text = whole_text.replace("answer-time: 5 s\n", settings, 1)
    reading = read(FILE, whole_text)
    wrong = [p for p in reading.problems if p.severity == "error"]
    assert wrong == []
    return reading.script


def blocks(text: str, settings: str = "") -> list[Block]:
    """Return the blocks of a body without the closing sentence."""
    return [block for _, _, block in script(text, settings).blocks()][:-1]


def one(text: str, settings: str = "") -> Any:
    """Return the only block of a body."""
    (block,) = blocks(text, settings)
    return block


def words(prose: object) -> str:
    """Return the words of a paragraph on one line."""
    assert isinstance(prose, Prose)
    return " ".join(plain(prose.inlines).split())


# ---- A: the five rules ----------------------------------------------------------------------


def test_rule_1_braces_describe_what_they_end() -> None:
    """Braces at the end are the paragraph's; directly after a bracket they are the span's."""
    prose = one('Take [1/8]{say="one eighth"} of it. {pause-after="2 s"}')

    assert prose.pause_after_s.value == 2
    assert [n.say for n in prose.inlines if isinstance(n, Span)] == ["one eighth"]
    assert words(prose) == "Take 1/8 of it."


def test_rule_1_a_blank_after_a_sound_makes_the_difference() -> None:
    """`![…](…){…}` describes the sound, `![…](…) {…}` the paragraph."""
    ours = one('![bell](bell.wav){pause-after="2 s"}')
    paragraphs = one('![bell](bell.wav) {pause-after="2 s"}')

    assert (ours.pause_after_s, ours.inlines[0].pause_after_s) == (None, 2)
    assert (paragraphs.pause_after_s.value, paragraphs.inlines[0].pause_after_s) == (2, None)


def test_rule_2_a_yes_a_value_and_a_no() -> None:
    """`{.word}` is a yes for all below; `name="no"` undoes it."""
    found = script('# Test {.printed}\n\n1. One?\n2. Two? {printed="no"}\n')

    assert [q.printed for q in found.questions()] == [True, False]


def test_rule_3_escapes_print_braces_brackets_and_colons() -> None:
    r"""`\{`, `\}`, `\[`, `\]` and backquotes are text when escaped."""
    assert (
        words(one(r"A set \{2, 4\}, a \[list\], a \`mark\`."))
        == "A set {2, 4}, a [list], a `mark`."
    )


def test_rule_4_four_blanks_belong_to_the_question_up_to_a_thousand() -> None:
    """Contents stand at four blanks for question 9, 10, 99, 100 and 1000 alike (D 1)."""
    body = "".join(f"{i}. Number {i}?\n" for i in range(1, 1000))
    body += "1000. The last?\n\n    Think.\n\n    ::: key\n    ZEBRA\n    :::\n"
    last = list(script(body).questions())[-1]

    assert [words(p) for p in last.content] == ["The last?", "Think."]
    assert last.key is not None
    assert last.key.text == "ZEBRA"


@pytest.mark.parametrize("first", [9, 10, 99, 100])
def test_rule_4_at_every_width_of_number(first: int) -> None:
    """A question's number may have one, two or three figures: the indent is four."""
    body = "".join(f"{i}. Number {i}?\n" for i in range(1, first))
    body += f"{first}. Which?\n\n    - A. red\n    - B. blue\n\n    ::: sheet\n    18\n    :::\n"
    last = list(script(body).questions())[-1]

    assert [o.letter for o in last.content[1].options] == ["A", "B"]  # type: ignore[union-attr]
    assert last.sheet is not None


def test_rule_5_headings_notes_and_comments_are_not_spoken() -> None:
    """Only paragraphs and questions are prose; notes keep their text for paper."""
    found = blocks(
        "# Part\n\n## Group\n\n::: sheet\n18\n:::\n\n::: staff-note {to=reader}\nSlowly.\n:::\n\n"
        "<!-- nobody -->\n\nHello.\n"
    )

    assert [type(b).__name__ for b in found] == ["Note", "Note", "Prose"]
    assert words(found[2]) == "Hello."
    assert isinstance(found[1], Note)
    assert found[1].to == ("reader",)


# ---- A: constructs --------------------------------------------------------------------------


def test_parts_and_groups() -> None:
    """`#` opens a part, `##` a group in it; both are titles."""
    found = script("Before.\n\n# One\n\n## First\n\nA.\n\n## Second\n\nB.\n\n# Two\n\nC.\n")

    assert [(p.title, [g.title for g in p.groups]) for p in found.parts] == [
        ("", [""]),
        ("One", ["", "First", "Second"]),
        ("Two", [""]),
    ]


def test_numbers_run_on_or_start_again_with_each_part() -> None:
    """`numbering: by-part` restarts; otherwise numbers run on through parts."""
    body = "# One\n\n1. A?\n\n# Two\n\n{}. B?\n"

    assert [q.number for q in script(body.format(2)).questions()] == [1, 2]
    by_part = script(body.format(1), "answer-time: 5 s\nnumbering: by-part\n")
    assert [q.number for q in by_part.questions()] == [1, 1]


def test_practice_has_its_own_count_and_announcement() -> None:
    """Practice questions count for themselves and are announced as practice (D 13)."""
    found = script(
        "# Warm-up {.practice}\n\n1. A?\n2. B?\n\n# Test\n\n1. C?\n",
        'answer-time: 5 s\nannounce: "Number {number}."\n',
    )

    assert [(q.number, q.label, q.practice) for q in found.questions()] == [
        (1, "Practice 1", True),
        (2, "Practice 2", True),
        (1, "1", False),
    ]
    assert [q.delivery.announce.value for q in found.questions()] == [
        "Practice question {number}.",
        "Practice question {number}.",
        "Number {number}.",
    ]


def test_more_text_options_and_their_order() -> None:
    """Indented paragraphs and options follow the question in order."""
    question = one(
        "1. Which?\n\n    Think well.\n\n    - A. every week\n    - B. every month\n\n    Choose.\n"
    )

    assert [type(c).__name__ for c in question.content] == ["Prose", "Prose", "Options", "Prose"]
    assert [(o.letter, words(o.prose)) for o in question.content[2].options] == [
        ("A", "every week"),
        ("B", "every month"),
    ]


def test_a_picture_may_be_an_option() -> None:
    """An answer may be a picture; its description is kept for the paper (D 5)."""
    question = one(
        "1. Which?\n\n    - A. ![a rising line](g1.svg)\n    - B. ![a level line](g2.svg)"
    )
    options = question.content[1]

    assert isinstance(options, Options)
    assert [o.prose.inlines[0].description for o in options.options] == [  # type: ignore[union-attr]
        "a rising line",
        "a level line",
    ]


def test_sub_questions_own_what_stands_at_eight_blanks() -> None:
    """At eight blanks a block is the sub-question's, at four the question's (D 1)."""
    question = one(
        "1. About it. {.printed}\n\n"
        '    - a. Beats? {key="3" marks="2"}\n'
        "    - b. Instrument?\n\n"
        "        ::: key\n        viola\n        :::\n\n"
        "    ::: sheet\n    a picture\n    :::\n"
    )
    subs = [c for c in question.content if isinstance(c, SubQuestion)]

    assert [(s.letter, s.key.text if s.key else "", s.marks) for s in subs] == [
        ("a", "3", 2),
        ("b", "viola", 1),
    ]
    assert question.sheet.text == "a picture"


@pytest.mark.parametrize("lead", ["", "   ", "    "])
def test_ownership_of_blocks_below_a_question(lead: str) -> None:
    """Sheet, key and staff note are the question's, indented or not, until a paragraph comes."""
    body = f"1. One?\n\n{lead}::: key\n{lead}9\n{lead}:::\n\n{lead}::: sheet\n{lead}18\n{lead}:::\n"
    question = one(body + f"\n{lead}::: staff-note\n{lead}Slowly.\n{lead}:::\n")

    assert (question.key.text, question.sheet.text) == ("9", "18")
    assert [n.text for n in question.notes] == ["Slowly."]


def test_a_sheet_before_the_first_question_is_the_groups() -> None:
    """A sheet that stands before a group's first question belongs to the group."""
    found = blocks("## Group\n\n::: sheet\n| a |\n|---|\n| 1 |\n:::\n\n1. One?\n")

    assert [type(b).__name__ for b in found] == ["Note", "Question"]
    assert isinstance(found[1], Question)
    assert found[1].sheet is None


def test_readings_and_the_list_between_them() -> None:
    """A list of silences has exactly readings − 1 values; one value serves all."""
    listed = one('1. One? {readings="3" between-readings="20 s, 30 s"}')
    single = one('1. One? {readings="3" between-readings="20 s"}')

    assert [listed.delivery.between_s(r) for r in (1, 2)] == [20, 30]
    assert [single.delivery.between_s(r) for r in (1, 2)] == [20, 20]


@pytest.mark.parametrize(
    ("written", "meant"),
    [("12 s", Fraction(12)), ("none", None), ("by hand", ByHand()), ("1.5 min", Fraction(90))],
)
def test_answer_times(written: str, meant: object) -> None:
    """An answer time is a time, `none` or `by hand`."""
    assert one(f'1. One? {{answer-time="{written}"}}').delivery.answer_time.value == meant


def test_look_time_and_answer_time_on_paragraphs() -> None:
    """A margin paragraph may declare a look time or an answer time after it."""
    look, answer = blocks('Look. {look-time="40 s"}\n\nCheck. {answer-time="3 min"}')

    assert isinstance(look, Prose)
    assert isinstance(answer, Prose)
    assert look.look_time_s is not None
    assert answer.answer_time is not None
    assert (look.look_time_s.value, answer.answer_time.value) == (Fraction(40), Fraction(180))


def test_a_pause_in_a_sentence() -> None:
    """The bracket of `.pause` holds its length."""
    prose = one("Stop. [2 s]{.pause} Thank you.")

    assert [n.pause_s for n in prose.inlines if isinstance(n, Pause)] == [2]


SPEAKERS = (
    "answer-time: 5 s\nspeakers:\n  Marta: {voice: iris, language: es-ES}\n  Iker: {voice: joe}\n"
)


def test_turns_on_one_or_several_paragraphs() -> None:
    """A turn starts at its speaker, in a new paragraph or on a new line (trap 29)."""
    passage = one(
        "::: passage\n**Marta:** Hola.\n**Iker:** Buenos\ndías.\n\n**Marta:** Adiós.\n:::", SPEAKERS
    )

    assert [(p.speaker, words(p), p.speech.voice, p.speech.language) for p in passage.content] == [
        ("Marta", "Hola.", "iris", "es-ES"),
        ("Iker", "Buenos días.", "joe", "en-GB"),
        ("Marta", "Adiós.", "iris", "es-ES"),
    ]


def test_a_passage_with_everything() -> None:
    """A passage has readings, silences, look time and the questions it is for."""
    passage = one(
        '::: passage {readings="3" between-readings="5 s, 6 s" look-time="9 s" answer-time="60 s" '
        'announce="Playing {reading}."}\nWords.\n:::\n'
    )

    assert passage.delivery.readings.value == 3
    assert passage.delivery.between_readings_s.value == (5, 6)
    assert passage.look_time_s.value == 9
    assert passage.delivery.answer_time.value == 60
    assert passage.delivery.announce.value == "Playing {reading}."


def test_for_questions() -> None:
    """`for-questions` is a list of numbers and ranges of the test."""
    passage = blocks(
        '::: passage {for-questions="1-2, 4"}\nWords.\n:::\n\n'
        "1. A? {.printed}\n2. B? {.printed}\n3. C? {.printed}\n4. D? {.printed}\n"
    )[0]

    assert isinstance(passage, Passage)
    assert passage.for_questions == (1, 2, 4)


def test_a_dictation() -> None:
    """Bullets are phrases; a blank line opens a paragraph; one phrase may have its own time."""
    question = one(
        '1. Write. {answer-time="none"}\n\n'
        '    ::: dictation {phrase-time="4 s to 11 s" phrase-readings="2"}\n'
        '    - The ferry\n    - left. {phrase-time="14 s"}\n\n    - Nobody spoke.\n    :::\n'
    )
    dictation = question.content[1]

    assert isinstance(dictation, Dictation)
    assert [words(p.prose) for p in dictation.phrases] == ["The ferry", "left.", "Nobody spoke."]
    assert [p.starts_paragraph for p in dictation.phrases] == [True, False, True]
    assert [p.phrase_time_s.value if p.phrase_time_s else None for p in dictation.phrases] == [
        None,
        14,
        None,
    ]
    assert dictation.phrase_time_s == (Fraction(4), Fraction(11))
    assert (dictation.phrase_readings, dictation.between_phrase_readings_s) == (2, Fraction(2))
    assert dictation.order == ("whole", "phrases", "whole")


def test_again_may_say_nothing_first() -> None:
    """`again` names questions; its lead-in may be empty."""
    again = blocks('1. One?\n\n::: again {questions="1"}\n:::')[1]

    assert isinstance(again, Again)
    assert (again.questions, again.lead_in) == ((1,), ())


def test_stops_and_page_turns_with_their_defaults() -> None:
    """A stop holds 20 s and a page turn 5 s unless they say otherwise."""
    stop, turn, named, rest = blocks(
        "::: stop\nAsk.\n:::\n\n::: page-turn\nTurn.\n:::\n\n"
        '::: page-turn {for="8 s"}\nTurn.\n:::\n\n::: stop {.rest for="30 s"}\nRest.\n:::\n'
    )

    assert isinstance(stop, Stop)
    assert isinstance(turn, PageTurn)
    assert isinstance(named, PageTurn)
    assert isinstance(rest, Stop)
    assert (stop.hold_s.value, stop.rest) == (Fraction(20), False)
    assert (turn.page_turn_time_s.value, turn.page_turn_time_s.origin) == (
        Fraction(5),
        "default",
    )
    assert named.page_turn_time_s.value == 8
    assert (rest.hold_s.value, rest.rest) == (Fraction(30), True)


def test_the_braced_form_of_a_block_is_the_same() -> None:
    """`::: {.stop for="20 s"}` is read as `::: stop {for="20 s"}` (trap 10)."""
    braced = one('::: {.stop for="12 s"}\nAsk.\n:::')
    named = one('::: stop {for="12 s"}\nAsk.\n:::')

    assert braced.hold_s.value == named.hold_s.value == 12
    assert one("::: {.stop}\nAsk.\n:::").hold_s.value == 20


def test_spans() -> None:
    """Each way of saying a span reaches the model."""
    prose = one(
        'A [1/8]{say="one eighth" shown="⅛"}, [read]{ipa="ɹɛd"}, [C-A-T]{.spell}, [0115]{.digits}, '
        '[Bonjour]{lang=fr}, [2001]{as="year"}, [name]{captions="nothing"}.'
    )
    spans = [n for n in prose.inlines if isinstance(n, Span)]

    assert [
        (s.say, s.shown, s.ipa, s.spell, s.digits, s.language, s.read_as, s.captions)
        for s in spans
    ] == [
        ("one eighth", "⅛", None, False, False, None, None, None),
        (None, None, "ɹɛd", False, False, None, None, None),
        (None, None, None, True, False, None, None, None),
        (None, None, None, False, True, None, None, None),
        (None, None, None, False, False, "fr", None, None),
        (None, None, None, False, False, None, "year", None),
        (None, None, None, False, False, None, None, "nothing"),
    ]  # fmt: skip


def test_spans_may_stand_in_each_other() -> None:
    """A span may hold another; only inside `say` and `ipa` nothing else may be spoken (D 9)."""
    prose = one('The [second [1/2]{say="half"} of it]{lang=en-US} now.')
    outer = next(n for n in prose.inlines if isinstance(n, Span))

    assert [n.say for n in outer.children if isinstance(n, Span)] == ["half"]


def test_sounds_and_tones() -> None:
    """A sound has a part, edges and a level; with words it is speech."""
    prose = one(
        '![A dance](d.flac){from="0:05" to="0:47.2" fade-out="500 ms"} [chime]{.tone} '
        '![A word](w.wav){words="hello"}',
        "answer-time: 5 s\ntones:\n  chime: {frequency: 660 Hz, length: 0.6 s}\n",
    )
    dance, word = (n for n in prose.inlines if isinstance(n, Sound))

    assert (dance.from_s, dance.to_s) == (Fraction(5), Fraction("47.2"))
    assert (dance.fade_out_s, dance.edges, dance.level) == (
        Fraction(1, 2),
        "as recorded",
        "as recorded",
    )
    assert (word.edges, word.level, word.words) == ("trimmed", "matched", "hello")
    assert [n.name for n in prose.inlines if isinstance(n, Tone)] == ["chime"]


def test_a_file_name_with_blanks_in_angle_brackets() -> None:
    """`<my clip.wav>` is a file name with a blank (trap 27)."""
    assert one("![x](<my clip.wav>)").inlines[0].path == "my clip.wav"


def test_patterns_and_the_key_they_give() -> None:
    """In a pattern that says {1}, the word is the key unless a key is given."""
    found = script(
        '1. signal\n\n    It was red.\n\n2. colour {key="colour | color"}\n\n    What colour?\n',
        'answer-time: 5 s\npattern: word\npatterns:\n  word:\n    - say: "{1}."\n'
        '    - pause: 1 s\n    - say: "{2}"\n',
    )

    assert [q.key.text if q.key else "" for q in found.questions()] == ["signal", "colour | color"]


def test_includes_are_read_in_their_place(tmp_path: Path) -> None:
    """An include stands for the included file's blocks; includes may nest (D 14)."""
    (tmp_path / "std").mkdir()
    (tmp_path / "std" / "a.md").write_text("A.\n\n[B](b.md){.include}\n\nC.\n", encoding="utf-8")
    (tmp_path / "std" / "b.md").write_text("B.\n", encoding="utf-8")
    main = tmp_path / "main.md"
    main.write_text(HEAD + "Before.\n\n[A](std/a.md){.include}\n" + TAIL, encoding="utf-8")
    reading = read(main)

    assert reading.problems == ()
    spoken = [words(b) for _, _, b in reading.script.blocks()]
    assert spoken == ["Before.", "A.", "B.", "C.", "The end."]


@pytest.mark.parametrize(
    ("inner", "code"),
    [
        ("---\ntitle: T\n---\nA.\n", "include-settings"),
        ("# A part\n\nA.\n", "include-part"),
        ("[Main](main.md){.include}\n", "include-loop"),
    ],
)
def test_includes_that_are_refused(tmp_path: Path, inner: str, code: str) -> None:
    """An included file has no settings, opens no part inside a group, and is in no loop."""
    (tmp_path / "a.md").write_text(inner, encoding="utf-8")
    main = tmp_path / "main.md"
    main.write_text(HEAD + "## Group\n\n[A](a.md){.include}\n" + TAIL, encoding="utf-8")

    assert [p.code for p in read(main).problems] == [code]


# ---- C: inheritance and defaults ------------------------------------------------------------

INHERITED = {
    "readings": ("2", 2, 1),
    "between-readings": ("7 s", (Fraction(7),), (Fraction(3),)),
    "announce": ("Number {number}.", "Number {number}.", None),
    "again": ("Once more.", "Once more.", None),
    "answer-time": ("7 s", Fraction(7), None),
    "between-paragraphs": ("2 s", Fraction(2), Fraction(4, 5)),
    "between-options": ("2 s", Fraction(2), Fraction(1)),
    "turn-pause": ("2 s", Fraction(2), Fraction(3, 5)),
    "voice": ("iris", "iris", "emma"),
    "lang": ("fr", "fr", "en-GB"),
    "take": ("2", 2, 1),
    "pace": ("85 %", Fraction(17, 20), Fraction(1)),
    "captions": ("nothing", "nothing", "instructions"),
    "time-cue": ("half", "half", None),
}
NO_SETTING = {"lang", "take", "pace"}


def in_force(block: Question | Passage, name: str) -> object:
    """Return the value of an attribute that is in force on a question or passage."""
    delivery = block.delivery
    speech = delivery.speech
    own = {"voice": speech.voice, "lang": speech.language, "take": speech.take, "pace": speech.pace}
    if name in own:
        return own[name]
    if name == "captions":
        return delivery.captions
    field = name.replace("-", "_")
    known = (field, f"{field}_s")
    value = next(getattr(delivery, f) for f in known if hasattr(delivery, f))
    return None if value is None else value.value


LEVELS = [
    (name, level)
    for name in INHERITED
    for level in ("settings", "part", "group", "question")
    if level != "settings" or name not in NO_SETTING
]


@pytest.mark.parametrize(("name", "level"), LEVELS)
def test_a_value_is_inherited_down_to_the_question(name: str, level: str) -> None:
    """What test, part or group declares is in force on the question, and the nearest wins."""
    written, meant, default = INHERITED[name]
    attrs = f' {{{name}="{written}"}}'
    part, group, question = (
        attrs if level == here else "" for here in ("part", "group", "question")
    )
    body = f"# P{part}\n\n## G{group}\n\n1. One?{question}\n\n# Q\n\n2. Two?\n"
    setting = f"answer-time: 5 s\n{name}: '{written}'\n" if level == "settings" else ""
    setting = setting.replace("answer-time: 5 s\n", "", 1) if name == "answer-time" else setting
    first, second = script(body, setting).questions()

    assert in_force(first, name) == meant
    if level != "settings":
        assert in_force(second, name) == (Fraction(5) if name == "answer-time" else default)


@pytest.mark.parametrize("name", INHERITED)
def test_what_a_passage_inherits(name: str) -> None:
    """A passage inherits how things are read, never announcements, answer or look times."""
    written, meant, default = INHERITED[name]
    passage = one(f'# P {{{name}="{written}"}}\n\n::: passage\nWords.\n:::')
    never = {"announce", "again", "answer-time", "time-cue"}

    assert in_force(passage, name) == (default if name in never else meant)


def test_the_nearest_value_wins_and_says_where_it_is_from() -> None:
    """Question over group over part over settings; each value names its origin."""
    found = script(
        '# P {readings="2"}\n\n## G {readings="3"}\n\n1. A? {readings="4"}\n2. B?\n\n'
        "## H\n\n3. C?\n\n# Q\n\n4. D?\n",
        "answer-time: 5 s\nreadings: 5\n",
    )

    assert [(q.delivery.readings.value, q.delivery.readings.origin) for q in found.questions()] == [
        (4, "question 1"),
        (3, "group ‘G’"),
        (2, "part ‘P’"),
        (5, "settings"),
    ]


def test_none_undoes_an_inherited_announcement() -> None:
    """`announce="none"` is a value: no announcement."""
    question = one('1. One? {announce="none"}', 'answer-time: 5 s\nannounce: "Number {number}."\n')

    assert question.delivery.announce.value is None


def test_settings_have_their_defaults() -> None:
    """Pauses, pace, loudness and wordings have the defaults of the table."""
    settings = script("Hello.\n").settings

    assert settings.paragraph_pause_s == Fraction("0.8")
    assert settings.sentence_pause_s == Fraction("0.4")
    assert settings.announcement_pause_s == Fraction("0.8")
    assert (settings.pace_wpm, settings.voice, settings.captions) == (
        Fraction(140), "emma", "instructions",
    )  # fmt: skip
    assert (settings.use, settings.channels, settings.numbering) == ("test", 1, "whole")
    assert settings.zero == "nought"


# ---- B and D: what must not be refused ------------------------------------------------------


def test_typographic_quotation_marks_are_read() -> None:
    """A word processor's quotation marks work in attributes (trap 3)."""
    prose = one("Take [1/8]{say=“one eighth”} of it.")

    assert [n.say for n in prose.inlines if isinstance(n, Span)] == ["one eighth"]


def test_bare_values_are_read() -> None:
    """A bare value is anything without a blank, a quotation mark or a brace (trap 24)."""
    question = one("1. One? {pace=85% answer-time=1.5s between-readings=2s marks=3}")

    assert question.delivery.speech.pace == Fraction(17, 20)
    assert question.delivery.answer_time.value == Fraction(3, 2)
    assert question.marks == 3


def test_a_no_break_space_and_trailing_blanks_are_blanks() -> None:
    """A no-break space counts as a blank, two trailing blanks as one (D 3)."""
    prose = one("One\u00a0two  \nthree four.")

    assert words(prose) == "One two three four."
    assert one('Listen.\u00a0{pause-after="2\u00a0s"}').pause_after_s.value == 2


def test_entities_are_text() -> None:
    """An entity is the sign that it names (D 3)."""
    assert words(one("Caf&eacute; &amp; bar.")) == "Café & bar."


def test_comments_are_dropped_everywhere() -> None:
    """A comment in a line, over lines, in a question and in a sheet is gone."""
    found = blocks(
        "One <!-- secret --> two.\n\n<!-- secret\nsecret -->\n\n1. A? <!-- secret -->\n\n"
        "    ::: sheet\n    18 <!-- secret -->\n    :::\n\n    <!-- secret -->\n\n    More.\n"
    )

    assert words(found[0]) == "One two."
    assert isinstance(found[1], Question)
    assert [words(p) for p in found[1].content] == ["A?", "More."]
    assert "secret" not in repr(found)


def test_emphasis() -> None:
    """Stars round whole words are emphasis; words in it are kept."""
    prose = one("This is **not** so *very* odd.")

    assert [(plain(n.children), n.strong) for n in prose.inlines if isinstance(n, Emphasis)] == [
        ("not", True),
        ("very", False),
    ]


def test_decimals_at_the_start_of_a_line_are_words() -> None:
    """A line that begins with a decimal is no question."""
    assert words(one("It weighs\n3.5 kilograms.")) == "It weighs 3.5 kilograms."


def test_numbers_come_from_the_source_not_from_counting() -> None:
    """After a page turn the next question keeps the number that is written (trap 13)."""
    found = script("1. A?\n2. B?\n\n::: page-turn\nTurn.\n:::\n\n3. C?\n")

    assert [q.number for q in found.questions()] == [1, 2, 3]


def test_notes_may_hold_lists_tables_and_blocks_of_lines() -> None:
    """What stands on paper may be a list or a table, and keeps its lines."""
    question = one(
        "1. One?\n\n    ::: sheet\n    1. first\n    2. second\n\n    | a | b |\n    |---|---|\n"
        "    | 1 | 2 |\n\n    [______]{.answer lines=3} or [ship]{.choice}\n    :::\n"
    )

    assert question.sheet.text.split("\n")[0] == "1. first"
    assert "[______]{.answer lines=3}" in question.sheet.text


def test_statements_are_compared_in_their_scope() -> None:
    """A statement holds for its group, and for the test where its group has no questions."""
    script(
        '# Opening\n\nThere are [two]{states="questions"} questions, each read '
        '[twice]{states="readings"}; answer after the [second]{states="last-reading"}.\n\n'
        '# Test {readings="2"}\n\n## A {answer-time="6 s"}\n\n[Six seconds]{states="answer-time"} '
        'each.\n\n1. A?\n\n## B {answer-time="2.5 s"}\n\n'
        'Now [two and a half seconds]{states="answer-time"}.\n\n2. B?\n'
    )


def test_text_leaves_are_place_and_words() -> None:
    """A text's place is that of its first character."""
    prose = one("One two.")

    assert isinstance(prose.inlines[0], Text)
    assert (prose.place.line, prose.place.column) == (6, 1)
