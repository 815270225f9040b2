"""Whether two readings mean the same: everything in a `Script` but where it stands.

Places are left out, and the text of the script itself. Neighbouring texts are compared as one,
and blanks at the ends of lines do not count; every other sign does.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

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


def _arranged(reading: Reading) -> Any:  # noqa: ANN401  a tree of lists and texts
    return None if reading.arrangements is None else _yaml(reading.arrangements.node)


def _yaml(node: Node | tuple[Node, Node]) -> Any:  # noqa: ANN401  same
    if isinstance(node, tuple):
        return [_yaml(one) for one in node]
    if isinstance(node, ScalarNode):
        return str(node.value)
    return [type(node).__name__, *(_yaml(one) for one in node.value)]


def _difference(one: Any, other: Any, where: str) -> str:  # noqa: ANN401  any value of the model
    if type(one) is not type(other):
        return where
    if isinstance(one, Place):
        return ""
    if dataclasses.is_dataclass(one):
        for field in dataclasses.fields(one):
            if field.name in {"places", "sources"}:
                continue
            found = _difference(
                getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}"
            )
            if found:
                return found
        return ""
    if isinstance(one, Mapping):
        if list(one) != list(other):
            return where
        return next(
            (d for name in one if (d := _difference(one[name], other[name], f"{where}.{name}"))),
            "",
        )
    if isinstance(one, tuple):
        one, other = _joined(one, where), _joined(other, where)
        if len(one) != len(other):
            return where
        pairs = enumerate(zip(one, other, strict=True))
        return next((d for i, (a, b) in pairs if (d := _difference(a, b, f"{where}[{i}]"))), "")
    if where.endswith(".description"):
        one, other = _LINE_END.sub("\n", one), _LINE_END.sub("\n", other)
    return "" if one == other else where


def _joined(items: tuple[Any, ...], where: str) -> tuple[Any, ...]:
    """Join neighbouring texts; leave out blanks around a line break and at a paragraph's end."""
    out: list[Any] = []
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
