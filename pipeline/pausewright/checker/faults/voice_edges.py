"""How single voices begin, fall and swing, where that is more than usual.

`voice_edges.json` says from which takes. It was measured on finished sound, as the check measures a
track; nothing of it comes from the voices' engines.
"""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.checker.limits.edges import CLICK_DOUBTED_FROM, FALL_DB, HOLE_DB, RISE_DB
from pausewright.checker.limits.levels import TOP_BROAD
from pausewright.package_data import package_folder

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.checker.faults.closer import Scene

_DATA: Final = "voice_edges.json"


def rise_db(voice: str) -> float:
    """Return from where on a rise of a voice's low sounds is a cut start."""
    return _known()["rises_db"].get(voice, RISE_DB)


def most_rise_db(scene: Scene) -> float:
    """Return the same for the voice on a track that rises most."""
    return max(map(rise_db, scene.voices), default=RISE_DB)


def most_fall_db(scene: Scene) -> float:
    """Return from where on a fall is a cut, for the voice on a track that falls most."""
    return max(
        (_known()["falls_db"].get(voice, FALL_DB) for voice in scene.voices), default=FALL_DB
    )


def hole_db(scene: Scene) -> float:
    """Return how deep a moment in speech must be to be a hole, for the voice that closes most."""
    known = _known()["holes_db"]
    return max((known.get(voice, HOLE_DB) for voice in scene.voices), default=HOLE_DB)


def broadest_top(scene: Scene) -> float:
    """Return from how many samples on tops are flat, for the voice on a track with the broadest."""
    found = (_known()["top_widths"].get(voice, TOP_BROAD) for voice in scene.voices)
    return max(found, default=TOP_BROAD)


def click_doubted_from(scene: Scene) -> float:
    """Return from where on a towering moment is a click, for the voice with the hardest stops."""
    known = _known()["clicks_doubted_from"]
    found = (known.get(voice, CLICK_DOUBTED_FROM) for voice in scene.voices)
    return max(found, default=CLICK_DOUBTED_FROM)


@cache
def _known() -> Mapping[str, Mapping[str, float]]:
    file = package_folder("pausewright.checker.faults") / _DATA
    found: dict[str, dict[str, float]] = json.loads(file.read_text(encoding="utf-8"))
    return found
