"""Write what the check allows into the docs, from the limits that it judges by.

    python3 scripts/make_limits_table.py

The table of tolerances in docs/the-check.md, and docs/limits-of-the-check.md: every limit with its
value, how it was measured and what holds it. tests/docs/test_limits_table.py runs this too.
"""

from __future__ import annotations

import ast
import sys
from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from limit_rows import rows
from pausewright.checker import limits
from pausewright.checker.limits import (
    edges,
    heard,
    levels,
    promised,
    recording,
    shown,
    sound,
    times,
    together,
    words,
)
from pausewright.checker.limits.coders import CODERS, Coder

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import ModuleType

ROOT: Final = Path(__file__).resolve().parent.parent
CHECK_PAGE: Final = ROOT / "docs" / "the-check.md"
LIMITS_PAGE: Final = ROOT / "docs" / "limits-of-the-check.md"
MODULES: Final = (sound, times, words, levels, edges, shown, promised, recording, heard, together)
BEGIN, END = "## Tolerances\n\n", "\n\nThis table is made from"

UNITS: Final = {
    "_DBFS": "dBFS",
    "_DBTP": "dBTP",
    "_DB": "dB",
    "_LU": "LU",
    "_HZ": "Hz",
    "_BYTES": "bytes",
    "_MS": "ms",
    "_FRAMES": "frames",
    "_SAMPLES": "samples",
    "_S": "s",
    "_SHARE": "share",
    "_FEWEST": "count",
    "FEWEST_": "count",
}
"""The unit that an end (or a beginning) of a name says; other numbers say theirs in their text."""


class Limit(NamedTuple):
    """One limit as the docs name it."""

    name: str
    value: object
    text: str
    """What stands below it in the source, on one line."""


def limits_of(module: ModuleType) -> Iterator[Limit]:
    """Yield the limits of a module with their texts, in order."""
    path = Path(str(module.__file__))
    body = ast.parse(path.read_text(encoding="utf-8")).body
    for node, following in zip(body, [*body[1:], ast.Pass()], strict=True):
        if not isinstance(node, ast.AnnAssign) or not isinstance(node.target, ast.Name):
            continue
        name = node.target.id
        if name == "TESTS":
            continue
        yield Limit(name, getattr(module, name), text_of(following))


def text_of(node: ast.stmt) -> str:
    """Return the text that stands below a name, on one line; "" if none does."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return " ".join(str(node.value.value).split())
    return ""


def unit_of(name: str) -> str:
    """Return the unit that a name says; "" if it says none."""
    found = (unit for end, unit in UNITS.items() if name.endswith(end) or name.startswith(end))
    return next(found, "")


def table(head: tuple[str, ...], lines: list[tuple[str, ...]]) -> str:
    """Return a table of Markdown."""
    ruled = [head, *lines]
    rows_of_text = ["| " + " | ".join(line).rstrip() + " |" for line in ruled]
    rows_of_text.insert(1, "|---" * len(head) + "|")
    return "\n".join(rows_of_text)


def check_page(page: str) -> str:
    """Return the page about the check with its table of tolerances as it is now."""
    before, _, rest = page.partition(BEGIN)
    after = rest.partition(END)[2]
    return before + BEGIN + table(("what", "allowed", "else"), list(rows())) + END + after


def value_text(limit: Limit) -> str:
    """Return a limit's value with its unit."""
    value = limit.value
    if isinstance(value, dict) and True not in value:
        return ", ".join(f"{name} {number(one)}" for name, one in value.items())
    if isinstance(value, dict):
        return f"{number(value[True])} exact, {number(value[False])} compressed"
    unit = unit_of(limit.name)
    return f"{number(value)} {unit}" if unit not in {"", "share", "count"} else number(value)


def number(value: object) -> str:
    """Return a number as the docs write it."""
    if isinstance(value, Fraction):
        value = float(value)
    return f"{value:g}".replace("-", "−") if isinstance(value, int | float) else str(value)


def limits_page() -> str:
    """Return the page of all limits."""
    parts = [
        (
            "# All limits of the check\n\n"
            "Every threshold by which [the check](the-check.md) judges. This page is made from "
            "`pausewright/checker/limits` by `scripts/make_limits_table.py`: the "
            "check reads the same "
            "values. Names end in their unit; a share is a part of 1.\n"
        )
    ]
    for module in MODULES:
        tests = ", ".join(f"`{one}`" for one in module.TESTS)
        lines: list[tuple[str, ...]] = [
            (f"`{one.name}`", value_text(one), one.text) for one in limits_of(module)
        ]
        parts.append(
            f"## {str(module.__doc__).splitlines()[0].rstrip('.')}\n\nHeld by {tests}.\n\n"
            + table(("limit", "value", "what it is, and how it was measured"), lines)
            + "\n"
        )
    return "\n".join([*parts, coder_part()])


def coder_part() -> str:
    """Return what is allowed to each kind of file."""
    names = [field.name for field in fields(Coder)]
    lines: list[tuple[str, ...]] = []
    for kind, coder in CODERS.items():
        values = [getattr(coder, name) for name in names]
        lines.append((kind, *(yes_or_number(value) for value in values)))
    texts = "\n".join(f"- `{name}`: {text}" for name, text in coder_texts())
    head = ("kind", *(f"`{name}`" for name in names))
    return (
        "## What each kind of file is allowed\n\nHeld by `tests/checker/test_check_formats.py` and "
        f"`scripts/sabotage.py`.\n\n{table(head, lines)}\n\n{texts}\n"
    )


def yes_or_number(value: object) -> str:
    """Return one value of a kind of file."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "not judged" if value is None else number(value)


def coder_texts() -> Iterator[tuple[str, str]]:
    """Yield name and text of each field of a kind of file."""
    path = Path(str(limits.__file__)).with_name("coders.py")
    tree = ast.parse(path.read_text(encoding="utf-8"))
    own = next(node for node in tree.body if isinstance(node, ast.ClassDef))
    for node, following in zip(own.body, own.body[1:], strict=False):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id, text_of(following)


def main() -> int:
    """Write both pages; return 0."""
    CHECK_PAGE.write_text(check_page(CHECK_PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    LIMITS_PAGE.write_text(limits_page(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
