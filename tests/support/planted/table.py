"""All planted faults, and the table of them that stands in docs/the-check.md."""

from __future__ import annotations

from typing import Final

from support.planted import (
    in_arrange,
    in_captions,
    in_packing,
    in_papers,
    in_plan,
    in_script,
    in_sound,
    in_wording,
)

FAULTS: Final = (
    *in_script.FAULTS,
    *in_wording.FAULTS,
    *in_arrange.FAULTS,
    *in_plan.FAULTS,
    *in_sound.FAULTS,
    *in_captions.FAULTS,
    *in_papers.FAULTS,
    *in_packing.FAULTS,
)
MEASURED: Final = frozenset({"check", "folder"})
"""Who finds a fault without hearing words."""


def table() -> list[str]:
    """Return the rows of the table: faults found of all, by layer, and those only heard."""
    rows = ["| layer | found by measuring | only by ear | only by a person |", "|---|---|---|---|"]
    layers = list(dict.fromkeys(fault.layer for fault in FAULTS))
    for layer in layers:
        own = [fault for fault in FAULTS if fault.layer == layer]
        n_found = sum(fault.found_by in MEASURED for fault in own)
        heard = ", ".join(fault.name for fault in own if fault.found_by == "ear") or "–"
        seen = ", ".join(fault.name for fault in own if fault.found_by == "person") or "–"
        rows.append(f"| {layer} | {n_found} of {len(own)} | {heard} | {seen} |")
    n_found = sum(fault.found_by in MEASURED for fault in FAULTS)
    n_heard = sum(fault.found_by == "ear" for fault in FAULTS)
    n_seen = sum(fault.found_by == "person" for fault in FAULTS)
    return [*rows, f"| all | {n_found} of {len(FAULTS)} | {n_heard} | {n_seen} |"]
