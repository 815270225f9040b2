"""Settings in their one form: order, comments and quotation marks stay the author's.

Only what cannot change a value is touched: a blank between number and unit, blanks at the ends
of lines, empty lines. Values that go over several lines are left as they are, and so is all that
stands under `arrangements`.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from ruamel.yaml.nodes import MappingNode, ScalarNode, SequenceNode

from pausewright.problems import Problems
from pausewright.script.attributes.values import tidy_blanks
from pausewright.script.settings.strict_yaml import YamlReader
from pausewright.script.tidying.attribute_form import TIMES, times

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.script.settings.strict_yaml import Node
    from pausewright.script.source.source_text import Source

_TIMES: Final = TIMES | {
    "paragraph-pause",
    "sentence-pause",
    "announcement-pause",
    "test-time",
}
_PATTERN_STEPS: Final = 2
"""Names above the steps of a pattern: `patterns` and its own."""


def settings_rows(source: Source) -> list[str]:
    """Return the lines between the two `---` of a script that was read without a problem."""
    rows = source.settings_text.split("\n")
    reader = YamlReader(source.lines, source.settings_line, source.place, Problems())
    root = reader.compose(source.settings_text, "")
    kept: set[int] = set()
    edits: list[tuple[int, int, int, str]] = []
    for names, scalar, in_flow in _scalars(root, (), in_flow=False):
        start, end = scalar.start_mark, scalar.end_mark
        if start.line != end.line:
            first = start.line + (scalar.style in {"|", ">"})
            kept.update(range(first, end.line + (end.column > 0)))
            continue
        written = rows[start.line][start.column : end.column]
        text = str(scalar.value)
        new = _tidied(names, text)
        if new == text or ("," in new and in_flow and written == text):
            continue
        if written in {text, f'"{text}"', f"'{text}'"}:
            edits.append((start.line, start.column, end.column, written.replace(text, new)))
    for line, start_column, end_column, new in sorted(edits, reverse=True):
        row = rows[line]
        rows[line] = row[:start_column] + new + row[end_column:]
    return _without_empty(rows, kept)


def _scalars(
    node: Node | None, names: tuple[str, ...], *, in_flow: bool
) -> Iterator[tuple[tuple[str, ...], ScalarNode, bool]]:
    """Walk all names and values; a name is given with no names above it."""
    if isinstance(node, MappingNode):
        for key, value in node.value:
            yield from _scalars(key, (), in_flow=in_flow)
            inside = (*names, str(key.value))
            yield from _scalars(value, inside, in_flow=bool(node.flow_style) or in_flow)
    elif isinstance(node, SequenceNode):
        for value in node.value:
            yield from _scalars(value, names, in_flow=bool(node.flow_style) or in_flow)
    elif isinstance(node, ScalarNode):
        yield names, node, in_flow


def _tidied(names: tuple[str, ...], text: str) -> str:
    if not names or names[0] == "arrangements":
        return text
    if len(names) == 1 and names[0] in _TIMES:
        return times(text)
    if names[0] == "tones" and names[-1] == "length":
        return times(text)
    if names[0] == "tones" and names[-1] == "frequency":
        return re.sub(r"\s*(k?Hz)$", r" \1", tidy_blanks(text))
    if names[0] == "patterns" and len(names) > _PATTERN_STEPS and names[-1] == "pause":
        return times(text)
    return text


def _without_empty(rows: list[str], kept: set[int]) -> list[str]:
    """Return the rows without blanks at their ends, empty ones joined and none at the edges."""
    out: list[str] = []
    empty = False
    for index, row in enumerate(rows):
        if index in kept:
            out += ([""] if empty and out else []) + [row]
            empty = False
        elif not row.strip():
            empty = True
        else:
            out += ([""] if empty and out else []) + [row.rstrip()]
            empty = False
    return out
