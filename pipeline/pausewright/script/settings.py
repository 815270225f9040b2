"""The settings at the head of a script: strict YAML 1.2, every value read by its own rule.

The library gives nodes with line and column; their text is read here, so that `10:15` stays a
time, `no` stays a word and `010` is not eight. Duplicates are refused. `SETTINGS` is the one
table from which the defaults, the reader, the JSON Schema and the documentation are made.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from pausewright.problems import Place, Problems, nearest
from pausewright.script import values
from pausewright.script.inline import CAPTION_POLICIES, is_language
from pausewright.script.model import (
    InForce,
    Pattern,
    PatternPause,
    PatternSay,
    Settings,
    SpeakerSpec,
    ToneSpec,
)
from pausewright.script.scope import SCOPED, read_scoped
from pausewright.script.values import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from pausewright.script.source import Source


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting that is not also an attribute."""

    default: str
    read: Callable[[str], Any]
    about: str
    pattern: str = ""
    """Regular expression for the JSON Schema; empty: any text."""
    choices: tuple[str, ...] = ()


def _text(text: str) -> str:
    return values.tidy_blanks(text)


def _language(text: str) -> str:
    if not is_language(text):
        raise ValueProblem(f"‘{text}’ is not a language tag", "for example: language: en-GB")
    return text


def _one_of(*choices: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in choices:
            close = nearest(text, choices)
            raise ValueProblem(
                f"‘{text}’ is not known here",
                f"did you mean {close}?" if close else "write one of: " + ", ".join(choices),
            )
        return text

    return read


def _small_pause(text: str) -> Fraction:
    value_s = values.duration_s(text, "0.8 s")
    if not Fraction(1, 10) <= value_s <= 10:
        raise ValueProblem(f"{text} is not between 0.1 s and 10 s", "for example: 0.8 s")
    return value_s


def _channels(text: str) -> int:
    return values.count(text, least=1, most=2)


LOUDNESS: Final = {"headphones": Fraction(-23), "loudspeaker": Fraction(-18)}
"""Named loudness targets in LUFS; sources in docs/script-language.md."""


def _loudness(text: str) -> str:
    if text in LOUDNESS:
        return text
    number = text.replace("−", "-").removesuffix("LUFS").strip()
    try:
        level = Fraction(number)
    except ValueError as error:
        raise ValueProblem(
            f"‘{text}’ is not a loudness", "write headphones, loudspeaker, or for example -20 LUFS"
        ) from error
    if not -30 <= level <= -16:
        raise ValueProblem(f"{text} is not between -30 and -16 LUFS", "for example: -23 LUFS")
    return f"{number} LUFS"


def loudness_lufs(loudness: str) -> Fraction:
    """Return the target of a loudness setting in LUFS."""
    if loudness in LOUDNESS:
        return LOUDNESS[loudness]
    return Fraction(loudness.removesuffix("LUFS").strip())


_DURATION: Final = r"^\d+(\.\d+)?\s*(ms|s|min|h)$"

SETTINGS: Final[dict[str, Setting]] = {
    "title": Setting("", _text, "Title of the test, as the room may see it."),
    "use": Setting(
        "test", _one_of("test", "practice"), "What it is for.", choices=("test", "practice")
    ),
    "language": Setting(
        "", _language, "Language of the script, for example en-GB.", r"^[a-z]{2,3}(-[A-Za-z0-9]+)*$"
    ),
    "channels": Setting("1", _channels, "1 (mono) or 2 (stereo).", choices=("1", "2")),
    "loudness": Setting(
        "headphones", _loudness, "headphones (-23 LUFS), loudspeaker (-18 LUFS) or a level."
    ),
    "numbering": Setting(
        "whole", _one_of("whole", "by-part"), "Question numbers run on, or restart at each part.",
        choices=("whole", "by-part"),
    ),
    "paragraph-pause": Setting("0.8 s", _small_pause, "Pause after a paragraph.", _DURATION),
    "sentence-pause": Setting("0.4 s", _small_pause, "Pause between sentences.", _DURATION),
    "announcement-pause": Setting(
        "0.8 s", _small_pause, "Pause after an announcement.", _DURATION
    ),
    "captions-reason": Setting("", _text, "Why captions may show everything."),
    "test-time": Setting("", values.duration_s, "The time that the test is given.", _DURATION),
    "extra-time": Setting(
        "", _one_of("not-permitted"), "not-permitted forbids arrangements with extra time.",
        choices=("not-permitted",),
    ),
    "extra-time-reason": Setting("", _text, "The rule that forbids it."),
    "accept-voice-language": Setting(
        "", _text, "Why a voice of another language is acceptable here."
    ),
    "zero": Setting(
        "", _one_of("nought", "zero", "oh"),
        "How 0 is read: nought (default), zero (default in American English) or oh.",
        choices=("nought", "zero", "oh"),
    ),
    "withdrawn-wording": Setting(
        "Leave question {number} blank.", _text, "What is said for a withdrawn question."
    ),
    "continues-wording": Setting(
        "The recording continues.", _text, "What is said after a stop."
    ),
}  # fmt: skip
"""Settings that are not also attributes; those are in `scope.SCOPED`."""

STRUCTURED: Final = ("speakers", "tones", "patterns", "arrangements")


def read_settings(
    source: Source, problems: Problems
) -> tuple[Settings, dict[str, InForce[Any]], Mapping[str, Any]]:
    """Read the settings of a script.

    Returns the settings, the attribute values that they put in force for the whole test, and
    the plain mapping under `arrangements` (empty without).
    """
    reader = _Reader(source, problems)
    return reader.read()


class _Reader:
    def __init__(self, source: Source, problems: Problems) -> None:
        self._source = source
        self._problems = problems
        self._found: dict[str, Any] = {}
        self._places: dict[str, Place] = {}
        self._scoped: dict[str, InForce[Any]] = {}
        self._speakers: dict[str, SpeakerSpec] = {}
        self._tones: dict[str, ToneSpec] = {}
        self._patterns: dict[str, Pattern] = {}
        self._arrangements: dict[str, Any] = {}

    def read(self) -> tuple[Settings, dict[str, InForce[Any]], Mapping[str, Any]]:
        root = self._compose()
        if root is not None:
            self._mapping(root, self._setting)
        if self._source.settings_line and "title" not in self._found:
            self._missing("title", "title: Unit 3 arithmetic")
        if self._source.settings_line and "language" not in self._found:
            self._missing("language", "language: en-GB")
        return self._settings(), self._scoped, self._arrangements

    def _missing(self, name: str, example: str) -> None:
        self._problems.error(
            self._source.place(self._source.settings_line, 1, 3),
            f"the settings do not give ‘{name}’", f"add a line: {example}",
            code="setting-missing",
        )  # fmt: skip

    def _compose(self) -> Node | None:
        text = self._source.settings_text
        if not text.strip():
            return None
        yaml = YAML(typ="safe", pure=True)
        try:
            node = yaml.compose(text)
        except MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            line = self._line(mark.line if mark else 0)
            column = (mark.column if mark else 0) + 1
            message, hint = _in_our_words(str(error.problem or error))
            self._problems.error(
                self._source.place(line, column), message, hint, code="settings-unreadable"
            )
            return None
        except (YAMLError, ValueError, RecursionError) as error:
            self._problems.error(
                self._source.place(self._source.settings_line, 1, 3),
                f"the settings cannot be read: {str(error).splitlines()[0]}", "",
                code="settings-unreadable",
            )  # fmt: skip
            return None
        if not isinstance(node, MappingNode):
            self._problems.error(
                self._source.place(self._source.settings_line + 1, 1),
                "the settings are not a list of ‘name: value’ lines", "for example: title: Unit 3",
                code="settings-unreadable",
            )  # fmt: skip
            return None
        return node

    def _line(self, mark_line: int) -> int:
        last = len(self._source.lines)
        return min(last, self._source.settings_line + mark_line + 1)

    def _place(self, node: Node) -> Place:
        start, end = node.start_mark, node.end_mark
        length = end.column - start.column if end.line == start.line else 1
        return self._source.place(self._line(start.line), start.column + 1, max(1, length))

    def _error(self, node: Node, message: str, hint: str, code: str = "setting-value") -> None:
        self._problems.error(self._place(node), message, hint, code=code)

    def _mapping(self, node: Node, take: Callable[[str, Node, Node], None]) -> None:
        if not isinstance(node, MappingNode):
            self._error(node, "a list of ‘name: value’ is expected here", "indent it by two blanks")
            return
        seen: set[str] = set()
        for key, value in node.value:
            if not isinstance(key, ScalarNode):
                self._error(key, "this is not a name", "write name: value")
                continue
            name = str(key.value)
            if name in seen:
                self._error(key, f"‘{name}’ is given twice", "keep one of them", "setting-twice")
                continue
            seen.add(name)
            take(name, key, value)

    def _scalar(self, name: str, node: Node) -> str | None:
        if not isinstance(node, ScalarNode):
            self._error(node, f"‘{name}’ takes one value", f'write {name}: "…"')
            return None
        return str(node.value)

    def _setting(self, name: str, key: Node, node: Node) -> None:
        self._places[name] = self._place(key)
        if name in STRUCTURED:
            getattr(self, f"_read_{name}")(node)
            return
        if name not in SETTINGS and name not in SCOPED and name != "pace":
            close = nearest(name, [*SETTINGS, *SCOPED, *STRUCTURED, "pace"])
            self._error(
                key, f"‘{name}’ is not a setting",
                f"did you mean {close}?" if close else "see docs/script-language.md", "setting-unknown",
            )  # fmt: skip
            return
        text = self._scalar(name, node)
        if text is None:
            return
        try:
            if name == "pace":
                self._found["pace"] = values.words_a_minute(text)
            elif name in SETTINGS:
                if not text.strip() and name in {"title", "language"}:
                    raise ValueProblem(f"‘{name}’ is empty", f"write {name}: …")
                self._found[name] = SETTINGS[name].read(text)
            else:
                value = read_scoped(name, text)
                self._scoped[name] = InForce(value, self._place(node), "settings")
        except ValueProblem as problem:
            self._error(node, f"{name}: {problem.message}", problem.hint)

    # ---- structured settings

    def _read_speakers(self, node: Node) -> None:
        def speaker(name: str, key: Node, value: Node) -> None:
            found: dict[str, str] = {}

            def one(field: str, field_key: Node, field_value: Node) -> None:
                if field not in {"voice", "language"}:
                    self._error(
                        field_key, f"‘{field}’ is not known for a speaker",
                        "write voice and language", "setting-unknown",
                    )  # fmt: skip
                    return
                found[field] = self._scalar(field, field_value) or ""
                if field == "language" and not is_language(found[field]):
                    self._error(field_value, f"‘{found[field]}’ is not a language tag", "es-ES")

            self._mapping(value, one)
            if not found.get("voice"):
                self._error(key, f"the speaker ‘{name}’ has no voice", "write {voice: joe}")
            self._speakers[name] = SpeakerSpec(found.get("voice", ""), found.get("language", ""))

        self._mapping(node, speaker)

    def _read_tones(self, node: Node) -> None:
        def tone(name: str, key: Node, value: Node) -> None:
            found: dict[str, Fraction] = {}
            readers = {"frequency": values.frequency_hz, "length": values.duration_s}

            def one(field: str, field_key: Node, field_value: Node) -> None:
                if field not in readers:
                    self._error(
                        field_key, f"‘{field}’ is not known for a tone",
                        "write frequency and length", "setting-unknown",
                    )  # fmt: skip
                    return
                text = self._scalar(field, field_value)
                try:
                    if text is not None:
                        found[field] = readers[field](text)
                except ValueProblem as problem:
                    self._error(field_value, problem.message, problem.hint)

            self._mapping(value, one)
            missing = [field for field in readers if field not in found]
            if missing:
                self._error(
                    key, f"the tone ‘{name}’ has no {' and no '.join(missing)}",
                    "write {frequency: 660 Hz, length: 0.6 s}",
                )  # fmt: skip
                return
            if not Fraction(1, 20) <= found["length"] <= 10:
                self._error(
                    key, f"the tone ‘{name}’ is not between 0.05 s and 10 s", "length: 0.6 s"
                )
                return
            self._tones[name] = ToneSpec(found["frequency"], found["length"])

        self._mapping(node, tone)

    def _read_patterns(self, node: Node) -> None:
        def pattern(name: str, key: Node, value: Node) -> None:
            again: tuple[PatternSay | PatternPause, ...] = ()
            if isinstance(value, MappingNode):
                parts: dict[str, Node] = {}
                self._mapping(value, lambda field, _key, inner: parts.__setitem__(field, inner))
                unknown = parts.keys() - {"steps", "again"}
                if unknown or "steps" not in parts:
                    self._error(
                        key, f"the pattern ‘{name}’ needs ‘steps’", "steps: [ … ], again: [ … ]"
                    )
                    return
                steps = self._steps(parts["steps"])
                again = self._steps(parts["again"]) if "again" in parts else ()
            else:
                steps = self._steps(value)
            if not steps:
                return
            self._patterns[name] = Pattern(name, steps, again, self._place(key))

        self._mapping(node, pattern)

    def _steps(self, node: Node) -> tuple[PatternSay | PatternPause, ...]:
        if not isinstance(node, SequenceNode):
            self._error(node, "a pattern is a list", "begin each step with a hyphen: - say: …")
            return ()
        steps: list[PatternSay | PatternPause] = []

        def step(name: str, key: Node, value: Node) -> None:
            text = self._scalar(name, value)
            if text is None:
                return
            try:
                if name == "say":
                    steps.append(PatternSay(text, self._place(value)))
                elif name == "pause":
                    pause_s = values.duration_s(text, "1.5 s")
                    steps.append(PatternPause(pause_s, self._place(value)))
                else:
                    self._error(
                        key, f"‘{name}’ is not a step of a pattern", "write say or pause",
                        "setting-unknown",
                    )  # fmt: skip
            except ValueProblem as problem:
                self._error(value, problem.message, problem.hint)

        for child in node.value:
            self._mapping(child, step)
        for index, one in enumerate(steps):
            edge = index in {0, len(steps) - 1}
            beside = index and isinstance(steps[index - 1], PatternPause)
            if isinstance(one, PatternPause) and (edge or beside):
                self._problems.error(
                    one.place, "a pause of a pattern stands between two say steps",
                    "begin and end the pattern with say", code="silences-adjacent",
                )  # fmt: skip
        return tuple(steps)

    def _read_arrangements(self, node: Node) -> None:
        self._arrangements = {"node": node}

    def _settings(self) -> Settings:
        def get(name: str) -> Any:  # noqa: ANN401  one of many types, by the table
            if name in self._found:
                return self._found[name]
            default = SETTINGS[name].default
            return SETTINGS[name].read(default) if default else ""

        scoped = {name: value.value for name, value in self._scoped.items()}
        captions = scoped.get("captions", "instructions")
        return Settings(
            title=get("title"),
            use=get("use"),
            language=get("language") or "en-GB",
            voice=scoped.get("voice", "joe"),
            channels=get("channels"),
            loudness=get("loudness"),
            numbering=get("numbering"),
            pace_wpm=self._found.get("pace", Fraction(140)),
            paragraph_pause_s=get("paragraph-pause"),
            sentence_pause_s=get("sentence-pause"),
            announcement_pause_s=get("announcement-pause"),
            zero=get("zero") or ("zero" if get("language") == "en-US" else "nought"),
            captions=captions if captions in CAPTION_POLICIES else "instructions",
            captions_reason=get("captions-reason"),
            test_time_s=self._found.get("test-time"),
            extra_time=get("extra-time"),
            extra_time_reason=get("extra-time-reason"),
            accept_voice_language=get("accept-voice-language"),
            withdrawn_wording=get("withdrawn-wording"),
            continues_wording=get("continues-wording"),
            speakers=self._speakers,
            tones=self._tones,
            patterns=self._patterns,
            places=self._places,
        )


def _in_our_words(problem: str) -> tuple[str, str]:
    """Return sentence and hint for what the YAML library says."""
    if "mapping values are not allowed" in problem:
        return (
            "a second colon on this line makes it unreadable",
            'put the value in quotation marks, for example: title: "A: b"',
        )
    if "found character" in problem and "that cannot start" in problem:
        return (
            "this value begins with a character that has a meaning of its own",
            "put the value in quotation marks",
        )
    if "could not find expected ':'" in problem:
        return "this line is not of the form ‘name: value’", "write name: value"
    if "expected <block end>" in problem:
        return (
            "this line is indented differently from the lines above",
            "begin all settings of one kind at the same column",
        )
    if "unexpected end of stream" in problem or "found unexpected end" in problem:
        return "quotation marks are not closed", "close them on the same line"
    return f"the settings cannot be read here ({problem})", "put the value in quotation marks"
