"""The published schema of arrangements is the table's, and judges as the reader does."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING

import jsonschema
import pytest
from pausewright.arrange import arrangements_schema
from ruamel.yaml import YAML
from support.scripts.arrangement_cases import QUARTER, REFUSED, declared

if TYPE_CHECKING:
    from pathlib import Path

CHECKER = jsonschema.Draft202012Validator(arrangements_schema.arrangements_schema())


def plain(text: str) -> object:
    """Return YAML 1.2 as an editor reads it."""
    return json.loads(json.dumps(YAML(typ="safe", pure=True).load(io.StringIO(text))))


def test_the_file_is_the_tables() -> None:
    """The schema file is what the table gives; after a change it is written anew."""
    assert arrangements_schema.FILE.read_text(encoding="utf-8") == arrangements_schema.schema_text()
    jsonschema.Draft202012Validator.check_schema(arrangements_schema.arrangements_schema())


def test_a_good_declaration_is_accepted(tmp_path: Path) -> None:
    """What the reader accepts, the schema accepts."""
    assert declared(tmp_path, QUARTER)[1] == ()
    assert list(CHECKER.iter_errors(plain(QUARTER))) == []


BEYOND_SCHEMA = (
    "‘stretch’",
    "of its own",
    "same label",
    "not between 50",
    "given twice",
    "under 0.3 s",
)
"""What needs other fields or numbers to be told; the reader refuses it."""


FORMS = [t for t, words in REFUSED.items() if not any(told in words for told in BEYOND_SCHEMA)]


@pytest.mark.parametrize("text", FORMS)
def test_a_bad_declaration_is_refused(text: str) -> None:
    """What the reader refuses by a field's form, the schema refuses, too."""
    assert list(CHECKER.iter_errors(plain(text)))
