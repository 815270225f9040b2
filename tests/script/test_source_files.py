"""Files as they come: encodings, settings that do not stand first, files that are not there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.problems import ScriptError
from pausewright.script.reader import read, read_script
from support.scripts.script_cases import HEAD, TAIL

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("before", ["\n", " \n\n", "\ufeff\n"])
def test_settings_must_stand_first(tmp_path: Path, before: str) -> None:
    """A blank line before the settings is one problem, and they are read all the same (trap 25)."""
    file = tmp_path / "test.md"
    file.write_text(before + HEAD + "1. One?\n" + TAIL, encoding="utf-8")
    reading = read(file)

    assert [p.code for p in reading.problems] == ["settings-missing"]
    assert reading.script.settings.title == "Harbour"


def test_a_byte_order_mark_is_dropped(tmp_path: Path) -> None:
    """A mark at the start of the file is no text (trap 25)."""
    file = tmp_path / "test.md"
    file.write_bytes(b"\xef\xbb\xbf" + (HEAD + "1. One?\n" + TAIL).encode())

    assert read(file).problems == ()


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file is a problem with a hint, no traceback."""
    with pytest.raises(ScriptError, match=r"nothing\.md’ is not there") as caught:
        read(tmp_path / "nothing.md")
    assert caught.value.problems[0].hint


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    """Bytes that are not UTF-8 are named with their line."""
    file = tmp_path / "test.md"
    file.write_bytes(HEAD.encode() + b"Caf\xe9.\n")
    with pytest.raises(ScriptError, match="not UTF-8") as caught:
        read(file)
    assert caught.value.problems[0].place.line == 6


def test_a_folder_is_no_script(tmp_path: Path) -> None:
    """A folder in place of a file is a problem, no traceback."""
    with pytest.raises(ScriptError, match="is a folder"):
        read(tmp_path)


def test_control_characters_are_named(tmp_path: Path) -> None:
    """A control character is a problem at its place, and no speech."""
    file = tmp_path / "test.md"
    file.write_text(HEAD + "Listen\x07 well.\x0c\n" + TAIL, encoding="utf-8")
    problems = read(file).problems

    assert [(p.place.line, p.place.column, p.code) for p in problems] == [
        (6, 7, "control-character"),
        (6, 14, "control-character"),
    ]


def test_an_empty_file(tmp_path: Path) -> None:
    """An empty file has no settings, and that is said first."""
    file = tmp_path / "test.md"
    file.write_text("", encoding="utf-8")
    problems = read(file).problems

    assert problems[0].code == "settings-missing"


def test_read_script_raises_all_problems(tmp_path: Path) -> None:
    """`read_script` gives a script or raises with every problem."""
    file = tmp_path / "test.md"
    file.write_text(HEAD + "1. One? {a=1}\n2. Two? {b=2}\n" + TAIL, encoding="utf-8")
    with pytest.raises(ScriptError) as caught:
        read_script(file)
    assert [p.place.line for p in caught.value.problems] == [6, 7]

    file.write_text(HEAD + "1. One?\n" + TAIL, encoding="utf-8")
    assert read_script(file).settings.title == "Harbour"
