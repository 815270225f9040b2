"""A paragraph becomes sentences, each with its words, its caption and its place."""

from __future__ import annotations

import pytest
from pausewright.script.reader import read
from pausewright.wording.line_elements import AuthorPause, Excerpt, ToneCue, Utterance
from pausewright.wording.worded import Worded
from support.scripts.script_cases import FILE, HEAD, TAIL


def worded(body: str, settings: str = "") -> Worded:
    """Return a body's words; it must be free of errors."""
    reading = read(
        FILE, HEAD.replace("answer-time: 5 s\n", "answer-time: 5 s\n" + settings) + body + TAIL
    )
    found = Worded(reading.script)
    assert [
        p.message for p in (*reading.problems, *found.problems.errors) if p.severity == "error"
    ] == []
    return found


def utterances(body: str, settings: str = "") -> list[Utterance]:
    """Return the sentences of the first paragraph."""
    found = worded(body, settings)
    block = next(b for _, _, b in found.script.blocks())
    return [p for p in found.line(block) if isinstance(p, Utterance)]  # type: ignore[arg-type]


SENTENCES = {
    "One. Two? Three!": ["One.", "Two?", "Three!"],
    "It weighs 3.5 kilograms. Then more.": ["It weighs 3.5 kilograms.", "Then more."],
    "It is 4. Then 5.": ["It is 4.", "Then 5."],
    "Mr. Hill met Dr. Vale. They spoke.": ["Mr. Hill met Dr. Vale.", "They spoke."],
    "J. R. Hill is here. Good.": ["J. R. Hill is here.", "Good."],
    "The U.S. team won. Good.": ["The U.S. team won.", "Good."],
    "See p. 4 and vol. 2. Then No. 5.": ["See p. 4 and vol. 2.", "Then No. 5."],
    "Is it red? No. It is blue.": ["Is it red?", "No.", "It is blue."],
    "Use one, e.g. this one. Then stop.": ["Use one, e.g. this one.", "Then stop."],
    "“Stop!” she said. “Why?” he asked.": ["“Stop!” she said.", "“Why?” he asked."],
    "She said “Stop.” Then she left.": ["She said “Stop.”", "Then she left."],
    "He left (really.) Then he came.": ["He left (really.)", "Then he came."],
    "Choose option B. Then stop.": ["Choose option B.", "Then stop."],
    "Come at 3 p.m. Then eat.": ["Come at 3 p.m.", "Then eat."],
    "At 6 a.m. Monday or 7 p.m. GMT. Go.": ["At 6 a.m. Monday or 7 p.m. GMT.", "Go."],
    "At 3 p.m. on 5 Dec. 2025 it rained. Then no.": [
        "At 3 p.m. on 5 Dec. 2025 it rained.",
        "Then no.",
    ],
    "What is 5 + ? = 9 now? Tell me.": ["What is 5 + ? = 9 now?", "Tell me."],
    "It is approx. 20 m. Then 5 km.": ["It is approx. 20 m.", "Then 5 km."],
    "See eq. 4, sec. 2 and Q. 3. Then stop.": ["See eq. 4, sec. 2 and Q. 3.", "Then stop."],
    "It is 3.15 pm. It is 0.5. It is £4.50. End.": [
        "It is 3.15 pm.",
        "It is 0.5.",
        "It is £4.50.",
        "End.",
    ],
    "A **5** m rope. Then **3** kg.": ["A 5 m rope.", "Then 3 kg."],
    "Wait… what? Yes... no.": ["Wait… what?", "Yes... no."],
    "*Never.* Again.": ["Never.", "Again."],
    "Is it **A**? Or B?": ["Is it A?", "Or B?"],
    'Pi is [3.14]{say="three point one four"}. Good.': ["Pi is 3.14.", "Good."],
    "One.\nTwo.": ["One.", "Two."],
    "“Go!”\nshe said.": ["“Go!” she said."],
    "One.  \nTwo.": ["One.", "Two."],
    '[One. Two.]{shown="1, 2"} Three.': ["1, 2", "Three."],
}


@pytest.mark.parametrize("body", SENTENCES)
def test_where_sentences_end(body: str) -> None:
    """Decimals, initials, titles, abbreviations and quotations do not split a sentence."""
    assert [u.shown for u in utterances(body)] == SENTENCES[body]


def test_places_of_sentences() -> None:
    """A sentence's place is its first word, on its own line and after emphasis and spans."""
    found = utterances(
        'One. Two **three**. [4/5]{say="four fifths"} is it.\nSix. Seven\neight. Nine.'
    )

    assert [(u.place.line, u.place.column) for u in found] == [
        (6, 1), (6, 6), (6, 21), (7, 1), (7, 6), (8, 8),
    ]  # fmt: skip


def test_equal_words_are_equal_takes() -> None:
    """Line breaks, quotation marks, emphasis and captions do not make another take."""
    bodies = (
        "He didn’t say “stop”.",
        'He didn\'t say "stop".',
        "He didn’t\nsay “stop”.",
        "He **didn’t** say “stop”.",
        'He [didn’t]{shown="did not"} say “stop”.',
        "He didn’t  say&nbsp;“stop”.",
    )
    takes = {(u.spoken, u.speech) for body in bodies for u in utterances(body)}

    assert len(takes) == 1


def test_other_voices_paces_and_takes_are_other_takes() -> None:
    """Voice, language, pace and take are part of what a take is."""
    attrs = ("", '{voice="iris"}', '{lang="en-US"}', '{pace="85 %"}', '{take="2"}')
    takes = {(u.spoken, u.speech) for attr in attrs for u in utterances(f"Listen well. {attr}")}

    assert len(takes) == 5


def test_pauses_tones_and_sounds_end_a_sentence() -> None:
    """An author's pause, a tone or a sound parts what stands before and after it."""
    found = worded(
        "Stop. [2 s]{.pause} Listen [chime]{.tone} now ![bell](b.wav) well.",
        "tones:\n  chime: {frequency: 660 Hz, length: 0.6 s}\n",
    )
    line = found.line(next(b for _, _, b in found.script.blocks()))  # type: ignore[arg-type]

    assert [type(p) for p in line] == [
        Utterance, AuthorPause, Utterance, ToneCue, Utterance, Excerpt, Utterance,
    ]  # fmt: skip
    assert [p.words for p in line if isinstance(p, Utterance)] == [
        "Stop.",
        "Listen",
        "now",
        "well.",
    ]


def test_say_shown_and_ipa() -> None:
    """The bracket is print and caption, `say` is the voice, `shown` the caption."""
    (found,) = utterances(
        'Take [1/8]{say="one eighth" shown="⅛"} and [35p]{say="35 pence"} and [read]{ipa="ɹɛd"} it.'
    )

    assert found.shown == "Take ⅛ and 35p and read it."
    assert found.words == "Take one eighth and thirty-five pence and read it."
    assert [(p.text, p.word) for p in found.spoken if p.is_ipa] == [("ɹɛd", "read")]


def test_a_span_of_another_language_keeps_its_inner_words() -> None:
    """Inside a span with a language, `say` and other words are still theirs, in that language."""
    (found,) = utterances('Say [a [2,50 €]{say="dos cincuenta"} el kilo]{lang=es} now.')

    assert [(p.text.strip(), p.language) for p in found.spoken] == [
        ("Say", None),
        ("a dos cincuenta el kilo", "es"),
        ("now.", None),
    ]


def test_fields_of_announcements_and_patterns() -> None:
    """Fields are filled with numbers, titles and paragraphs; figures in them are worded."""
    found = worded(
        '# Part one {readings="2" announce="{part}, number {number} of {total}." '
        'again="{reading-th} reading of {readings}: {1}."}\n\n1. Where **is** it?\n2. And this?\n'
    )
    first, second = found.script.questions()
    said = [
        " ".join(u.words for u in found.announcement(q, r) if isinstance(u, Utterance))
        for q in (first, second)
        for r in (1, 2)
    ]

    assert said == [
        "Part one, number one of two.",
        "second reading of two: Where is it?",
        "Part one, number two of two.",
        "second reading of two: And this?",
    ]


def test_options_are_read_with_their_letters() -> None:
    """An answer is read with its letter; a picture speaks its letter alone."""
    found = worded("1. Which?\n\n    - A. every week\n    - B. ![a rising line](g.svg)\n")
    options = next(iter(found.script.questions())).content[1].options  # type: ignore[union-attr]

    assert [[p.words for p in found.option(o)] for o in options] == [["A, every week"], ["B."]]  # type: ignore[union-attr]


def test_nothing_of_a_printed_question_is_worded() -> None:
    """A printed question has no words for the voice, so its figures are no problem."""
    found = worded("1. What is 1/8 of £5? {.printed}\n")

    assert all("£" not in p.words for p in found.all_elements() if isinstance(p, Utterance))
