"""The voices computed in other ways, as on other processors: other samples, the same promises.

A network's sums depend on the instructions that a processor has, on the runtime's release and on
which of its steps are merged. The bundled voice iris computes in whole numbers of eight bits, so
that the slightest difference is rounded up or down and its waves come out quite different.

    python tests/support/voices/other_kernels.py WAY FILE    voice some sentences, write a .npz
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from pausewright.voice.engine import Request
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.voice.voice_list import bundled_profiles
from pausewright.wording.line_elements import SpokenPart

# isort: split
import onnxruntime  # after pausewright, which keeps it from connecting

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

PLAIN: Final = "plain"
SENTENCES: Final = (
    "Leave your sheet here, please.",
    "Which number on your sheet is a multiple of eleven?",
)
SETTINGS: Final[Mapping[str, float]] = {"joe": 1.59, "iris": 0.72}
"""Each bundled voice at about 140 words a minute."""


class PlainOptions(onnxruntime.SessionOptions):  # type: ignore[misc]  # the library has no types
    """Options with which the runtime computes a network step by step, as it is written."""

    def __init__(self) -> None:
        """Merge and reorder nothing."""
        super().__init__()
        self.graph_optimization_level = onnxruntime.GraphOptimizationLevel.ORT_DISABLE_ALL


def compute_as(way: str) -> None:
    """Let the runtime compute in a way in this process: "plain", or "" for the usual one."""
    if way not in {"", PLAIN}:
        raise ValueError(f"there is no such way to compute: {way!r}")
    if way == PLAIN:
        onnxruntime.SessionOptions = PlainOptions


def takes(voice: str) -> list[NDArray[np.float32]]:
    """Return the sentences in a bundled voice that is loaded anew, as the network gives them."""
    profile = bundled_profiles()[voice]
    engine = built_in_engines()[profile.engine].load(profile)
    requests = [Request((SpokenPart(s),), "en-GB", SETTINGS[voice], 1) for s in SENTENCES]
    return [engine.synthesise(engine.prepare(one)).samples for one in requests]


def main() -> None:
    """Voice the sentences in the way that is named, twice, and write the samples by voice."""
    way, file = sys.argv[1:]
    compute_as(way)
    found = {}
    for voice in SETTINGS:
        for nth, (take, again) in enumerate(zip(takes(voice), takes(voice), strict=True)):
            if not np.array_equal(take, again):
                raise SystemExit(f"{voice} gives other samples the second time")
            found[f"{voice}-{nth}"] = take
    np.savez(Path(file), allow_pickle=False, **found)


if __name__ == "__main__":
    main()
