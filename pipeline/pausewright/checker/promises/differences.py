"""What is not as promised, before it becomes a finding of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.arrange.arrangement import FieldName
    from pausewright.checker.result.findings import Number, Unit
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place


@frozen
class Difference:
    """One thing that is promised and was not found, or was found and is not promised."""

    code: str
    field: FieldName | None
    """The field of the arrangement; None where the script alone promises it."""
    sentence: str
    place: Place | None = None
    item: Item | None = None
    expected: Number | None = None
    measured: Number | None = None
    unit: Unit = ""
    at_s: Fraction | None = None
