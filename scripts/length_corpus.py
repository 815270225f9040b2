"""Invented sentences of every kind of utterance, for what the check knows of a voice's lengths.

Announcements, instructions, cues, questions, answers to choose and sentences of readings, from one
word to some thirty. Everything follows from seeds. `scripts/fit_speech_lengths.py` voices them; the
harness of the sabotage takes other seeds, and other places, things and doings (`set_aside`).
"""

from __future__ import annotations

import random
import re
from typing import Final

from pausewright.wording.numbers import cardinal

Dice = random.Random

KINDS: Final = ("announcement", "instruction", "cue", "question", "option", "reading")
FRAGMENT: Final = "fragment"
"""Part of a sentence between pauses, voiced as a take of its own."""


def listed(words: str) -> list[str]:
    """Return the words of a text."""
    return words.split()


_THINGS: Final = listed(
    """
apple anchor badge barrel basket beaker bell bench blanket boat bottle bridge brush bucket button
cabbage candle carpet castle chain chair cheese cherry chimney church cliff clock cloud coach coat
coin compass copper crate cup curtain desk drawer drum engine envelope feather fence ferry field
flag flask flute forest fountain fridge garden gate glacier glove grape guitar hammer harbour hedge
helmet hook horse hut island jacket jar jewel journey jug kettle key kitchen kite ladder lamp
lantern leaf lemon letter lighthouse lizard loaf machine magnet mango map market measure medal
mirror moth mountain mushroom needle nest notebook nut oak orchard oven owl oyster paddle palace
parcel path pearl pebble pencil pepper photograph piano picture pigeon pillow pipe planet plate
plough pocket poem pond potato pump puzzle queue quilt rabbit raft railway rain recipe ribbon river
rocket roof rope rose sail sandwich saw scarf school scissors sculpture shadow sheep shelf shell
shovel sketch slipper snail soup spade sponge spoon spring squirrel stairs stamp stream street
switch table tank tape teapot telescope tent theatre thread throne ticket tiger toast tomb tower
toy train tray treasure trumpet tunnel umbrella valley vase vegetable vehicle village violin volcano
wagon wall watch wave weather whale wheat wheel whistle wind window wool yacht yard zebra
"""
)
_PLACES: Final = listed(
    """
Ambleford Brindle Carrow Dunmere Elsbury Farthing Gansey Holloway Inverleigh Jessop Kelda Lorne
Marsby Norwick Oxley Penhurst Quayside Rushden Selwick Thornby Ulder Varley Westcote Yarrow
"""
)
_NAMES: Final = listed(
    """
Ada Bruno Carys Dilip Elena Femi Greta Hamid Ilse Jonas Kofi Leila Mara Nadia Oscar Priya Quentin
Rosa Samir Tess Una Viktor Wanda Yusuf Zoe
"""
)
_DOINGS: Final = listed(
    """
carry count paint measure describe borrow explain deliver gather polish collect repair choose weigh
compare discover arrange remember follow protect capture examine record imagine notice organise
return share supply teach throw transport watch welcome whisper build catch climb freeze grow
"""
)
_LIKE: Final = listed(
    """
ancient bitter bright broken careful cheap clever cold crooked curious dangerous dry early empty
enormous fragile friendly frozen gentle golden heavy hollow huge jealous large late lonely loud
narrow nervous noisy ordinary peculiar plain precious quick quiet rough rusty sharp shiny short
silent slow smooth soft strange strong sudden tall thick thin tidy tiny useful warm wide
wooden young
"""
)
_HOW: Final = listed("slowly quickly quietly carefully twice often badly well together again soon")
_UNITS: Final = listed(
    "metres kilometres grams kilograms litres millilitres seconds minutes hours days weeks pence "
    "pounds degrees"
)
_PARTS: Final = listed("first second third fourth fifth sixth seventh eighth ninth tenth last next")


class _Words:
    """Draws words; every third of each list is set aside for other seeds than those of the fit."""

    def __init__(self, dice: Dice, *, set_aside: bool) -> None:
        self.dice = dice
        self._set_aside = set_aside

    def _one(self, words: list[str]) -> str:
        usable = [w for i, w in enumerate(words) if (i % 3 == 2) == self._set_aside]
        return self.dice.choice(usable)

    def thing(self) -> str:
        return self._one(_THINGS)

    def things(self) -> str:
        word = self._one(_THINGS)
        if word.endswith(("s", "sh", "ch", "x")):
            return word if word.endswith("rs") else word + "es"
        return word[:-1] + "ies" if word[-1] == "y" and word[-2] not in "aeiou" else word + "s"

    def place(self) -> str:
        return self._one(_PLACES)

    def name(self) -> str:
        return self._one(_NAMES)

    def do(self) -> str:
        return self._one(_DOINGS)

    def like(self) -> str:
        return self._one(_LIKE)

    def how(self) -> str:
        return self._one(_HOW)

    def unit(self) -> str:
        return self._one(_UNITS)

    def nth(self) -> str:
        return self._one(_PARTS)

    def n(self, low: int = 2, high: int = 99) -> str:
        return cardinal(self.dice.randint(low, high))

    def letter(self) -> str:
        return self.dice.choice("ABCDEFGHJK")

    def small_letter(self) -> str:
        return self.letter().lower()

    def times(self) -> str:
        return self.dice.choice(["once", "twice"])

    def filled(self, template: str) -> str:
        """Return a template with its places filled from left to right; "^" begins a capital."""
        text = _PLACE.sub(
            lambda at: (
                self.n(int(at["low"]), int(at["high"]))
                if at["low"]
                else getattr(self, at["what"])()
            ),
            template.removeprefix("^"),
        )
        return text.capitalize() if template.startswith("^") else text


_PLACE: Final = re.compile(r"\{(?P<what>\w+)(?::(?P<low>\d+)-(?P<high>\d+))?\}")


_SENTENCES: Final[dict[str, tuple[str, ...]]] = {
    "announcement": (
        "Question {n:1-40}.",
        "Number {n:1-40}.",
        "Part {letter}.",
        "Section {letter}.",
        "Practice question {n:1-4}.",
        "Question {n:1-40}, part {small_letter}.",
        "Text {n:1-9}.",
        "Now listen to question {n:1-40}.",
        "Questions {n:1-9} to {n:10-20}.",
        "Word {n:1-20}.",
    ),
    "instruction": (
        "You have {n:2-60} seconds to answer each question.",
        "Write your answer in the box on your sheet.",
        "You will hear each question {times}.",
        "Look at the picture of the {thing} on page {n:2-12}.",
        "Do not write anything while the recording is playing.",
        "For questions {n:1-9} to {n:10-20}, choose the best answer: A, B or C.",
        "If you make a mistake, cross it out; do not use a rubber.",
        "Listen to {name} talking about a {like} {thing}.",
        "Put your {thing} down, and wait for the next part of the test.",
        "Ask now if anything is unclear, because you may not speak later.",
        "You now have {n:2-20} minutes to check what you have written.",
        (
            "In this part of the test, you will hear a report from {place}, and you "
            "should write down {n:2-6} things about the {thing}."
        ),
    ),
    "cue": (
        "Turn over.",
        "Turn to the next page.",
        "Stop writing now.",
        "You have {n:2-30} seconds left.",
        "Now listen again.",
        "The recording continues.",
        "That is the end of the test.",
        "Please stop the recording here.",
        "Half of your time is over: {n:2-30} minutes remain.",
        "Close your booklet.",
    ),
    "question": (
        "What is {n} plus {n}?",
        "How many {things} are there in {n} {things}?",
        "Multiply {n:2-12} by {n}.",
        "Take {n} from {n:100-999}.",
        "Who wanted to {do} the {like} {thing}?",
        "Why did {name} {do} a {thing} in {place}?",
        "A {thing} weighs {n} grams, and so on; How much do {n:2-12} {things} weigh?",
        "Round {n:1000-9999} to the nearest hundred.",
        "What did the {like} {thing} look like?",
        "Where do they {do} {things}, and when?",
        "Double {n}.",
        "Which {thing} is {n} {unit} from the {thing}?",
        (
            "If {n:2-12} {things} cost {n} pounds {n}, how much does one "
            "{thing} cost, and how much do {n:2-30} cost?"
        ),
        "Name a {thing}.",
    ),
    "option": (
        "{letter}: the {thing}.",
        "{letter}, {like}.",
        "{letter}: to {do} it {how}.",
        "The {like} {thing}.",
        "Because {name} was {like}.",
        "^{n} {unit}.",
        "^{thing}.",
        "In {place}.",
        "^{like} {things} and {things}.",
    ),
    "reading": (
        "The {like} {thing} stood beside a {thing} near {place}.",
        "“I never {do} a {thing},” said {name} {how}.",
        (
            "Every morning {name} and {name} {do} {n} {things} before the "
            "{thing} opens, and every evening they {do} them {how}."
        ),
        (
            "It was a {like} day; the {thing} was {like}, the {thing} "
            "{like}, and nobody came to {do} the {things}."
        ),
        "In {place} (a {like} village) people still {do} {things}.",
        "They {do} it {how}.",
        "Then, after {n} {unit}, the {thing} fell off the {thing}.",
        "She could not {do} the {like} {thing} – it was far too {like}.",
        (
            "What matters most, {name} explains, is to {do} the {thing} while "
            "the {thing} is still {like}, or else the {things} will not {do} at all."
        ),
        "^{things}, {things}, {things} and {things} lay on the {like} {thing}.",
        "Nothing happened.",
        "The {nth} {thing} was made of {thing}, {n} {unit} long.",
        "Did you {do} the {thing}, {name}?",
    ),
}


def sentences(n: int, seed: int, *, set_aside: bool = False) -> list[tuple[str, str]]:
    """Return `n` different sentences with their kinds, every kind in turn.

    With `set_aside`, of the words that are kept from the fit.
    """
    words = _Words(Dice(seed), set_aside=set_aside)
    found: dict[str, str] = {}
    at = 0
    while len(found) < n:
        kind = KINDS[at % len(KINDS)]
        at += 1
        made = words.filled(words.dice.choice(_SENTENCES[kind]))
        found.setdefault(made, kind)
        if at > 40 * n:  # announcements are few: what is left comes of the other kinds
            break
    return [(kind, text) for text, kind in found.items()][:n]


def fragments(n: int, seed: int, *, set_aside: bool = False) -> list[tuple[str, str]]:
    """Return `n` parts of sentences, cut after a mark or between two words, with their kind."""
    dice = Dice(seed)
    found: dict[str, str] = {}
    whole = [text for _, text in sentences(4 * n, seed, set_aside=set_aside) if " " in text]
    for text in whole:
        words = text.split()
        marks = [i + 1 for i, word in enumerate(words[:-1]) if word[-1] in ",;:"]
        at = dice.choice(marks) if marks else dice.randint(1, len(words) - 1)
        piece = words[:at] if dice.random() < 0.6 else words[at:]
        found.setdefault(" ".join(piece), FRAGMENT)
    return [(kind, text) for text, kind in found.items()][:n]
