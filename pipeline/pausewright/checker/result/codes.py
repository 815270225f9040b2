"""Every code of a finding in one table: how grave, in what unit, and whom it concerns.

Docs (the table in docs/the-check.md), the blind report, the JSON and the rows of the report read
it; a test ties every code in the source to a row, and every row to the source.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.package_data import package_folder

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.problems import Severity

Audience: TypeAlias = Literal["heard", "read", "staff"]
"""Whom a finding concerns: candidates who hear the track, those who read beside it (captions,
countdown, transcript), or only staff (files, tags, markers, packing)."""


TABLE_NAME: Final = "finding_codes.txt"
_SEVERITIES: Final[dict[str, tuple[Severity, ...]]] = {
    "error": ("error",),
    "warning": ("warning",),
    "warning, error": ("warning", "error"),
    "error, warning": ("error", "warning"),
}


@frozen
class Code:
    """What is fixed for all findings of one code."""

    severities: tuple[Severity, ...]
    """Those that it may have, the usual one first."""
    unit: str
    """Of its numbers; "" where it has none, "any" where each of its findings says its own."""
    audience: Audience
    means: str
    """One sentence for the docs, with the code of Markdown."""


@cache
def codes() -> Mapping[str, Code]:
    """Return the table, in the order in which docs/the-check.md lists it."""
    text = (package_folder("pausewright.checker") / TABLE_NAME).read_text("utf-8")
    audiences: dict[str, Audience] = {"heard": "heard", "read": "read", "staff": "staff"}
    found: dict[str, Code] = {}
    for line in text.splitlines():
        if line.startswith("#"):
            continue
        code, severity, unit, audience, means = (cell.strip() for cell in line.split("|"))
        if code in found:
            raise ValueError(f"{code} stands twice")
        found[code] = Code(
            _SEVERITIES[severity], "" if unit == "-" else unit, audiences[audience], means
        )
    return MappingProxyType(found)


def audience_of(code: str) -> Audience:
    """Return whom a finding of a code concerns; a code without a row concerns those who hear."""
    row = codes().get(code)
    return "heard" if row is None else row.audience


def unit_of(code: str, unit: str) -> str:
    """Return the unit of a finding's numbers: its own, else that of the table."""
    row = codes().get(code)
    return unit or ("" if row is None or row.unit == "any" else row.unit)


def apart_unit(unit: str) -> str:
    """Return the unit of how far two numbers of a unit are apart: of levels a bare dB."""
    return {"dBTP": "dB", "dBFS": "dB", "LUFS": "LU"}.get(unit, unit)
