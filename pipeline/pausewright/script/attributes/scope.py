"""Values that are inherited: test → part → group → passage or question.

`SCOPED` is the table of attributes that may also stand in the settings; a `Scope` holds what is
in force at a place, each value with its origin.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from pausewright.script.attributes import values
from pausewright.script.attributes.values import ValueProblem, is_language
from pausewright.script.declared import CAPTION_POLICIES
from pausewright.script.model import AnswerTime, ByHand, Delivery, InForce, Speech

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.script.declared import CaptionPolicy

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


@dataclass(frozen=True, slots=True)
class Scoped:
    """An attribute that is inherited."""

    default: Any
    read: Callable[[str], Any]
    into_passages: bool
    about: str
    in_settings: bool = True


SCOPED: Final[dict[str, Scoped]] = {
    "readings": Scoped(1, n_readings, into_passages=True, about="How often a question is read."),
    "between-readings": Scoped(
        (Fraction(3),), _between, into_passages=True, about="Silence between readings."
    ),
    "announce": Scoped(None, template, into_passages=False, about="Said before the first reading."),
    "again": Scoped(None, template, into_passages=False, about="Said before each later reading."),
    "pattern": Scoped(None, _name, into_passages=False, about="Name of a pattern."),
    "answer-time": Scoped(
        None, _answer_time, into_passages=False, about="Silence after the last reading."
    ),
    "between-paragraphs": Scoped(
        Fraction(4, 5), pause_s, into_passages=True, about="Pause between paragraphs of a question."
    ),
    "between-options": Scoped(
        Fraction(1), pause_s, into_passages=True, about="Pause before each answer to choose."
    ),
    "turn-pause": Scoped(
        Fraction(3, 5), pause_s, into_passages=True, about="Pause between turns of a dialogue."
    ),
    "voice": Scoped("joe", voice_name, into_passages=True, about="Name of the voice."),
    "lang": Scoped(
        None, _lang, into_passages=True, about="Language of the words.", in_settings=False
    ),
    "take": Scoped(
        1,
        values.count,
        into_passages=True,
        about="Another reading of the same words.",
        in_settings=False,
    ),
    "pace": Scoped(
        Fraction(1),
        values.share,
        into_passages=True,
        about="Share of the script's pace.",
        in_settings=False,
    ),
    "captions": Scoped(
        "instructions", caption_policy, into_passages=True, about="What captions may show."
    ),
    "time-cue": Scoped(None, _time_cue, into_passages=False, about="half: said half-way."),
}
"""The inherited attributes, with defaults."""


def read_scoped(name: str, text: str) -> Any:  # noqa: ANN401  by the table
    """Read the value of an inherited attribute; raises `ValueProblem`."""
    if not SCOPED[name].in_settings:
        hint = (
            "in the settings write language: …" if name == "lang" else f'write {{{name}="…"}} there'
        )
        raise ValueProblem(f"‘{name}’ belongs on a part, group or question", hint)
    return SCOPED[name].read(text)


@dataclass(frozen=True, slots=True)
class Scope:
    """What is in force at one place."""

    language: str
    values: dict[str, InForce[Any]] = field(default_factory=dict)
    practice: bool = False
    printed: bool = False

    def get(self, name: str) -> InForce[Any]:
        """Return the value in force with its origin."""
        if name in self.values:
            return self.values[name]
        return InForce(SCOPED[name].default, None, "default")

    def with_values(self, found: dict[str, InForce[Any]]) -> Scope:
        """Return a scope with these values in force over the old ones."""
        return Scope(self.language, {**self.values, **found}, self.practice, self.printed)

    def speech(self, *, voice: str | None = None, language: str | None = None) -> Speech:
        """Return how words are voiced here; a speaker's voice and language go before."""
        own = self.get("lang").value
        return Speech(
            voice or self.get("voice").value,
            language or own or self.language,
            self.get("pace").value,
            self.get("take").value,
        )

    def delivery(self) -> Delivery:
        """Return how a question is read here."""
        answer = self.values.get("answer-time")
        return Delivery(
            readings=self.get("readings"),
            between_readings_s=self.get("between-readings"),
            announce=self.get("announce"),
            again=self.get("again"),
            pattern=self.get("pattern"),
            answer_time=answer,
            between_paragraphs_s=self.get("between-paragraphs"),
            between_options_s=self.get("between-options"),
            turn_pause_s=self.get("turn-pause"),
            speech=self.speech(),
            captions=self.get("captions").value,
            time_cue=self.get("time-cue"),
        )

    def for_passage(self) -> Scope:
        """Return the scope that a passage inherits: never announcements, pattern or times."""
        kept = {n: v for n, v in self.values.items() if SCOPED[n].into_passages}
        return Scope(self.language, kept, self.practice, self.printed)
