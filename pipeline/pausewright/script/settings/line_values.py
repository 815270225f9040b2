"""Settings that are one value on one line, with the place of each value in the file."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from ruamel.yaml.nodes import MappingNode, ScalarNode

from pausewright.problems import Problems
from pausewright.script.settings.strict_yaml import YamlReader

if TYPE_CHECKING:
    from pausewright.script.source.source_text import Source


class LineValue(NamedTuple):
    """One setting; line and columns count from 0."""

    name: str
    text: str
    line: int
    start: int
    end: int


def line_values(source: Source) -> tuple[LineValue, ...] | None:
    """Return the settings of one value on one line; None where the settings cannot be read."""
    reader = YamlReader(source.lines, source.settings_line, source.place, Problems())
    root = reader.compose(source.settings_text, "")
    if not isinstance(root, MappingNode):
        return None
    found = []
    for key, value in root.value:
        start, end = value.start_mark, value.end_mark
        is_line = start.line == end.line == key.start_mark.line and end.column > start.column
        if isinstance(value, ScalarNode) and is_line and value.style not in {"|", ">"}:
            text = " ".join(str(value.value).split())
            line = source.settings_line + start.line
            found.append(LineValue(str(key.value), text, line, start.column, end.column))
    return tuple(found)
