"""The pronunciation that the embedded voice uses says letters by their names.

Checked with espeak-ng's phonemes (piper-tts brings it), the same that the voice is given.
"""

from __future__ import annotations

import string

import pytest
from pausewright.wording import numbers

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
