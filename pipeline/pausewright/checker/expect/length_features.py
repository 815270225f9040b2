"""What of an utterance's words decides how long they take: sounds, words, marks, their places.

Each feature is counted; a voice's seconds for each are in `voice_lengths.json`. They follow what is
known of English: a vowel is longer at the end of a phrase and shorter before a voiceless consonant
and in a longer word (Klatt, "Linguistic uses of segmental duration in English", JASA 59(5), 1976,
1208–1221; from memory).
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.phones.english import VOWELS, phones_of_ipa, words_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.phones.english import Phones, Pronunciations
    from pausewright.wording.line_elements import Utterance

Features: TypeAlias = dict[str, float]
Words: TypeAlias = "list[tuple[str, str, Phones | None]]"
"""Words, what follows each, and its sounds where the script has them."""

_VOICELESS: Final = frozenset({"P", "T", "K", "CH", "F", "TH", "S", "SH", "HH"})
_STOPS: Final = frozenset({"B", "D", "G", "P", "T", "K", "CH", "JH"})
_LAST: Final = {
    **dict.fromkeys(("S", "Z", "SH", "ZH", "F", "V", "TH", "DH", "CH", "JH"), "hiss"),
    **dict.fromkeys(("M", "N", "NG", "L", "R"), "hum"),
    **dict.fromkeys(("P", "T", "K", "B", "D", "G"), "stop"),
}
_FIRST: Final = {
    **dict.fromkeys(_STOPS, "stop"),
    **dict.fromkeys(("S", "SH", "F", "TH", "HH"), "hiss"),
}
_UNSTRESSED: Final = """
a an the of to and or but in on at by for from with as is are was were be been am do does did
has have had will would can could may might must shall should not no it its they them their he
she his her you your we our i me my this that these those there what who where when which how
why if than then so
"""
_FUNCTION_WORDS: Final = frozenset(_UNSTRESSED.split())
"""Words that are said without stress as a rule."""
_PHRASE_MARK: Final = re.compile(r"[,;:–—()“”.?!…]")
_MARKS: Final = dict(zip(",;:–—()“”.?!…", ",;:––((””...…", strict=True))
"""Marks that are one to the fit."""
_LETTERS_ALWAYS: Final = frozenset("BCDEFGHJKLMNOPQRSTUVWXYZ")


def utterance_words(element: Utterance) -> Words | None:
    """Return each word of an utterance, what follows it, and its sounds where the script has them.

    None where its length cannot be estimated: words in other languages, figures, nothing at all.
    """
    found: Words = []
    for part in element.spoken:
        language = part.language or element.speech.language
        if language.lower().split("-")[0] != "en":
            return None
        if part.is_ipa:
            found += [(word, " ", phones_of_ipa(word)) for word in part.text.split()]
        elif any(sign.isdigit() for sign in part.text):
            return None
        else:
            before = re.match(r"\W*", part.text)
            if found and before is not None:
                word, after, sounds = found[-1]
                found[-1] = word, after + before[0], sounds
            found += [(word, after, None) for word, after in words_in(part.text)]
    return found or None


def inner_marks(words: Words) -> list[str]:
    """Return the marks inside an utterance, one for each place, each as the fit names it."""
    return [
        next(_MARKS[sign] for sign in after if sign in _MARKS)
        for _, after, _ in words[:-1]
        if _PHRASE_MARK.search(after)
    ]


def n_reduced_phrases(words: Words) -> int:
    """Return how often "thank you" is said: all speakers run its words together."""
    said = [word.lower() for word, _, _ in words]
    return sum(pair == ("thank", "you") for pair in pairwise(said))


def without_inner_marks(words: Words) -> Words:
    """Return the words of an utterance as if they were said in one breath."""
    inner = [
        (word, " " if _PHRASE_MARK.search(after) else after, own) for word, after, own in words[:-1]
    ]
    return [*inner, words[-1]]


def features(words: Words, known: Pronunciations, *, is_question: bool = False) -> Features:
    """Return how often each feature is in words as `utterance_words` gives them."""
    rows = [(w, after, own or known.phones(w, after)) for w, after, own in words]
    counted: Features = {}
    for name, number in _counts(rows):
        counted[name] = counted.get(name, 0.0) + number
    n_syllables = max(1.0, sum(_is_vowel(p) for _, _, phones in rows for p in phones))
    counted["one"] = 1.0
    counted["log syllables"] = math.log(n_syllables)
    counted["1 / syllables"] = 1 / n_syllables
    if is_question:
        counted["question"] = 1.0
    if len(rows) <= 2:
        counted[f"words {len(rows)}"] = 1.0
        if n_syllables == 1:
            counted["one syllable"] = 1.0
    last = rows[-1][1].rstrip("”’)\"' ")
    counted["ends " + (_MARKS.get(last[-1:], "") or "without mark")] = 1.0
    return counted


def _counts(rows: list[tuple[str, str, Phones]]) -> Iterator[tuple[str, float]]:
    before: str | None = None
    for at, (word, after, phones) in enumerate(rows):
        is_function = word.lower() in _FUNCTION_WORDS
        yield "function word" if is_function else "word", 1.0
        yield from _sounds(phones, is_function=is_function)
        is_last = at == len(rows) - 1
        if is_last or _PHRASE_MARK.search(after):
            yield from _phrase_end(phones, "end" if is_last else "middle", is_last=is_last)
        if not is_last:
            for mark in {_MARKS[sign] for sign in after if sign in _MARKS}:
                yield f"mark {mark}", 1.0
        if word in _LETTERS_ALWAYS or (word == "A" and not after.startswith(" ")):
            yield "letter", 1.0
        first = phones[0]
        if before is not None:
            if _is_vowel(before) and _is_vowel(first):
                yield "vowels meet", 1.0
            elif not _is_vowel(before) and not _is_vowel(first):
                yield "consonants meet", 1.0
            if before == first:
                yield "same sounds meet", 1.0
        else:
            yield f"begins with {'vowel' if _is_vowel(first) else _FIRST.get(first, 'hum')}", 1.0
        before = phones[-1]


def _sounds(phones: Phones, *, is_function: bool) -> Iterator[tuple[str, float]]:
    n_vowels_left = sum(map(_is_vowel, phones))
    for j, phone in enumerate(phones):
        if not _is_vowel(phone):
            yield phone, 1.0
            if j and not _is_vowel(phones[j - 1]):
                yield "cluster", 1.0
                if phone in _STOPS and phones[j - 1] == "S":
                    yield "stop after s", 1.0
            continue
        n_vowels_left -= 1
        stress = _stress(phone)
        yield phone[:2] + stress, 1.0
        if stress == "1" and is_function:
            yield "stress in function word", 1.0
        elif stress == "1":
            yield f"syllables after stress {min(n_vowels_left, 2)}", 1.0
        following = phones[j + 1] if j + 1 < len(phones) else None
        if following is None:
            yield f"open {stress}", 1.0
        elif following in _VOICELESS:
            yield f"before voiceless {stress}", 1.0
        elif following in {"L", "R"}:
            yield "before liquid", 1.0


def _phrase_end(phones: Phones, where: str, *, is_last: bool) -> Iterator[tuple[str, float]]:
    vowels = [j for j, phone in enumerate(phones) if _is_vowel(phone)]
    nucleus = vowels[-1] if vowels else 0
    rest = phones[nucleus + 1 :]
    yield f"{where} vowel {_stress(phones[nucleus])}", 1.0
    yield f"{where} consonants", float(len(rest))
    if rest and rest[0] in _VOICELESS:
        yield f"{where} before voiceless", 1.0
    if is_last:
        yield f"{where} {_LAST.get(rest[-1], 'hum') if rest else 'open'}", 1.0
        if len(vowels) == 1:
            yield f"{where} one syllable", 1.0


def _is_vowel(phone: str) -> bool:
    return phone[:2] in VOWELS


def _stress(phone: str) -> str:
    """Return "0" for a vowel without stress, else "1", be it the first or the second stress."""
    return "0" if phone.endswith("0") else "1"
