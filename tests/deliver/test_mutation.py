"""Faults planted in the program, layer by layer: its own check must find each, or nobody is told.

Every fault is a whole build with the voice without a model, its check, and the check of its folder.
Those that no measurement can find are in the table too, and must not be called found.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest
from support.places import ROOT
from support.planted.base import outcome
from support.planted.table import FAULTS, MEASURED, table

if TYPE_CHECKING:
    from pathlib import Path

    from support.planted.base import Fault

SAMPLE = frozenset(
    {
        "silences between readings doubled",
        "announcements dropped",
        "the mark of a withheld bracket lost",
        "“nine times” said as “five times”",
        "readings ignored",
        "look times ignored",
        "parts not left out",
        "rest breaks ignored",
        "rest breaks by time three times as often",
        "pauses ignored",
        "loudness ignored",
        "captions: nothing ignored",
        "pace ignored in recordings",
        "the continuation tone at 130 Hz",
        "extra time in one piece at another question",
        "a tone at another pitch",
        "an answer in a caption",
        "keys on the answer sheet",
        "a page turn inside a page of the answer sheet",
        "page turns of large print ignored",
        "a hash of other bytes in the packing list",
    }
)
"""Faults that every change is tried with: each layer, the nine of the review among them."""


def _cases() -> list[object]:
    return [
        pytest.param(
            fault,
            id=f"{fault.layer}: {fault.name}",
            marks=() if fault.name in SAMPLE else pytest.mark.long,
        )
        for fault in FAULTS
    ]


@pytest.mark.parametrize("fault", _cases())
def test_a_planted_fault_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: Fault
) -> None:
    """The check proves the program wrong and nothing is delivered; or the table says who must."""
    fault.plant(monkeypatch)

    found_by, why = outcome(tmp_path, fault.version)

    assert (found_by in MEASURED) == (fault.found_by in MEASURED), why
    if found_by == "check":
        assert not (tmp_path / "out" / "planted").exists()


@pytest.mark.parametrize("fault", [pytest.param(fault, id=fault.name) for fault in FAULTS])
def test_a_fault_can_be_planted(monkeypatch: pytest.MonkeyPatch, fault: Fault) -> None:
    """What each fault changes is still there: most are tried in the long set only."""
    fault.plant(monkeypatch)


@pytest.mark.parametrize(
    "version", ["standard", *(pytest.param(v, marks=pytest.mark.long) for v in (
        "readings", "look", "breaks", "leave", "pauses", "loud", "slow", "voice", "nothing",
        "everything", "quarter", "end", "after-four", "transcript", "formats", "pieces", "large",
        "timed",
    ))],
)  # fmt: skip
def test_without_a_fault_all_is_good(tmp_path: Path, version: str) -> None:
    """Every version that faults are planted in is good without them."""
    assert outcome(tmp_path, version) == (None, [])


def test_the_table_stands_in_the_docs(capsys: pytest.CaptureFixture[str]) -> None:
    """At least sixty faults, in all layers; what is found of them stands in docs/the-check.md."""
    rows = table()
    with capsys.disabled():
        sys.stdout.write("\n".join(["", *rows, ""]))

    assert len(FAULTS) >= 60
    assert len({fault.name for fault in FAULTS}) == len(FAULTS)
    assert {fault.name for fault in FAULTS} >= SAMPLE
    assert "\n".join(rows) in (ROOT / "docs/the-check.md").read_text("utf-8")
