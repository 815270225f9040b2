"""The fields of an arrangement: one table for the reader, the JSON Schema and the documentation."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from pausewright.script import values
from pausewright.script.model import SILENCE_KINDS
from pausewright.script.scope import SCOPED, pause_s, silence_s, template
from pausewright.script.settings import read_loudness
from pausewright.script.values import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

WHERE: Final = ("each-gap", "part-end", "test-end", "fixed-and-remainder")
SHARE_OF: Final = ("listed-silences", "whole-test")
TRANSCRIPTS: Final = ("nothing", "instructions", "everything")
FORMATS: Final = ("mp3", "wav", "flac")
AT_STOPS: Final = "at-stops"
QUESTION: Final = re.compile(r"question ([1-9]\d{0,3})")
"""A place of a stated split: after this question."""
TIME_FIELD: Final = "{time}"
"""Stands in `extra-words` for the time that is added there."""


@dataclass(frozen=True, slots=True)
class ExtraTime:
    """A share of the declared base, or a fixed time; with a ceiling, if there is one."""

    share: Fraction | None
    """1/4 for 25 %; None for a fixed time."""
    fixed_s: Fraction | None
    at_most_s: Fraction | None = None


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One field."""

    read: Callable[[str], Any] | None
    """Reader of one value; None if there is only the form with names."""
    example: str
    about: str
    schema: Mapping[str, Any]
    change: bool = True
    """Whether it changes the track or what goes with it, and so needs a basis."""
    many: bool = False
    """A list of values."""
    read_map: Callable[[Mapping[str, str]], Any] | None = None
    """Reader of the form with names."""


def _one_of(*choices: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in choices:
            raise ValueProblem(f"‘{text}’ is not known here", "write one of: " + ", ".join(choices))
        return text

    return read


def _words(text: str) -> str:
    words = values.tidy_blanks(text)
    if not words:
        raise ValueProblem("there are no words here", "write some")
    return words


def _label(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 -]{0,11}", text):
        raise ValueProblem(
            f"‘{text}’ is not a short label of letters and figures", "for example: label: B"
        )
    return text


def _percent(text: str) -> Fraction:
    found = re.fullmatch(r"(\d{1,12}(?:\.\d{1,12})?)\s*%", values.tidy_blanks(text))
    if not found or not 0 < Fraction(found[1]) <= 400:
        raise ValueProblem(f"‘{text}’ is not a share up to 400 %", "for example: 25 %")
    return Fraction(found[1]) / 100


def _extra_time(text: str) -> ExtraTime:
    amount, _, ceiling = text.partition(",")
    at_most_s = None
    if ceiling:
        found = re.fullmatch(r"\s*(.+?)\s+at most\s*", ceiling)
        if not found:
            raise ValueProblem(
                f"‘{ceiling.strip()}’ is not a ceiling", "for example: 25 %, 30 min at most"
            )
        at_most_s = values.duration_s(found[1], "30 min")
    if amount.strip().endswith("%"):
        return ExtraTime(_percent(amount), None, at_most_s)
    return ExtraTime(None, values.duration_s(amount, "10 min"), at_most_s)


def _split(parts: Mapping[str, str]) -> dict[str, ExtraTime]:
    places = WHERE[:-1]
    split = {name: _extra_time(text) for name, text in parts.items()}
    for name, amount in split.items():
        if name not in places and not QUESTION.fullmatch(name):
            raise ValueProblem(
                f"‘{name}’ is no place for time", f"known: {', '.join(places)}, question 5"
            )
        if amount.at_most_s is not None:
            raise ValueProblem(
                f"‘{name}’ has a ceiling of its own", "write the ceiling at extra-time"
            )
    if not split:
        raise ValueProblem("the split is empty", "for example: {each-gap: 15 %, test-end: 10 %}")
    return split


def _extra_words(text: str) -> str:
    words = values.tidy_blanks(text)
    rest = words.replace(TIME_FIELD, "")
    found = re.search(r"[{}*_`\[\]<>]|::", rest)
    if found:
        raise ValueProblem(f"‘{found[0]}’ stands in words that are said", "write plain words")
    if TIME_FIELD not in words:
        raise ValueProblem(
            "these words do not say how much time there is",
            'write {time} where it stands: "You have {time} more."',
        )
    return words


def _pauses(parts: Mapping[str, str]) -> dict[str, Fraction]:
    for name in parts:
        if name not in {"sentence", "clause"}:
            raise ValueProblem(f"‘{name}’ is no place for a pause", "known: sentence, clause")
    return {name: pause_s(text) for name, text in parts.items()}


def _look_time(text: str) -> dict[str, Any]:
    return {"in-script": silence_s(text)}


def _look_times(parts: Mapping[str, str]) -> dict[str, Any]:
    readers: dict[str, Callable[[str], Any]] = {
        "in-script": silence_s,
        "before-questions": silence_s,
        "words": template,
    }
    for name in parts:
        if name not in readers:
            raise ValueProblem(f"‘{name}’ is no look time", f"known: {', '.join(readers)}")
    if not set(parts) - {"words"} or ("words" in parts and "before-questions" not in parts):
        raise ValueProblem(
            "it is not said how long the look time is", "for example: {before-questions: 15 s}"
        )
    return {name: readers[name](text) for name, text in parts.items()}


def _breaks(parts: Mapping[str, str]) -> dict[str, Any]:
    readers: dict[str, Callable[[str], Any]] = {
        "after-questions": values.question_numbers,
        "every": values.duration_s,
        "words": _words,
    }
    if set(parts) - set(readers) or len(set(parts) - {"words"}) != 1:
        raise ValueProblem(
            "rest breaks are given by ‘after-questions’ or by ‘every’", '{after-questions: "8, 16"}'
        )
    return {name: readers[name](text) for name, text in parts.items()}


_TEXT: Final = {"type": ["string", "number"]}
_TIME: Final = {"type": "string", "pattern": r"^\d+(\.\d+)?\s*(ms|s|min|h)$"}
_EXTRA: Final = {
    "type": "string",
    "pattern": r"^\d+(\.\d+)?\s*(%|ms|s|min|h)(\s*,\s*\d+(\.\d+)?\s*(s|min|h)\s+at most)?$",
}

_SPLIT: Final = {"type": "string", "pattern": r"^\d+(\.\d+)?\s*(%|ms|s|min|h)$"}

FIELDS: Final[dict[str, FieldSpec]] = {
    "label": FieldSpec(
        _label, "label: B", "What the room sees in place of the arrangement's name.",
        {"type": ["string", "integer"], "pattern": "^[A-Za-z0-9][A-Za-z0-9 -]{0,11}$"},
        change=False,
    ),
    "basis": FieldSpec(
        _words, 'basis: "Access file 14/B"', "Why it is permitted; confidential.", _TEXT,
        change=False,
    ),
    "extra-time": FieldSpec(
        _extra_time, "extra-time: 25 %", "Share or minutes, with a ceiling if there is one.", _EXTRA
    ),
    "stretch": FieldSpec(
        _one_of(*SILENCE_KINDS), "stretch: [answer-time]", "The kinds of silence that it touches.",
        {"type": "array", "items": {"enum": list(SILENCE_KINDS)}, "minItems": 1}, many=True,
    ),
    "share-of": FieldSpec(
        _one_of(*SHARE_OF), "share-of: listed-silences", "What a share is a share of.",
        {"enum": list(SHARE_OF)},
    ),
    "where": FieldSpec(
        _one_of(*WHERE), "where: each-gap", "Where the time goes, or how it is split.",
        {"anyOf": [
            {"enum": list(WHERE)},
            {"type": "object", "additionalProperties": False,
             "minProperties": 1, "properties": dict.fromkeys(WHERE[:-1], _SPLIT),
             "patternProperties": {f"^{QUESTION.pattern}$": _SPLIT}},
        ]},
        read_map=_split,
    ),
    "fixed-pause": FieldSpec(
        silence_s, "fixed-pause: 60 s", "After each question, with fixed-and-remainder.", _TIME
    ),
    "extra-words": FieldSpec(
        _extra_words, 'extra-words: "You have {time} more."',
        "Said before time that is added in one piece; {time} is that time.",
        {"type": "string", "pattern": r"\{time\}"},
    ),
    "test-time": FieldSpec(
        values.duration_s, "test-time: 40 min",
        "The time that the test is given, where parts are left out.", _TIME, change=False,
    ),
    "pace": FieldSpec(
        values.share, "pace: 80 %", "Speech as a share of the standard pace.",
        {"type": "string", "pattern": r"^\d+(\.\d+)?\s*%$"},
    ),
    "readings": FieldSpec(
        SCOPED["readings"].read, "readings: 3", "How often each question is read.",
        {"type": ["integer", "string"], "pattern": "^[1-9]$", "minimum": 1, "maximum": 9},
    ),
    "pauses": FieldSpec(
        None, "pauses: {sentence: 1.2 s}", "Pauses inside readings, at marks only.",
        {"type": "object", "additionalProperties": False,
         "properties": {"sentence": _TIME, "clause": _TIME}},
        read_map=_pauses,
    ),
    "rest-breaks": FieldSpec(
        None, 'rest-breaks: {after-questions: "8, 16"}', "Stops that are not test time.",
        {"type": "object", "additionalProperties": False,
         "oneOf": [{"required": ["after-questions"]}, {"required": ["every"]}],
         "properties": {
             "after-questions": {"type": ["string", "integer"]}, "every": _TIME, "words": _TEXT,
         }},
        read_map=_breaks,
    ),
    "look-time": FieldSpec(
        _look_time, "look-time: 60 s", "Time to look at the sheet; also before each question.",
        {"anyOf": [
            _TIME,
            {"type": "object", "additionalProperties": False,
             "anyOf": [{"required": ["in-script"]}, {"required": ["before-questions"]}],
             "dependentRequired": {"words": ["before-questions"]},
             "properties": {"in-script": _TIME, "before-questions": _TIME, "words": _TEXT}},
        ]},
        read_map=_look_times,
    ),
    "leave-out": FieldSpec(
        _words, 'leave-out: ["Part 3"]', "Parts that the candidate is exempt from, by title.",
        {"type": "array", "items": _TEXT, "minItems": 1}, many=True,
    ),
    "background": FieldSpec(
        _one_of("off"), "background: off", "off: without sounds that lie under speech.",
        {"enum": ["off", False]},
    ),
    "captions": FieldSpec(
        SCOPED["captions"].read, "captions: everything", "What captions show.",
        {"enum": list(TRANSCRIPTS)},
    ),
    "transcript": FieldSpec(
        _one_of(*TRANSCRIPTS), "transcript: instructions", "What a transcript holds.",
        {"enum": list(TRANSCRIPTS)},
    ),
    "voice": FieldSpec(SCOPED["voice"].read, "voice: joe", "Name of the voice.", _TEXT),
    "loudness": FieldSpec(
        read_loudness, "loudness: loudspeaker", "headphones, loudspeaker or a level.", _TEXT
    ),
    "format": FieldSpec(
        _one_of(*FORMATS), "format: [mp3, wav]", "File formats of the track.",
        {"type": "array", "items": {"enum": list(FORMATS)}, "minItems": 1}, many=True,
    ),
    "split": FieldSpec(
        _one_of(AT_STOPS), "split: at-stops", "Also one file per stretch between stops.",
        {"enum": [AT_STOPS]}, change=False,
    ),
}  # fmt: skip
"""What an arrangement may declare."""

CHANGES: Final = frozenset(name for name, spec in FIELDS.items() if spec.change)
