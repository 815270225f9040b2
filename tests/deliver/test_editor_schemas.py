"""`pausewright schemas`: what editors need to complete settings, never over another file."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from jsonschema import Draft202012Validator
from pausewright.deliver.editor_schemas import SCHEMAS, write_schemas
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path


def test_they_are_written_once(tmp_path: Path) -> None:
    """Both are valid JSON Schemas (2020-12); a second run changes nothing."""
    folder = tmp_path / "new"

    assert write_schemas(folder) == dict.fromkeys(SCHEMAS, True)
    assert write_schemas(folder) == dict.fromkeys(SCHEMAS, False)
    for name in SCHEMAS:
        Draft202012Validator.check_schema(json.loads((folder / name).read_text("utf-8")))


def test_another_file_of_that_name_stays(tmp_path: Path) -> None:
    """It is named, and nothing is written at all."""
    first, last = SCHEMAS
    (tmp_path / last).write_text("mine", encoding="utf-8")

    with pytest.raises(OutputError, match=last):
        write_schemas(tmp_path)

    assert (tmp_path / last).read_text(encoding="utf-8") == "mine"
    assert not (tmp_path / first).exists()


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "file").write_text("", encoding="utf-8")

    with pytest.raises(OutputError, match="cannot be written"):
        write_schemas(tmp_path / "file" / "inside")
