"""The fields of an arrangement: one table for the reader, the JSON Schema and the documentation."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Generic, Literal, TypeAlias, TypeVar, get_args

from pausewright.arrange import field_readers as readers
from pausewright.arrange.arrangement import (
    NO_CHANGES,
    Base,
    FieldName,
    GapsOrEnd,
    Split,
    TrackFormat,
)
from pausewright.arrange.field_readers import PLACES, QUESTION
from pausewright.frozen import frozen
from pausewright.script.attributes import values
from pausewright.script.attributes.scope import caption_policy, n_readings, silence_s, voice_name
from pausewright.script.declared import CAPTION_POLICIES
from pausewright.script.settings.settings_table import read_loudness
from pausewright.script.silences import SILENCE_KINDS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

T_co = TypeVar("T_co", covariant=True)

Remainder: TypeAlias = Literal["fixed-and-remainder"]
"""As a place: the pause after each question stands in a field of its own."""
_REMAINDER: Final[Remainder] = "fixed-and-remainder"
_WHERE: Final[tuple[GapsOrEnd | Remainder, ...]] = (*PLACES, _REMAINDER)
_BASES: Final[tuple[Base, ...]] = get_args(Base)
_FORMATS: Final[tuple[TrackFormat, ...]] = get_args(TrackFormat)
_OFF: Final[tuple[Literal["off"], ...]] = ("off",)
_AT_STOPS: Final[tuple[Literal["at-stops"], ...]] = ("at-stops",)


@frozen
class Field(Generic[T_co]):
    """One field, and how its value is read; every reader raises `ValueProblem`."""

    name: FieldName
    example: str
    about: str
    schema: Mapping[str, object]
    read: Callable[[str], T_co] | None = None
    """Reader of one value."""
    read_list: Callable[[Sequence[str]], T_co] | None = None
    """Reader of a list of values."""
    read_map: Callable[[Mapping[str, str]], T_co] | None = None
    """Reader of the form with names."""

    @property
    def is_change(self) -> bool:
        """Whether it changes the track or what goes with it, and so needs a basis."""
        return self.name not in NO_CHANGES


_TEXT: Final = {"type": ["string", "number"]}
_TIME: Final = {"type": "string", "pattern": r"^\d+(\.\d+)?\s*(ms|s|min|h)$"}
_EXTRA: Final = {
    "type": "string",
    "pattern": r"^\d+(\.\d+)?\s*(%|ms|s|min|h)(\s*,\s*\d+(\.\d+)?\s*(s|min|h)\s+at most)?$",
}

_SPLIT: Final = {"type": "string", "pattern": r"^\d+(\.\d+)?\s*(%|ms|s|min|h)$"}

LABEL: Final = Field(
    "label",
    "label: B",
    "What the room sees in place of the arrangement's name.",
    {"type": ["string", "integer"], "pattern": "^[A-Za-z0-9][A-Za-z0-9 -]{0,11}$"},
    read=readers.label,
)
BASIS: Final = Field(
    "basis",
    'basis: "Access file 14/B"',
    "Why it is permitted; confidential.",
    _TEXT,
    read=readers.words,
)
EXTRA_TIME: Final = Field(
    "extra-time",
    "extra-time: 25 %",
    "Share or minutes, with a ceiling if there is one.",
    _EXTRA,
    read=readers.extra_time,
)
STRETCH: Final = Field(
    "stretch",
    "stretch: [answer-time]",
    "The kinds of silence that it touches.",
    {"type": "array", "items": {"enum": list(SILENCE_KINDS)}, "minItems": 1},
    read_list=readers.each(readers.one_of(SILENCE_KINDS)),
)
SHARE_OF: Final = Field(
    "share-of",
    "share-of: listed-silences",
    "What a share is a share of.",
    {"enum": list(_BASES)},
    read=readers.one_of(_BASES),
)
WHERE: Final[Field[GapsOrEnd | Remainder | Split]] = Field(
    "where",
    "where: each-gap",
    "Where the time goes, or how it is split.",
    {
        "anyOf": [
            {"enum": list(_WHERE)},
            {
                "type": "object",
                "additionalProperties": False,
                "minProperties": 1,
                "properties": dict.fromkeys(PLACES, _SPLIT),
                "patternProperties": {f"^{QUESTION.pattern}$": _SPLIT},
            },
        ]
    },
    read=readers.one_of(_WHERE),
    read_map=readers.split,
)
FIXED_PAUSE: Final = Field(
    "fixed-pause",
    "fixed-pause: 60 s",
    "After each question, with fixed-and-remainder.",
    _TIME,
    read=silence_s,
)
EXTRA_WORDS: Final = Field(
    "extra-words",
    'extra-words: "You have {time} more."',
    "Said before time that is added in one piece; {time} is that time.",
    {"type": "string", "pattern": r"\{time\}"},
    read=readers.extra_words,
)
TEST_TIME: Final = Field(
    "test-time",
    "test-time: 40 min",
    "The time that the test is given, where parts are left out.",
    _TIME,
    read=values.duration_s,
)
EXTRA_TIME_CONFIRMED: Final = Field(
    "extra-time-confirmed",
    "extra-time-confirmed: 300 s",
    "The sum of the extra time, confirmed where its share can be read in several ways.",
    _TIME,
    read=values.duration_s,
)
PACE: Final = Field(
    "pace",
    "pace: 80 %",
    "Speech as a share of the standard pace.",
    {"type": "string", "pattern": r"^\d+(\.\d+)?\s*%$"},
    read=values.share,
)
READINGS: Final = Field(
    "readings",
    "readings: 3",
    "How often each question is read.",
    {"type": ["integer", "string"], "pattern": "^[1-9]$", "minimum": 1, "maximum": 9},
    read=n_readings,
)
PAUSES: Final = Field(
    "pauses",
    "pauses: {sentence: 1.2 s}",
    "Pauses inside readings, at marks only.",
    {
        "type": "object",
        "additionalProperties": False,
        "properties": {"sentence": _TIME, "clause": _TIME},
    },
    read_map=readers.pauses,
)
REST_BREAKS: Final = Field(
    "rest-breaks",
    'rest-breaks: {after-questions: "8, 16"}',
    "Stops that are not test time.",
    {
        "type": "object",
        "additionalProperties": False,
        "oneOf": [{"required": ["after-questions"]}, {"required": ["every"]}],
        "properties": {
            "after-questions": {"type": ["string", "integer"]},
            "every": _TIME,
            "words": _TEXT,
        },
    },
    read_map=readers.rest_breaks,
)
LOOK_TIME: Final = Field(
    "look-time",
    "look-time: 60 s",
    "Time to look at the sheet; also before each question.",
    {
        "anyOf": [
            _TIME,
            {
                "type": "object",
                "additionalProperties": False,
                "anyOf": [{"required": ["in-script"]}, {"required": ["before-questions"]}],
                "dependentRequired": {"words": ["before-questions"]},
                "properties": {"in-script": _TIME, "before-questions": _TIME, "words": _TEXT},
            },
        ]
    },
    read=readers.look_time,
    read_map=readers.look_times,
)
LEAVE_OUT: Final = Field(
    "leave-out",
    'leave-out: ["Part 3"]',
    "Parts that the candidate is exempt from, by title.",
    {"type": "array", "items": _TEXT, "minItems": 1},
    read_list=readers.each(readers.words),
)
BACKGROUND: Final = Field(
    "background",
    "background: off",
    "off: without sounds that lie under speech.",
    {"enum": ["off", False]},
    read=readers.one_of(_OFF),
)
CAPTIONS: Final = Field(
    "captions",
    "captions: everything",
    "What captions show.",
    {"enum": list(CAPTION_POLICIES)},
    read=caption_policy,
)
TRANSCRIPT: Final = Field(
    "transcript",
    "transcript: instructions",
    "What a transcript holds.",
    {"enum": list(CAPTION_POLICIES)},
    read=readers.one_of(CAPTION_POLICIES),
)
VOICE: Final = Field("voice", "voice: george", "Name of the voice.", _TEXT, read=voice_name)
LOUDNESS: Final = Field(
    "loudness",
    "loudness: loudspeaker",
    "headphones, loudspeaker, a level, or as recorded.",
    _TEXT,
    read=read_loudness,
)
FORMAT: Final = Field(
    "format",
    "format: [mp3, wav]",
    "File formats of the track.",
    {"type": "array", "items": {"enum": list(_FORMATS)}, "minItems": 1},
    read_list=readers.each(readers.one_of(_FORMATS)),
)
SPLIT: Final = Field(
    "split",
    "split: at-stops",
    "Also one file per stretch between stops.",
    {"enum": list(_AT_STOPS)},
    read=readers.one_of(_AT_STOPS),
)

PRINT: Final = Field(
    "print",
    "print: {size: 18 pt, paper: A3}",
    "Size of letters, paper and font of the candidates' papers.",
    {
        "type": "object",
        "additionalProperties": False,
        "minProperties": 1,
        "properties": {
            "size": {"type": "string", "pattern": r"^\d{1,2}(\.\d)?\s*pt$"},
            "paper": {"type": "string", "pattern": "^(A4|A3|US Letter)(,.{1,40})?$"},
            "font": {"enum": list(readers.PRINT_FONTS)},
            "turns": {"enum": list(readers.TURNS)},
        },
    },
    read_map=readers.print_look,
)

FIELDS: Final[dict[str, Field[object]]] = {
    one.name: one for one in list(globals().values()) if isinstance(one, Field)
}
"""What an arrangement may declare: the fields above, by the names that authors write."""
