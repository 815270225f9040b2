"""The JSON Schema of a script's settings, made from the one table, for editors and checks.

    .venv/bin/python scripts/make_settings_schema.py

Writes `settings.schema.json` in the package `script.settings`; run it after a change of the table.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final, TypeAlias

from pausewright.script.attributes.scope import SCOPED
from pausewright.script.declared import CAPTION_POLICIES
from pausewright.script.settings.settings_table import DURATION, SETTINGS
from pausewright.script.wording_styles import STYLES

ROOT: Final = Path(__file__).resolve().parent.parent
FILE: Final = ROOT / "pipeline/pausewright/script/settings/settings.schema.json"

Schema: TypeAlias = dict[str, Any]

_DURATIONS: Final = DURATION.replace("$", "") + r"(\s*,\s*" + DURATION.strip("^$") + ")*$"
_COUNT: Final = {"type": ["integer", "string"], "pattern": "^[1-9]$", "minimum": 1, "maximum": 9}
_WORDS: Final = {"type": ["string", "number"]}
_SCOPED: Final[Schema] = {
    "readings": _COUNT,
    "between-readings": {"type": "string", "pattern": _DURATIONS},
    "answer-time": {
        "anyOf": [
            {"type": "string", "pattern": DURATION},
            {"enum": ["none", "by hand"]},
        ]
    },
    "between-paragraphs": {"type": "string", "pattern": DURATION},
    "between-options": {"type": "string", "pattern": DURATION},
    "turn-pause": {"type": "string", "pattern": DURATION},
    "captions": {"enum": list(CAPTION_POLICIES)},
    "time-cue": {"enum": ["half", "none"]},
}
"""Values of inherited attributes that are not any words."""

_STEPS: Final = {
    "type": "array",
    "minItems": 1,
    "items": {
        "type": "object",
        "minProperties": 1,
        "maxProperties": 1,
        "additionalProperties": False,
        "properties": {
            "say": {"type": "string", "description": "Words, with fields such as {number}, {1}."},
            "pause": {"type": "string", "pattern": DURATION},
        },
    },
}
_STRUCTURED: Final[Schema] = {
    "speakers": {
        "description": "Who speaks in passages: name, voice, language.",
        "type": "object",
        "additionalProperties": {
            "type": ["object", "null"],
            "additionalProperties": False,
            "properties": {
                "voice": {"type": "string"},
                "language": {"type": "string", "pattern": SETTINGS["language"].pattern},
            },
        },
    },
    "tones": {
        "description": "Named tones, used as [name]{.tone}.",
        "type": "object",
        "additionalProperties": {
            "type": "object",
            "required": ["frequency", "length"],
            "additionalProperties": False,
            "properties": {
                "frequency": {"type": "string", "pattern": r"^\d+(\.\d+)?\s*k?Hz$"},
                "length": {"type": "string", "pattern": DURATION},
            },
        },
    },
    "wording": {
        "description": "Ways of reading on which sources differ; see docs/wording.md.",
        "type": "object",
        "additionalProperties": False,
        "properties": {
            name: {"enum": list(style.choices), "description": style.about}
            for name, style in STYLES.items()
        },
    },
    "words": {
        "description": "Words and how they are said in this script; see docs/wording.md.",
        "type": "object",
        "additionalProperties": {
            "anyOf": [
                {"type": "string", "minLength": 1},
                {
                    "type": "object",
                    "additionalProperties": False,
                    "properties": {
                        "say": {"type": "string"},
                        "ipa": {"type": "string"},
                        "shown": {"type": "string"},
                        "language": {"type": "string"},
                        "voices": {
                            "anyOf": [
                                {"type": "string"},
                                {"type": "array", "items": {"type": "string"}},
                            ]
                        },
                    },
                },
            ]
        },
    },
    "lexicon": {
        "description": "Lexicon files beside the script, the first one first.",
        "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}],
    },
    "patterns": {
        "description": "What replaces readings, announce and again, by name.",
        "type": "object",
        "additionalProperties": {
            "oneOf": [
                _STEPS,
                {
                    "type": "object",
                    "required": ["steps"],
                    "additionalProperties": False,
                    "properties": {"steps": _STEPS, "again": _STEPS},
                },
            ]
        },
    },
    "arrangements": {
        "description": "Versions for candidates; or in NAME.arrangements.yaml beside the script.",
        "type": "object",
    },
}


def settings_schema() -> Schema:
    """Return the schema as JSON Schema 2020-12; defaults and descriptions are the table's."""
    properties: Schema = {}
    for name, setting in SETTINGS.items():
        entry: Schema = dict(_WORDS)
        if setting.choices:
            entry = {"enum": [*setting.choices, *(int(c) for c in setting.choices if c.isdigit())]}
        elif setting.pattern:
            entry = {"type": "string", "pattern": setting.pattern}
        properties[name] = {"description": setting.about, **entry}
        if setting.default:
            properties[name]["default"] = setting.default
    properties["pace"] = {
        "description": "Words a minute to which each voice is calibrated.",
        "type": "string",
        "pattern": r"^\d+(\.\d+)?\s*words?\s*(/|a|per)\s*min(ute)?$",
        "default": "140 words/min",
    }
    for name, scoped in SCOPED.items():
        if scoped.in_settings:
            properties[name] = {"description": scoped.about, **_SCOPED.get(name, _WORDS)}
    properties |= _STRUCTURED
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Settings of a Pausewright script",
        "description": "The lines between --- and --- at the head of a script.",
        "type": "object",
        "required": ["title", "language"],
        "additionalProperties": False,
        "properties": dict(sorted(properties.items())),
    }


def schema_text() -> str:
    """Return the schema as the file holds it."""
    return json.dumps(settings_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(schema_text(), encoding="utf-8", newline="\n")
