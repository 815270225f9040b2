"""Whether two readings mean the same: everything in a `Script` but where it stands.

Places are left out, and the text of the script itself. Neighbouring texts are compared as one,
and blanks at the ends of lines do not count; every other sign does.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from ruamel.yaml.nodes import ScalarNode

from pausewright.problems import Place
from pausewright.script.model import Text

if TYPE_CHECKING:
    from pausewright.script.reader import Reading
    from pausewright.script.settings.strict_yaml import Node

_LINE_END: Final = re.compile(r"[^\S\n]*\n[^\S\n]*")


def difference(one: Reading, other: Reading) -> str:
    """Return in which value two readings of one file differ first; "" if they mean the same.

    The value is named as a path, for example `script.parts[0].groups[1].blocks[2].marks`.
    Problems are compared by kind and number, and what stands under `arrangements` as it is.
    """
    found = [(p.severity, p.code) for p in one.problems]
    if sorted(found) != sorted((p.severity, p.code) for p in other.problems):
        return "problems"
    if _arranged(one) != _arranged(other):
        return "arrangements"
    return _difference(one.script, other.script, "script") or _difference(
        _included(one), _included(other), "includes"
    )


def _included(reading: Reading) -> dict[str, str]:
    script = reading.script
    return {str(file): text for file, text in script.sources.items() if file != script.path}


def _arranged(reading: Reading) -> object:
    return None if reading.arrangements is None else _yaml(reading.arrangements.node)


def _yaml(node: Node | tuple[Node, Node]) -> object:
    """Return a node as lists and texts."""
    if isinstance(node, tuple):
        return [_yaml(one) for one in node]
    if isinstance(node, ScalarNode):
        return str(node.value)
    return [type(node).__name__, *(_yaml(one) for one in node.value)]


def _difference(one: object, other: object, where: str) -> str:
    if type(one) is not type(other):
        return where
    if isinstance(one, Place):
        return ""
    pairs: list[tuple[str, object, object]]
    if dataclasses.is_dataclass(one):
        pairs = [
            (f"{where}.{field.name}", getattr(one, field.name), getattr(other, field.name))
            for field in dataclasses.fields(one)
            if field.name not in {"places", "sources"}
        ]
    elif isinstance(one, Mapping) and isinstance(other, Mapping):
        if list(one) != list(other):
            return where
        pairs = [(f"{where}.{name}", one[name], other[name]) for name in one]
    elif isinstance(one, tuple) and isinstance(other, tuple):
        both = _joined(one, where), _joined(other, where)
        if len(both[0]) != len(both[1]):
            return where
        pairs = [(f"{where}[{i}]", *pair) for i, pair in enumerate(zip(*both, strict=True))]
    else:
        if isinstance(one, str) and isinstance(other, str) and where.endswith(".description"):
            one, other = _LINE_END.sub("\n", one), _LINE_END.sub("\n", other)
        return "" if one == other else where
    return next((d for name, a, b in pairs if (d := _difference(a, b, name))), "")


def _joined(items: tuple[object, ...], where: str) -> tuple[object, ...]:
    """Join neighbouring texts; leave out blanks around a line break and at a paragraph's end."""
    out: list[object] = []
    for item in items:
        if isinstance(item, Text) and out and isinstance(out[-1], Text):
            out[-1] = dataclasses.replace(out[-1], text=out[-1].text + item.text)
        else:
            out.append(item)
    for index, item in enumerate(out):
        if isinstance(item, Text):
            out[index] = dataclasses.replace(item, text=_LINE_END.sub("\n", item.text))
    if out and isinstance(out[-1], Text) and where.endswith(".inlines"):
        out[-1] = dataclasses.replace(out[-1], text=out[-1].text.rstrip())
    return tuple(out)
