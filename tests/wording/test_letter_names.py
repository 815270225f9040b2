"""The pronunciation that the embedded voice uses says letters by their names.

Checked with espeak-ng's phonemes (piper-tts brings it), the same that the voice is given.
"""

from __future__ import annotations

import string
from fractions import Fraction
from pathlib import Path

import pytest
from pausewright.problems import Place, Problems
from pausewright.script.model import Speech, Text
from pausewright.script.settings.settings_reader import settings_from
from pausewright.wording import numbers
from pausewright.wording.letters import LETTER_A
from pausewright.wording.line_builder import LineBuilder
from pausewright.wording.line_elements import Utterance
from pausewright.wording.text import TextReader

NAMES = {
    "A": "ˈeɪ", "B": "bˈiː", "C": "sˈiː", "D": "dˈiː", "E": "ˈiː", "F": "ˈɛf", "G": "dʒˈiː",
    "H": "ˈeɪtʃ", "I": "ˈaɪ", "J": "dʒˈeɪ", "K": "kˈeɪ", "L": "ˈɛl", "M": "ˈɛm", "N": "ˈɛn",
    "O": "ˈoʊ", "P": "pˈiː", "Q": "kjˈuː", "R": "ˈɑːɹ", "S": "ˈɛs", "T": "tˈiː", "U": "jˈuː",
    "V": "vˈiː", "W": "dˈʌbəljˌuː", "X": "ˈɛks", "Y": "wˈaɪ", "Z": "zˈiː",
}  # fmt: skip
"""Names of the letters in American English, IPA; from memory, as any dictionary gives them."""


def phonemes(text: str) -> str:
    """Return the phonemes of a text in American English."""
    espeak = pytest.importorskip("piper.phonemize_espeak")
    return "".join("".join(part) for part in espeak.EspeakPhonemizer().phonemize("en-us", text))


def test_every_letter_spelled_out_has_its_name() -> None:
    """All letters in a row, as `.spell` writes them, come out as their names."""
    said = phonemes(numbers.letters(string.ascii_lowercase, british=False) + ".")

    assert said.rstrip(".").split(", ") == list(NAMES.values())


def test_a_british_script_says_zed() -> None:
    """In a British script Z is said "zed", by the American voice too."""
    assert phonemes(numbers.letters("z") + ".") == "zˈɛd."


@pytest.mark.parametrize("letter", "ABCDEFGH")
def test_the_letter_of_an_answer_is_a_name(letter: str) -> None:
    """The letter before an answer is its name: A is never the article."""
    assert phonemes(f"{letter}, copper.").startswith(NAMES[letter] + ",")
    assert phonemes(f"{letter}.") == NAMES[letter] + "."


LETTERS_A = {
    "Option A is right.": ["A"],
    "Is it A or B?": ["A"],
    "A boat came.": [],
    "The value of a, please.": ["a"],
    "Take a/b and a² now.": ["a", "a"],
    "At 9 am, or a.m. today.": ["a", "a"],
    "The AA came.": ["A", "A"],
    "A = 5 and AB = 6.": ["A", "A"],
    "Spell it: C-A-T.": ["A"],
    "He had a 5 m rope and a cat.": [],
    "Is it a or b?": ["a"],
    "A is first.": ["A"],
    "Room 12A is a room.": ["A"],
}


@pytest.mark.parametrize("text", LETTERS_A)
def test_a_letter_a_is_given_to_the_voice_by_its_sound(text: str) -> None:
    """A voice takes a lone A for the article, so the letter is given by its sound."""
    reader = TextReader(settings_from(Path("-"), "en-GB", {}), Problems())
    builder = LineBuilder(reader, Speech("joe", "en-GB", Fraction(1), 1))
    builder.add((Text(text, Place(Path("-"), 1, 1, len(text))),))
    (element,) = builder.elements()

    assert isinstance(element, Utterance)
    assert [part.word for part in element.spoken if part.is_ipa] == LETTERS_A[text]
    assert {part.text for part in element.spoken if part.is_ipa} <= {LETTER_A}
