"""Values that are inherited: test → part → group → passage or question.

`SCOPED` is the table of attributes that may also stand in the settings; a `Scope` holds what is
in force at a place, each value with its origin.
"""

from __future__ import annotations

import re
from dataclasses import field
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Generic, TypeVar, cast

from pausewright.frozen import frozen
from pausewright.script.attributes import values
from pausewright.script.attributes.values import ValueProblem, is_language
from pausewright.script.declared import CAPTION_POLICIES
from pausewright.script.model import AnswerTime, ByHand, Delivery, InForce, Speech
from pausewright.script.voices_of_languages import usual_voice

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.script.declared import CaptionPolicy

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)

SHORTEST_SILENCE_S: Final = Fraction(3, 10)
LONGEST_PAUSE_S: Final = Fraction(60)

FIELDS: Final = frozenset(
    {"number", "total", "part", "reading", "readings", "reading-th", *map(str, range(1, 10))}
)
"""Fields that an announcement or pattern may hold in braces."""


def n_readings(text: str) -> int:
    """Return how often something is read: 1 to 9 times."""
    return values.count(text, least=1, most=9)


def silence_s(text: str) -> Fraction:
    """Return a candidates' silence in seconds: 0.3 s or more."""
    value_s = values.duration_s(text, "6 s")
    if value_s < SHORTEST_SILENCE_S:
        raise ValueProblem(f"a silence of {text} is under 0.3 s", "write 0.3 s or more")
    return value_s


def _between(text: str) -> tuple[Fraction, ...]:
    return tuple(silence_s(part.strip()) for part in text.split(","))


def _answer_time(text: str) -> AnswerTime:
    word = values.tidy_blanks(text)
    if word == "none":
        return None
    if word == "by hand":
        return ByHand()
    return silence_s(text)


def pause_s(text: str) -> Fraction:
    """Return one of the author's pauses in seconds: 0.1 s to 60 s."""
    value_s = values.duration_s(text, "0.8 s")
    if not Fraction(1, 10) <= value_s <= LONGEST_PAUSE_S:
        raise ValueProblem(f"a pause of {text} is not between 0.1 s and 60 s", "for example: 0.8 s")
    return value_s


def template(text: str) -> str | None:
    """Return an announcement with its fields checked, or None for `none`."""
    if values.tidy_blanks(text) == "none":
        return None
    rest = text
    for name in FIELDS:
        rest = rest.replace("{" + name + "}", "")
    if "{" in rest or "}" in rest:
        raise ValueProblem(
            f"‘{text}’ holds a field that is not known",
            "known fields: {number} {total} {part} {reading} {readings} {reading-th} {1}",
        )
    if not values.tidy_blanks(text):
        raise ValueProblem("there are no words here", 'write words, or "none" for no announcement')
    markup = re.search(r"[*_`\[\]<>]|::", text)
    if markup:
        raise ValueProblem(
            f"‘{markup[0]}’ stands in words that hold fields", "write plain words and fields only"
        )
    return values.tidy_blanks(text)


def _name(text: str) -> str | None:
    word = values.tidy_blanks(text)
    if not word:
        raise ValueProblem("a name is missing", "write a name")
    return None if word == "none" else word


def voice_name(text: str) -> str:
    """Return the name of a voice, checked for signs that no name has."""
    word = values.tidy_blanks(text)
    if not word or "/" in word or "\\" in word:
        raise ValueProblem(f"‘{text}’ is not the name of a voice", "run: pausewright voices")
    return word


def _lang(text: str) -> str:
    if not is_language(text):
        raise ValueProblem(f"‘{text}’ is not a language tag", "for example: lang=es-ES")
    return text


def caption_policy(text: str) -> CaptionPolicy:
    """Return what captions may show."""
    for policy in CAPTION_POLICIES:
        if text == policy:
            return policy
    raise ValueProblem(
        f"‘{text}’ is not known for captions", "write nothing, instructions or everything"
    )


def _time_cue(text: str) -> str | None:
    word = values.tidy_blanks(text)
    if word not in {"half", "none"}:
        raise ValueProblem(f"‘{text}’ is not a time cue", "write half")
    return None if word == "none" else word


@frozen
class Scoped(Generic[T_co]):
    """An attribute that is inherited."""

    name: str
    default: T_co
    read: Callable[[str], T_co]
    about: str
    into_passages: bool = True
    in_settings: bool = True


READINGS: Final = Scoped("readings", 1, n_readings, "How often a question is read.")
BETWEEN_READINGS: Final[Scoped[tuple[Fraction, ...]]] = Scoped(
    "between-readings", (Fraction(3),), _between, "Silence between readings."
)
ANNOUNCE: Final[Scoped[str | None]] = Scoped(
    "announce", None, template, "Said before the first reading.", into_passages=False
)
AGAIN: Final[Scoped[str | None]] = Scoped(
    "again", None, template, "Said before each later reading.", into_passages=False
)
PATTERN: Final[Scoped[str | None]] = Scoped(
    "pattern", None, _name, "Name of a pattern.", into_passages=False
)
ANSWER_TIME: Final[Scoped[AnswerTime]] = Scoped(
    "answer-time", None, _answer_time, "Silence after the last reading.", into_passages=False
)
BETWEEN_PARAGRAPHS: Final = Scoped(
    "between-paragraphs", Fraction(4, 5), pause_s, "Pause between paragraphs of a question."
)
BETWEEN_OPTIONS: Final = Scoped(
    "between-options", Fraction(1), pause_s, "Pause before each answer to choose."
)
TURN_PAUSE: Final = Scoped(
    "turn-pause", Fraction(3, 5), pause_s, "Pause between turns of a dialogue."
)
VOICE: Final[Scoped[str | None]] = Scoped(
    "voice", None, voice_name, "Name of the voice; the language's unless given."
)
LANG: Final[Scoped[str | None]] = Scoped(
    "lang", None, _lang, "Language of the words.", in_settings=False
)
TAKE: Final = Scoped(
    "take", 1, values.count, "Another reading of the same words.", in_settings=False
)
PACE: Final = Scoped(
    "pace", Fraction(1), values.share, "Share of the script's pace.", in_settings=False
)
CAPTIONS: Final[Scoped[CaptionPolicy]] = Scoped(
    "captions", "instructions", caption_policy, "What captions may show."
)
TIME_CUE: Final[Scoped[str | None]] = Scoped(
    "time-cue", None, _time_cue, "half: said half-way.", into_passages=False
)

SCOPED: Final[dict[str, Scoped[object]]] = {
    one.name: one
    for one in (
        READINGS,
        BETWEEN_READINGS,
        ANNOUNCE,
        AGAIN,
        PATTERN,
        ANSWER_TIME,
        BETWEEN_PARAGRAPHS,
        BETWEEN_OPTIONS,
        TURN_PAUSE,
        VOICE,
        LANG,
        TAKE,
        PACE,
        CAPTIONS,
        TIME_CUE,
    )
}
"""The inherited attributes by name, with defaults."""


def read_scoped(name: str, text: str) -> object:
    """Read the value of an inherited attribute; raises `ValueProblem`."""
    if not SCOPED[name].in_settings:
        hint = (
            "in the settings write language: …" if name == "lang" else f'write {{{name}="…"}} there'
        )
        raise ValueProblem(f"‘{name}’ belongs on a part, group or question", hint)
    return SCOPED[name].read(text)


@frozen
class Scope:
    """What is in force at one place."""

    language: str
    values: dict[str, InForce[object]] = field(default_factory=dict)
    practice: bool = False
    printed: bool = False

    def get(self, one: Scoped[T]) -> InForce[T]:
        """Return the value in force with its origin."""
        found = self.values.get(one.name)
        if found is None:
            return InForce(one.default, None, "default")
        return cast("InForce[T]", found)  # read by this very entry

    def with_values(self, found: dict[str, InForce[object]]) -> Scope:
        """Return a scope with these values in force over the old ones."""
        return Scope(self.language, {**self.values, **found}, self.practice, self.printed)

    def speech(self, *, voice: str | None = None, language: str | None = None) -> Speech:
        """Return how words are voiced here; a speaker's voice and language go before."""
        spoken = language or self.get(LANG).value or self.language
        return Speech(
            voice or self.get(VOICE).value or usual_voice(spoken, self.language),
            spoken,
            self.get(PACE).value,
            self.get(TAKE).value,
        )

    def delivery(self) -> Delivery:
        """Return how a question is read here."""
        return Delivery(
            readings=self.get(READINGS),
            between_readings_s=self.get(BETWEEN_READINGS),
            announce=self.get(ANNOUNCE),
            again=self.get(AGAIN),
            pattern=self.get(PATTERN),
            answer_time=self.get(ANSWER_TIME) if ANSWER_TIME.name in self.values else None,
            between_paragraphs_s=self.get(BETWEEN_PARAGRAPHS),
            between_options_s=self.get(BETWEEN_OPTIONS),
            turn_pause_s=self.get(TURN_PAUSE),
            speech=self.speech(),
            captions=self.get(CAPTIONS).value,
            time_cue=self.get(TIME_CUE),
        )

    def for_passage(self) -> Scope:
        """Return the scope that a passage inherits: never announcements, pattern or times."""
        kept = {n: v for n, v in self.values.items() if SCOPED[n].into_passages}
        return Scope(self.language, kept, self.practice, self.printed)
