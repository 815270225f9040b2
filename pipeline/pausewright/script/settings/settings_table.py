"""The table of settings at the head of a script: defaults, and the rule that reads each value.

`SETTINGS` is the one table from which the defaults, the reader, the JSON Schema and the
documentation are made.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.problems import name_hint
from pausewright.script.attributes import values
from pausewright.script.attributes.values import ValueProblem, is_language

if TYPE_CHECKING:
    from collections.abc import Callable


@frozen
class Setting:
    """One setting that is not also an attribute."""

    default: str
    read: Callable[[str], object]
    about: str
    pattern: str = ""
    """Regular expression for the JSON Schema; empty: any text."""
    choices: tuple[str, ...] = ()


def _text(text: str) -> str:
    return values.tidy_blanks(text)


def _title(text: str) -> str:
    found = re.search(r"[{}\[\]`]|::", text)
    if found:
        raise ValueProblem(f"‘{found[0]}’ stands in the title", "write plain words")
    return values.tidy_blanks(text)


def _language(text: str) -> str:
    if not is_language(text):
        raise ValueProblem(f"‘{text}’ is not a language tag", "for example: language: en-GB")
    return text


def _wording(*fields: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        words = values.tidy_blanks(text)
        rest = words
        for field in fields:
            rest = rest.replace("{" + field + "}", "")
        if "{" in rest or "}" in rest:
            known = f"known field: {{{fields[0]}}}" if fields else "write plain words"
            raise ValueProblem(f"‘{text}’ holds a field that is not known", known)
        if not words:
            raise ValueProblem("this wording is empty", "write words, or take it out")
        return words

    return read


LONGEST_COUNTDOWN_WORDING: Final = 20
"""Characters beside the time: with "120 min 55 s" a line of 32 (docs/script-language.md)."""
MOST_COUNTDOWN_WORDS: Final = 4
"""Words beside the time, so that the slowest reader needs no more than three seconds."""


def _countdown_wording(text: str) -> str:
    words = _wording("time")(text)
    if words.count("{time}") != 1:
        raise ValueProblem(f"‘{text}’ does not hold {{time}} once", 'for example: "{time} left"')
    rest = words.replace("{time}", "")
    if len(rest) > LONGEST_COUNTDOWN_WORDING or len(rest.split()) > MOST_COUNTDOWN_WORDS:
        raise ValueProblem(
            f"‘{text}’ has more than {LONGEST_COUNTDOWN_WORDING} characters or "
            f"{MOST_COUNTDOWN_WORDS} words beside the time",
            'for example: "{time} left"',
        )
    return words


def _one_of(*choices: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in choices:
            raise ValueProblem(
                f"‘{text}’ is not known here",
                name_hint(text, choices, "write one of: " + ", ".join(choices)),
            )
        return text

    return read


_NO_OR_YES: Final = ("no", "yes")
_COUNTDOWN: Final = ("none", "shown")


def _yes_or_no(text: str) -> bool:
    return _one_of(*_NO_OR_YES)(text) == "yes"


def _countdown(text: str) -> bool:
    return _one_of(*_COUNTDOWN)(text) == "shown"


def _writing_rate(text: str) -> Fraction:
    return values.words_a_minute(text, least=5, most=60)


def _small_pause(text: str) -> Fraction:
    value_s = values.duration_s(text, "0.8 s")
    if not Fraction(1, 10) <= value_s <= 10:
        raise ValueProblem(f"{text} is not between 0.1 s and 10 s", "for example: 0.8 s")
    return value_s


def _folder(text: str) -> str:
    name = values.tidy_blanks(text)
    if re.match(r"[A-Za-z][A-Za-z0-9+.-]*:|/", name) or "\\" in name or ".." in name.split("/"):
        raise ValueProblem(
            f"‘{text}’ is no folder below the script's own", "for example: paper-templates: papers"
        )
    return name


_OF_SLATE: Final = ("{title}", "{edition}", "{version}")


def _slate(text: str) -> str:
    words = values.tidy_blanks(text)
    if words == "none":
        return ""
    example = 'slate: "{title}, edition {edition}, version {version}. Can all of you hear this?"'
    lacking = [name for name in _OF_SLATE if name not in words]
    if lacking:
        raise ValueProblem(
            f"the slate does not say {', '.join(lacking)}", f"for example: {example}"
        )
    rest = words
    for name in _OF_SLATE:
        rest = rest.replace(name, "")
    if "{" in rest or "}" in rest:
        raise ValueProblem(
            "a slate has the fields {title}, {edition} and {version} only",
            f"for example: {example}",
        )
    return words


MOST_HEAD_LINES: Final = 8
LONGEST_HEAD_LINE: Final = 40
"""Characters before a line to fill in, so that at the largest letters some of it is left."""


def _sheet_head(text: str) -> tuple[str, ...]:
    lines = tuple(values.tidy_blanks(line) for line in text.split(","))
    if lines == ("none",):
        return ()
    if not all(lines) or len(lines) > MOST_HEAD_LINES:
        raise ValueProblem(
            f"‘{text}’ is not 1 to {MOST_HEAD_LINES} lines with commas between them",
            "for example: sheet-head: Name, Candidate number, Date (or none)",
        )
    for line in lines:
        if len(line) > LONGEST_HEAD_LINE:
            raise ValueProblem(
                f"‘{line}’ has {len(line)} characters, and {LONGEST_HEAD_LINE} are printed at most",
                "say it in fewer words",
            )
    return lines


def _channels(text: str) -> int:
    return values.count(text, least=1, most=2)


LOUDNESS: Final = {"headphones": Fraction(-23), "loudspeaker": Fraction(-18)}
"""Named loudness targets in LUFS; sources in docs/script-language.md."""


AS_RECORDED: Final = "as recorded"
"""The loudness of a script that is one given recording: it stays at its own level."""


def read_loudness(text: str) -> str:
    """Return a loudness by name, or as a level such as `-20 LUFS`."""
    if text in LOUDNESS or text == AS_RECORDED:
        return text
    number = text.replace("−", "-").removesuffix("LUFS").strip()
    if not re.fullmatch(r"-?\d{1,3}(\.\d{1,2})?", number):
        raise ValueProblem(
            f"‘{text}’ is not a loudness",
            "write headphones, loudspeaker, as recorded, or for example -20 LUFS",
        )
    level = Fraction(number)
    if not -30 <= level <= -16:
        raise ValueProblem(f"{text} is not between -30 and -16 LUFS", "for example: -23 LUFS")
    return f"{number} LUFS"


def loudness_lufs(loudness: str) -> Fraction:
    """Return the target of a loudness setting in LUFS.

    What is `as recorded` has none of its own: the usual one is given, and whoever builds or judges
    a given recording measures that instead.
    """
    if loudness == AS_RECORDED:
        return LOUDNESS["headphones"]
    if loudness in LOUDNESS:
        return LOUDNESS[loudness]
    return Fraction(loudness.removesuffix("LUFS").strip())


DURATION: Final = r"^\d+(\.\d+)?\s*(ms|s|min|h)$"


def _choice(default: str, about: str, *choices: str) -> Setting:
    return Setting(default, _one_of(*choices), about, choices=choices)


SETTINGS: Final[dict[str, Setting]] = {
    "title": Setting("", _title, "Title of the test, as the room may see it."),
    "use": _choice("test", "What it is for.", "test", "practice"),
    "language": Setting(
        "", _language, "Language of the script, for example en-GB.", r"^[a-z]{2,3}(-[A-Za-z0-9]+)*$"
    ),
    "channels": Setting("1", _channels, "1 (mono) or 2 (stereo).", choices=("1", "2")),
    "loudness": Setting(
        "headphones",
        read_loudness,
        "headphones (-23 LUFS), loudspeaker (-18 LUFS), a level, or as recorded.",
    ),
    "recording-rights": Setting(
        "",
        _text,
        "Who may use the recording that the script is bound to, and how; printed as written.",
    ),
    "numbering": _choice(
        "whole", "Question numbers run on, or restart at each part.", "whole", "by-part"
    ),
    "paragraph-pause": Setting("0.8 s", _small_pause, "Pause after a paragraph.", DURATION),
    "sentence-pause": Setting("0.4 s", _small_pause, "Pause between sentences.", DURATION),
    "announcement-pause": Setting("0.8 s", _small_pause, "Pause after an announcement.", DURATION),
    "captions-reason": Setting("", _text, "Why captions may show everything."),
    "caption-profile": _choice(
        "adult", "For whom captions are timed and broken.", "adult", "younger-readers"
    ),
    "countdown": Setting(
        "none", _countdown, "shown: captions count down each answer time.", choices=_COUNTDOWN
    ),
    "countdown-wording": Setting(
        "{time} left", _countdown_wording, "What a countdown shows.", r"\{time\}"
    ),
    "show-time": Setting(
        "no",
        _yes_or_no,
        "yes: the room screen shows candidates how much of a silence is left.",
        choices=_NO_OR_YES,
    ),
    "test-time": Setting("", values.duration_s, "The time that the test is given.", DURATION),
    "extra-time": _choice(
        "", "not-permitted forbids arrangements with extra time.", "not-permitted"
    ),
    "extra-time-reason": Setting("", _text, "The rule that forbids it."),
    "accept-voice-language": Setting(
        "", _text, "Why a voice of another language is acceptable here."
    ),
    "zero": _choice(
        "",
        "How 0 is read: nought (default), zero (default in American English) or oh.",
        *("nought", "zero", "oh"),
    ),
    "withdrawn-wording": Setting(
        "Leave question {number} blank.",
        _wording("number"),
        "What is said for a withdrawn question.",
    ),
    "writing-rate": Setting(
        "20 words/min",
        _writing_rate,
        "Words a minute that candidates write; dictation phrases are measured by it.",
        r"^\d+(\.\d+)?\s*words?\s*(/|a|per)\s*min(ute)?$",
    ),
    "time-cue-wording": Setting(
        "Half of the time is gone.", _wording(), "What is said when half of an answer time is gone."
    ),
    "continues-wording": Setting(
        "The recording continues.", _wording(), "What is said after a stop."
    ),
    "slate": Setting(
        "none", _slate, "What is said at the head of the track, before the test, with a stop."
    ),
    "mark-scheme": Setting(
        "no", _yes_or_no, "yes: each build writes a mark scheme.", choices=_NO_OR_YES
    ),
    "paper-templates": Setting(
        "", _folder, "Folder beside the script with templates in the place of ours, for papers."
    ),
    "sheet-head": Setting(
        "",
        _sheet_head,
        "Lines to fill in at the head of the answer sheet: Name, Candidate number; or none.",
    ),
}
"""Settings that are not also attributes; those are in `scope.SCOPED`."""

STRUCTURED: Final = ("speakers", "tones", "patterns", "wording", "words", "lexicon", "arrangements")
