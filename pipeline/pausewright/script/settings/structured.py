"""Settings that are lists of their own: speakers, tones, patterns, ways of reading."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeVar

from pausewright.problems import name_hint
from pausewright.script.attributes.scope import silence_s, template
from pausewright.script.attributes.values import (
    ValueProblem,
    duration_s,
    frequency_hz,
    is_language,
)
from pausewright.script.declared import Pattern, PatternPause, PatternSay, SpeakerSpec, ToneSpec
from pausewright.script.settings.strict_yaml import (
    Node,
    YamlReader,
    is_empty,
    is_mapping,
    is_sequence,
)
from pausewright.script.wording_styles import STYLES

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")

_SPEAKER: Final = ("voice", "language")
_TONE: Final = {"frequency": frequency_hz, "length": duration_s}
_UNKNOWN: Final = "setting-unknown"


def read_speakers(yaml: YamlReader, node: Node) -> dict[str, SpeakerSpec]:
    """Return the speakers by name; what cannot be read is a problem with its place."""
    speakers = {}
    for name, _, value in yaml.entries(node):
        found: dict[str, str] = {}
        for field, field_key, inner in () if is_empty(value) else yaml.entries(value):
            if field not in _SPEAKER:
                hint = name_hint(field, _SPEAKER, "write voice and language")
                yaml.error(field_key, f"‘{field}’ is not known for a speaker", hint, _UNKNOWN)
                continue
            text = found[field] = yaml.scalar(field, inner) or ""
            if field == "language" and not is_language(text):
                hint = "for example: language: es-ES"
                yaml.error(inner, f"‘{text}’ is not a language tag", hint)
        speakers[name] = SpeakerSpec(found.get("voice", ""), found.get("language", ""))
    return speakers


def read_tones(yaml: YamlReader, node: Node) -> dict[str, ToneSpec]:
    """Return the tones by name; what cannot be read is a problem with its place."""
    tones = {}
    for name, key, value in yaml.entries(node):
        found: dict[str, Fraction] = {}
        for field, field_key, inner in yaml.entries(value):
            if field not in _TONE:
                hint = "write frequency and length"
                yaml.error(field_key, f"‘{field}’ is not known for a tone", hint, _UNKNOWN)
                continue
            read = _value(yaml, field, inner, _TONE[field])
            if read is not None:
                found[field] = read
        missing = [field for field in _TONE if field not in found]
        if missing:
            hint = "write {frequency: 660 Hz, length: 0.6 s}"
            yaml.error(key, f"the tone ‘{name}’ has no {' and no '.join(missing)}", hint)
        elif not Fraction(1, 20) <= found["length"] <= 10:
            yaml.error(key, f"the tone ‘{name}’ is not between 0.05 s and 10 s", "length: 0.6 s")
        else:
            tones[name] = ToneSpec(found["frequency"], found["length"])
    return tones


def read_patterns(yaml: YamlReader, node: Node) -> dict[str, Pattern]:
    """Return the patterns by name; what cannot be read is a problem with its place."""
    patterns = {}
    for name, key, value in yaml.entries(node):
        parts = {"steps": value}
        if is_mapping(value):
            parts = {field: inner for field, _, inner in yaml.entries(value)}
            unknown = parts.keys() - {"steps", "again"}
            if unknown or "steps" not in parts:
                trouble = f"does not know ‘{min(unknown)}’" if unknown else "needs ‘steps’"
                hint = "steps: [ … ], again: [ … ]"
                yaml.error(key, f"the pattern ‘{name}’ {trouble}", hint)
                continue
        steps = _steps(yaml, parts["steps"])
        again = _steps(yaml, parts["again"]) if "again" in parts else ()
        if steps:
            patterns[name] = Pattern(name, steps, again, yaml.place(key))
    return patterns


def _steps(yaml: YamlReader, node: Node) -> tuple[PatternSay | PatternPause, ...]:
    if not is_sequence(node):
        yaml.error(node, "a pattern is a list", "begin each step with a hyphen: - say: …")
        return ()
    steps: list[PatternSay | PatternPause] = []
    for child in node.value:
        for name, key, value in yaml.entries(child):
            place = yaml.place(value)
            if name == "say":
                words = _value(yaml, name, value, _step_words)
                steps += [] if words is None else [PatternSay(words, place)]
            elif name == "pause":
                pause_s = _value(yaml, name, value, silence_s)
                steps += [] if pause_s is None else [PatternPause(pause_s, place)]
            elif yaml.scalar(name, value) is not None:
                message = f"‘{name}’ is not a step of a pattern"
                yaml.error(key, message, "write say or pause", _UNKNOWN)
    for index, one in enumerate(steps):
        at_edge = index in {0, len(steps) - 1}
        if isinstance(one, PatternPause) and (
            at_edge or isinstance(steps[index - 1], PatternPause)
        ):
            message = "a pause of a pattern stands between two say steps"
            hint = "begin and end the pattern with say"
            yaml.problems.error(one.place, message, hint, code="silences-adjacent")
    return tuple(steps)


def _step_words(text: str) -> str:
    words = template(text)
    if words is None:
        raise ValueProblem("‘none’ is no step", "write words, or take it out")
    return words


def read_styles(yaml: YamlReader, node: Node) -> dict[str, str]:
    """Return the chosen ways of reading by name; see `wording_styles`."""
    chosen = {}
    for name, key, value in yaml.entries(node):
        if name not in STYLES:
            message = f"‘{name}’ is not a way of reading that can be chosen"
            yaml.error(key, message, _one_of(name, tuple(STYLES)), _UNKNOWN)
            continue
        text, choices = yaml.scalar(name, value), STYLES[name].choices
        if text in choices:
            chosen[name] = text
        elif text is not None:
            yaml.error(value, f"‘{text}’ is not known for {name}", _one_of(text, choices))
    return chosen


def _one_of(word: str, known: tuple[str, ...]) -> str:
    return name_hint(word, known, "write one of: " + ", ".join(known))


def _value(yaml: YamlReader, name: str, node: Node, read: Callable[[str], T]) -> T | None:
    """Return the value of a node; None, and a problem, if it cannot be read."""
    text = yaml.scalar(name, node)
    try:
        return None if text is None else read(text)
    except ValueProblem as problem:
        yaml.error(node, problem.message, problem.hint)
        return None
