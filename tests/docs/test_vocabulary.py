"""One word for one thing, wherever somebody reads: docs/vocabulary.md is looked up everywhere."""

from __future__ import annotations

import ast
import re
import tomllib
from typing import TYPE_CHECKING, Final

import pytest
from pausewright.script.silences import SILENCES
from support.places import ROOT

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PROGRAM: Final = ROOT / "pipeline" / "pausewright"
VOCABULARY: Final = ROOT / "docs" / "vocabulary.md"
WORDS_OF_SCRIPTS: Final = {"en.toml", "en.cues.toml"}
"""Words that stand in other people's scripts, by which ours reads them."""
NOT_OURS: Final = {"sources.md", "vocabulary.md", "demo-tests.md"}
"""Pages that quote others, hold the table itself, or are made from scripts."""
EXCEPTIONS: Final = {
    ("docs/script-language.md", "subtitle"): "the title of the BBC's guidelines",
    ("docs/the-check.md", "subtitle"): "the title of the BBC's guidelines",
    ("docs/arrangements.md", "learner"): "the title of an awarding body's page",
    ("pipeline/pausewright/checker/shown/caption_reading.py", "subtitle"): "the guidelines' title",
    ("pipeline/pausewright/wording/units.py", "pupil"): "a word of scripts: 5 books/pupil",
    ("pipeline/pausewright/wording/units.py", "student"): "a word of scripts: 5 books/student",
    ("pipeline/pausewright/video/video_file.py", "subtitle"): "the name of a filter of ffmpeg",
}
"""Where a word of the third column is right, by file and word."""
CODE: Final = re.compile(r"[\w./:=-]*")
"""A literal of one word is a key, a code or a name, not a sentence that is read."""


def _rows() -> list[list[str]]:
    table = VOCABULARY.read_text("utf-8").split("|---|---|---|\n")[1]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in table.splitlines()]


def _avoided() -> list[str]:
    return [word for row in _rows() for word in row[2].split(", ")]


def _literals(source: str) -> Iterator[str]:
    tree = ast.parse(source)
    alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in alone
            and not CODE.fullmatch(node.value)
        ):
            yield node.value


def _page(source: str) -> str:
    return re.sub(r"<style.*?</style>|<!--.*?-->|\{[#%{].*?[#%}]\}", " ", source, flags=re.DOTALL)


def _sentences_of_script(source: str) -> str:
    without_comments = re.sub(
        r"/\*.*?\*/|^\s*//[^\n]*", " ", source, flags=re.DOTALL | re.MULTILINE
    )
    return "\n".join(re.findall(r'"[^"\n]* [^"\n]*"|`[^`]* [^`]*`', without_comments))


def _texts_of(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for one in value:
            yield from _texts_of(one)
    elif isinstance(value, dict):
        yield from _texts_of(list(value.values()))


def _prose(source: str) -> str:
    without_blocks = re.sub(r"^ *(`{3,}).*?^ *\1", " ", source, flags=re.DOTALL | re.MULTILINE)
    return re.sub(r"``.*?``|`[^`\n]*`", " ", without_blocks)


def _read(file: Path) -> str:
    source = file.read_text("utf-8")
    if file.suffix == ".py":
        return "\n".join(_literals(source))
    if file.suffix == ".js":
        return _sentences_of_script(source)
    if file.suffix == ".toml":
        return "\n".join(_texts_of(tomllib.loads(source)))
    if file.suffix == ".md":
        return _prose(source)
    return _page(source)


def _files() -> list[Path]:
    kinds = {".py", ".js", ".html", ".j2", ".toml"}
    program = [file for file in PROGRAM.rglob("*") if file.suffix in kinds]
    program = [file for file in program if file.name not in WORDS_OF_SCRIPTS]
    pages = [file for file in (ROOT / "docs").glob("*.md") if file.name not in NOT_OURS]
    return sorted([*program, *pages, ROOT / "README.md"])


def _found_in(text: str, avoided: list[str]) -> set[str]:
    found = set()
    for word in avoided:
        flags = 0 if word.isupper() else re.IGNORECASE
        if re.search(rf"(?<![\w-]){re.escape(word)}s?(?![\w-])", text, flags):
            found.add(word.lower())
    return found


def test_no_word_that_the_table_leaves_out_is_read_anywhere() -> None:
    """Sentences of the program, its pages and screens, and the docs: no second word."""
    avoided = _avoided()
    found = {
        (file.relative_to(ROOT).as_posix(), word)
        for file in _files()
        for word in _found_in(_read(file), avoided)
    }

    assert found - EXCEPTIONS.keys() == set()
    assert EXCEPTIONS.keys() - found == set(), "an exception that is not needed any more"


def test_every_silence_of_the_program_is_a_word_of_the_table() -> None:
    """The candidates' and the invigilator's silences, and those at both ends, by their names."""
    words = {word for row in _rows() for word in row[1].split(", ")}
    kinds = {
        "look-time",
        "between-readings",
        "answer-time",
        "phrase-time",
        "page-turn-time",
        "hold",
    }
    kinds |= {"pause", "default-pause", "lead-in", "run-out"}
    names = {one.name for kind, one in SILENCES.items() if kind in kinds}

    assert len(names) == len(kinds)
    assert names <= words


def test_the_table_does_not_contradict_itself() -> None:
    """No word is right in one row and left out in another; every row has three cells."""
    rows = _rows()

    assert len(rows) >= 25
    assert {len(row) for row in rows} == {3}
    assert not {word for row in rows for word in row[1].split(", ")} & set(_avoided())


@pytest.mark.parametrize(
    ("suffix", "source"),
    [
        (".py", 'WORDS = f"press the {key} of the sound track now"\n'),
        (".js", 'show("Turn the sound track off"); // fine\n'),
        (".html", "<style>p {}</style><p>The sound track</p>"),
        (".j2", "{% if x %}<p>sound track</p>{% endif %}"),
        (".toml", 'words = ["the sound track"]\n'),
        (".md", "Start the sound track.\n"),
    ],
)
def test_a_planted_word_is_found(suffix: str, source: str, tmp_path: Path) -> None:
    """In each kind of file; in code and comments it is none of the reader's business."""
    file = tmp_path / f"planted{suffix}"
    file.write_text(source, "utf-8")

    assert _found_in(_read(file), _avoided()) == {"sound track"}


@pytest.mark.parametrize(
    ("suffix", "source"),
    [
        (".py", '"""Of the sound track."""\nKIND = "lead-in"\n'),
        (".js", "/* the sound track */\nconst kind = 1;\n"),
        (".md", "Write `sound track`.\n\n```\nsound track\n```\n"),
    ],
)
def test_what_nobody_reads_is_left_alone(suffix: str, source: str, tmp_path: Path) -> None:
    """Docstrings, comments, keys and code."""
    file = tmp_path / f"planted{suffix}"
    file.write_text(source, "utf-8")

    assert _found_in(_read(file), _avoided()) == set()
