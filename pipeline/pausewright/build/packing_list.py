"""The packing list of a room folder: what belongs in it, so that a copy can be checked anywhere.

It travels with the track, so it says nothing that the files beside it do not say: no title, no
words, no arrangement, no date. Its shape is published in `packing_list.schema.json`. The check
reads it with a reader of its own.
"""

from __future__ import annotations

import json
from fractions import Fraction
from importlib import resources
from typing import TYPE_CHECKING, Any, Final

from pausewright.files.hashing import sha256_of
from pausewright.plan.clock import exact_seconds

if TYPE_CHECKING:
    from pathlib import Path

PACKING_LIST_FORMAT: Final = 1
"""Raised when a reader of older lists would misread a new one."""
ENDING: Final = "_packing-list.json"


def packing_list(folder: Path, *, label: str, edition: str, n_samples: int, rate_hz: int) -> str:
    """Return the list of all files in a room folder as JSON text, sorted by name.

    Parameters
    ----------
    folder : the room folder, complete but for the list itself
    label : the version label, as the room sees it
    n_samples, rate_hz : length of the audio
    """
    files = sorted(file for file in folder.rglob("*") if file.is_file())
    listed = {
        "packing_list": PACKING_LIST_FORMAT,
        "version_label": label,
        "edition": edition,
        "track": {
            "rate_hz": rate_hz,
            "n_samples": n_samples,
            "length_s": exact_seconds(Fraction(n_samples, rate_hz)),
        },
        "files": [
            {
                "name": file.relative_to(folder).as_posix(),
                "n_bytes": file.stat().st_size,
                "sha256": sha256_of(file),
            }
            for file in files
            if not file.name.endswith(ENDING)
        ],
    }
    return json.dumps(listed, ensure_ascii=False, indent=2) + "\n"


def packing_list_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of packing lists."""
    text = resources.files("pausewright.build").joinpath("packing_list.schema.json")
    schema: dict[str, Any] = json.loads(text.read_text(encoding="utf-8"))
    return schema
