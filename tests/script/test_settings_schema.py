"""The published schema of the settings is the table's, and accepts what scripts declare."""

from __future__ import annotations

import io
import json
from pathlib import Path

import jsonschema
import make_settings_schema
import pytest
from pausewright.script.attributes.scope import SCOPED
from pausewright.script.settings.settings_table import SETTINGS, STRUCTURED
from ruamel.yaml import YAML
from support.places import CASES

CHECKER = jsonschema.Draft202012Validator(make_settings_schema.settings_schema())
DEMO = Path(__file__).parents[2] / "demo_scripts"
SCRIPTS = [*sorted(DEMO.glob("*.md")), CASES / "wide.md"]


def settings(text: str) -> object:
    """Return the settings of a script as an editor reads them: YAML 1.2 to JSON."""
    head = text.split("---\n")[1]
    return json.loads(json.dumps(YAML(typ="safe", pure=True).load(io.StringIO(head))))


def test_the_file_is_the_tables() -> None:
    """The schema file is what the table gives; after a change it is written anew."""
    assert (
        make_settings_schema.FILE.read_text(encoding="utf-8") == make_settings_schema.schema_text()
    )
    jsonschema.Draft202012Validator.check_schema(make_settings_schema.settings_schema())


def test_every_setting_is_in_the_schema_with_a_description() -> None:
    """Each setting of the reader's tables is a property that says what it is for."""
    known = {*SETTINGS, *STRUCTURED, "pace", *(n for n, s in SCOPED.items() if s.in_settings)}
    properties = make_settings_schema.settings_schema()["properties"]

    assert set(properties) == known
    assert all(p["description"].endswith(".") for p in properties.values())


@pytest.mark.parametrize("file", SCRIPTS, ids=lambda f: f.stem)
def test_settings_of_scripts_are_accepted(file: Path) -> None:
    """The settings of the demo scripts satisfy the schema."""
    assert list(CHECKER.iter_errors(settings(file.read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize(
    "line",
    [
        "readings: 12", "readings: two", "answer-time: 5", "captions: all", "use: exam",
        "channels: 3", "numbering: by part", "pace: 140", "test-time: 90", "tilte: T",
        "tones: {a: {frequency: 660, length: 1 s}}", "speakers: {A: {language: es_}}",
        "patterns: {a: [{wait: 1 s}]}", "between-readings: 5 s 6 s", "key: 5",
    ],
)  # fmt: skip
def test_wrong_settings_are_refused(line: str) -> None:
    """An editor sees what the reader would refuse."""
    text = f"---\ntitle: T\nlanguage: en\n{line}\n---\n"

    assert list(CHECKER.iter_errors(settings(text)))


def test_defaults_in_the_schema_are_read_by_the_reader() -> None:
    """Each default that the schema names is a value that its own rule accepts."""
    for setting in SETTINGS.values():
        if setting.default:
            setting.read(setting.default)
