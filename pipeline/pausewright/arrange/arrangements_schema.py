"""The JSON Schema of arrangements, made from the one table of fields.

`arrangements.schema.json` beside this module is what `schema_text` returns; after a change of
the table write it anew with: python -m pausewright.arrange.arrangements_schema
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

from pausewright.arrange.fields import FIELDS

FILE: Final = Path(__file__).with_name("arrangements.schema.json")


def arrangements_schema() -> dict[str, object]:
    """Return the schema of `NAME.arrangements.yaml` as JSON Schema 2020-12."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Arrangements of a Pausewright script",
        "description": "By name, what differs from the standard track.",
        "type": "object",
        "additionalProperties": {
            "type": "object",
            "additionalProperties": False,
            "required": ["label"],
            "dependentRequired": {
                **{name: ["basis"] for name, spec in FIELDS.items() if spec.is_change},
                "extra-time": ["basis", "where"],
            },
            "if": {
                "required": ["extra-time"],
                "properties": {"extra-time": {"type": "string", "pattern": "%"}},
            },
            "then": {"required": ["share-of"]},
            "properties": {
                name: {
                    "description": spec.about,
                    **spec.schema,
                    "examples": [spec.example.partition(": ")[2].strip('"')],
                }
                for name, spec in FIELDS.items()
            },
        },
    }


def schema_text() -> str:
    """Return the schema as the file holds it."""
    return json.dumps(arrangements_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(schema_text(), encoding="utf-8", newline="\n")
