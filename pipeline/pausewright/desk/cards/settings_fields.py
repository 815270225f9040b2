"""The settings of a script that are one value on one line, as fields of a card.

Lists (speakers, tones, patterns, arrangements …) and values of several lines stay in the text.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.model import Attribute, Attributes
from pausewright.desk.cards.spots import Edit, Spot
from pausewright.script.attributes.scope import SCOPED
from pausewright.script.settings.line_values import line_values
from pausewright.script.settings.settings_table import SETTINGS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.script.source.source_text import Source

NAMES: Final = (*SETTINGS, *(name for name, one in SCOPED.items() if one.in_settings))
"""All settings that hold one value."""
REQUIRED: Final = frozenset({"title", "language"})
_PLAIN: Final = re.compile(r"[A-Za-z0-9](?:[\w .%/,-]*[\w%])?")
"""What needs no quotation marks, whatever it looks like to a reader of settings."""


def settings_attributes(source: Source, rows: Sequence[str]) -> Attributes | None:
    """Return the settings of one value with their places; None where they cannot be read."""
    if not source.settings_line:
        return None
    first = source.settings_line
    closing = first + source.settings_text.count("\n") + 1
    if closing >= len(rows) or rows[closing].rstrip() != "---":
        return None
    values = line_values(source)
    if values is None:
        return None
    items = tuple(
        Attribute(one.name, one.text, Spot(one.line, one.start), Spot(one.line, one.end))
        for one in values
        if one.name in NAMES and rows[one.line] == source.lines[one.line]
    )
    end = Spot(closing, 0)
    return Attributes(items, end, end, block="settings")


def settings_edits(rows: Sequence[str], found: Attributes, values: Mapping[str, str]) -> list[Edit]:
    """Return the edits of lines of settings; what is "" goes with its line."""
    edits = []
    for one in found.items:
        value = values.get(one.name)
        if value:
            written = rows[one.start.line][one.start.column : one.end.column]
            edits.append(Edit(one.start, one.end, _scalar(value, written)))
        elif value == "":
            edits.append(Edit(Spot(one.start.line, 0), Spot(one.start.line + 1, 0), ""))
    there = {one.name for one in found.items}
    new = [(name, value) for name, value in values.items() if value and name not in there]
    text = "".join(f"{name}: {_scalar(value, '')}\n" for name, value in new)
    return [*edits, Edit(found.end, found.end, text)] if text else edits


def _scalar(value: str, written: str) -> str:
    """Return a value as it is written, in quotation marks as the one before."""
    if written[:1] == "'":
        return "'" + value.replace("'", "''") + "'"
    if written[:1] != '"' and _PLAIN.fullmatch(value):
        return value
    return json.dumps(value, ensure_ascii=False)
