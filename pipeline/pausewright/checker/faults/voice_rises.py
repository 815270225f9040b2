"""How suddenly the words of single voices begin, where that is more than usual.

`voice_rises.json` says from which takes. It was measured on finished sound, as the check measures a
track; nothing of it comes from the voices' engines.
"""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

_DATA: Final = "voice_rises.json"


@cache
def rises_db() -> Mapping[str, float]:
    """Return from where on a rise of low sounds is a cut start, in dB, by the name of the voice."""
    file = resources.files("pausewright.checker.faults") / _DATA
    found: dict[str, float] = json.loads(file.read_text(encoding="utf-8"))["rises_db"]
    return found
